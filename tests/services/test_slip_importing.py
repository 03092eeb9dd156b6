"""What a file of runs would do, and doing it: on both databases, all or nothing."""

import pytest
import sqlalchemy as sa

from app.documents import Instrument
from app.errors import BadInput, Problem
from app.records.database import read_session, writing
from app.services.catalogue import instruments, packs, slip_tests
from app.services.slip_importing import SentRun, carry_out, differences_of, plan_import
from tests.factories import make_pack, make_slip_test


def test_each_line_is_new_changed_unchanged_or_refused(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        typed = [{"torque_nm": 31.5, "typed": "31,5"}, {"torque_nm": 32.0}]
        kept = slip_tests.add(session, make_slip_test(pack.id, readings=typed), by="a")
        other = slip_tests.add(session, make_slip_test(pack.id, date="2026-11-21"), by="a")
        sent = [
            SentRun(2, "", None, make_slip_test(pack.id)),
            SentRun(3, kept.id, 1, make_slip_test(pack.id, by="Bo")),
            SentRun(4, other.id, 1, make_slip_test(pack.id, date="2026-11-21")),
            SentRun(5, "", None, make_slip_test(pack.id, date="2026-11-22")),
            SentRun(6, "nothing", None, make_slip_test(pack.id)),
            SentRun(7, "", None, None, (Problem("date", "Write a date."),)),
        ]
        plan = plan_import(session, sent)
        assert [line.action for line in plan.lines] == [
            "unchanged", "changed", "unchanged", "new", "refused", "refused",
        ]
        (difference,) = plan.lines[1].differences
        assert (difference.name, difference.before, difference.after) == ("by", "Ann", "Bo")
        assert plan.writes == 2
        with pytest.raises(BadInput, match="refused now"):
            carry_out(session, sent, by="b", batch="x", expected=2)
        with pytest.raises(BadInput, match="changed since you looked"):
            carry_out(session, sent[:4], by="b", batch="x", expected=1)
        carry_out(session, sent[:4], by="b", batch="x", expected=2)
        assert slip_tests.page(session).total == 3
        changed = slip_tests.get(session, kept.id)
        assert (changed.version, changed.document.by) == (2, "Bo")
        assert changed.document.readings[0].typed == "31,5"
        assert changed.name == kept.name
        again = plan_import(session, [SentRun(s.row, s.id, None, s.document) for s in sent[1:4]])
        assert again.writes == 0


def test_a_stale_line_and_a_name_twice_are_refused(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        kept = slip_tests.add(session, make_slip_test(pack.id, name="One"), by="a")
        stale = plan_import(session, [SentRun(2, kept.id, 7, make_slip_test(pack.id))])
        assert "version 1" in stale.lines[0].problems[0].message
        named = [SentRun(n, "", None, make_slip_test(pack.id, name="Two", by=f"b{n}"))
                 for n in (2, 3)]
        assert [x.action for x in plan_import(session, named).lines] == ["new", "refused"]
        taken = [SentRun(2, "", None, make_slip_test(pack.id, name="one", by="b"))]
        assert "already a run called" in plan_import(session, taken).lines[0].problems[0].message
        twice = [SentRun(n, kept.id, 1, make_slip_test(pack.id)) for n in (2, 3)]
        assert plan_import(session, twice).count("refused") == 2


def test_a_reading_beyond_the_gauge_is_asked_about_before_anything_is_written(
    database: sa.Engine,
) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        gauge = instruments.add(session, Instrument(name="G", range_high_nm=30), by="a")
        sent = [SentRun(2, "", None, make_slip_test(pack.id, instrument=gauge.id))]
        problems = plan_import(session, sent).lines[0].problems
    assert [p.field for p in problems] == ["readings_N_m"] * 2
    assert "is 31.5 a value, or at least 30?" in problems[0].message
    with read_session(database) as session:
        assert slip_tests.page(session).total == 0


def test_the_words_of_readings_are_no_difference() -> None:
    one = make_slip_test("abc", readings=[{"torque_nm": 5, "typed": "5"}])
    other = make_slip_test("abc", readings=[{"torque_nm": 5}])
    assert differences_of(one, other) == ()
    (found,) = differences_of(one, make_slip_test("abc", readings=[{"torque_nm": 6}]))
    assert found.name == "readings"
