"""Instruments, runs and findings in the catalogue, on both databases."""

from typing import Any

import pytest
import sqlalchemy as sa

from app.documents import Finding, Instrument
from app.errors import BadInput, InUse
from app.records.bookkeeping import Change
from app.records.database import read_session, writing
from app.records.listing import Search
from app.services.bench_nouns import same_but_name
from app.services.catalogue import findings, instruments, packs, slip_tests
from tests.factories import make_pack, make_slip_test

GAUGE = Instrument(name="Fish scale", range_low_nm=5, range_high_nm=60)


def make_finding(pack: str, **changed: Any) -> Finding:
    raw = {"pack": pack, "date": "2026-11-20", "check": "damper", "outcome": "good"}
    return Finding.model_validate(raw | changed)


def test_runs_are_named_by_day_pack_and_number_and_keep_their_name(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        names = [slip_tests.add(session, make_slip_test(pack.id), by="a").name for _ in range(11)]
        assert names[0] == "2026-11-20 Tern 4, run 01"
        assert names[-1] == "2026-11-20 Tern 4, run 11"
        assert names == sorted(names)
        last = slip_tests.page(session, Search(order="-name")).records[0]
        moved = make_slip_test(pack.id, date="2026-11-21")
        assert slip_tests.change(session, last.id, 1, moved, by="a").name == names[-1]
        finding = findings.add(session, make_finding(pack.id), by="a")
        assert finding.name == "2026-11-20 Tern 4, damper 01"
        long = packs.add(session, make_pack("x" * 200), by="a")
        assert len(slip_tests.add(session, make_slip_test(long.id), by="a").name) <= 200


def test_runs_stay_when_their_pack_is_put_aside(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        test = slip_tests.add(session, make_slip_test(pack.id), by="a")
        finding = findings.add(session, make_finding(pack.id), by="a")
        packs.put_aside(session, pack.id, 1, by="a")
    with read_session(database) as session:
        assert slip_tests.get(session, test.id).document == test.document
        assert findings.get(session, finding.id).document == finding.document


def test_a_reading_beyond_the_gauge_is_kept_only_when_the_tester_says_so(
    database: sa.Engine,
) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        gauge = instruments.add(session, GAUGE, by="a")
        beyond = [{"torque_nm": 40}, {"torque_nm": 64}]
        test = make_slip_test(pack.id, instrument=gauge.id, readings=beyond)
        with pytest.raises(BadInput) as refusal:
            slip_tests.add(session, test, by="a")
        assert [p.field for p in refusal.value.problems] == ["readings.1.as_read"]
        assert "is 64 a value, or at least 60?" in refusal.value.message
        beyond[1]["as_read"] = True
        test = make_slip_test(pack.id, instrument=gauge.id, readings=beyond)
        assert slip_tests.add(session, test, by="a").document.readings[1].as_read


def test_readings_are_replaced_in_order_with_a_new_version(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        test = slip_tests.add(session, make_slip_test(pack.id), by="a")
        fewer = make_slip_test(pack.id, readings=[{"at_least_nm": 60}])
        changed = slip_tests.change(session, test.id, 1, fewer, by="b")
    assert changed.version == 2
    assert changed.document.readings == fewer.readings
    with read_session(database) as session:
        query = sa.select(Change).where(Change.noun == "slip test").order_by(Change.id)
        assert [c.action for c in session.scalars(query)] == ["add", "change"]


@pytest.mark.parametrize("which", ["pack", "instrument"])
def test_what_is_not_there_is_refused(database: sa.Engine, which: str) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        test = make_slip_test(**{"pack": pack.id, which: "nothing"})
        with pytest.raises(BadInput, match="There is no") as refusal:
            slip_tests.add(session, test, by="a")
        assert refusal.value.problems[0].field == which
        with pytest.raises(BadInput):
            findings.add(session, make_finding("nothing"), by="a")


def test_an_instrument_stays_while_runs_name_it(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        gauge = instruments.add(session, GAUGE, by="a")
        test = slip_tests.add(session, make_slip_test(pack.id, instrument=gauge.id), by="a")
        with pytest.raises(InUse, match="run 01"):
            instruments.put_aside(session, gauge.id, 1, by="a")
        slip_tests.put_aside(session, test.id, 1, by="a")
        instruments.put_aside(session, gauge.id, 1, by="a")
        back = slip_tests.bring_back(session, test.id, by="a")
        assert back.document.instrument == gauge.id


def test_two_runs_are_alike_when_only_the_name_differs() -> None:
    assert same_but_name(make_slip_test("abc", name="one"), make_slip_test("abc", name="two"))
    assert not same_but_name(make_slip_test("abc"), make_slip_test("abc", by="Bo"))
