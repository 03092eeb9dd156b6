import sqlalchemy as sa

from app.documents import Instrument
from app.records.database import read_session, writing
from app.records.slip_test_queries import (
    active_instruments,
    change_rows,
    findings_of_pack,
    instrument_row,
    last_number,
    pack_names,
    runs_of_pack,
    runs_with_instrument,
)
from app.records.slip_tests import SlipTest
from app.records.source_queries import pack_key
from app.services.catalogue import findings, instruments, packs, slip_tests
from tests.factories import make_pack, make_slip_test
from tests.services.test_bench_nouns import make_finding


def test_the_runs_of_a_pack_come_by_day_and_those_put_aside_stay_out(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        other = packs.add(session, make_pack("Other"), by="a")
        gauge = instruments.add(session, Instrument(name="Gauge"), by="a")
        late = slip_tests.add(session, make_slip_test(pack.id), by="a")
        early = slip_tests.add(
            session, make_slip_test(pack.id, date="2026-11-01", instrument=gauge.id), by="a"
        )
        undated = slip_tests.add(session, make_slip_test(pack.id, date=None), by="a")
        gone = slip_tests.add(session, make_slip_test(pack.id, instrument=gauge.id), by="a")
        slip_tests.put_aside(session, gone.id, 1, by="a")
        slip_tests.add(session, make_slip_test(other.id), by="a")
        findings.add(session, make_finding(pack.id), by="a")
        packs.put_aside(session, pack.id, 1, by="a")
    with read_session(database) as session:
        key = pack_key(session, pack.id)
        assert key is not None
        rows = runs_of_pack(session, key)
        assert [row["public_id"] for row in rows] == [undated.id, early.id, late.id]
        assert len(findings_of_pack(session, key)) == 1
        assert pack_names(session, [pack.id, other.id, "nothing"]) == {
            pack.id: ("Tern 4", False),
            other.id: ("Other", True),
        }
        found = instrument_row(session, gauge.id)
        assert found is not None
        assert runs_with_instrument(session, found["id"]) == {early.id: early.name}
        assert [row["name"] for row in active_instruments(session)] == ["Gauge"]
        (change,) = change_rows(session, "pack", pack.id, 2)
        assert change["action"] == "put aside"


def test_numbers_of_names_go_on_after_the_last_whatever_became_of_it(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack("50 % off_"), by="a")
        made = [slip_tests.add(session, make_slip_test(pack.id), by="a") for _ in range(2)]
        slip_tests.put_aside(session, made[1].id, 1, by="a")
        alike = make_slip_test(pack.id, name="2026-11-20 50 x offy, run 07")
        slip_tests.add(session, alike, by="a")
        assert last_number(session, SlipTest, "2026-11-20 50 % OFF_, run") == 2
        assert last_number(session, SlipTest, "2026-11-21 50 % off_, run") == 0
