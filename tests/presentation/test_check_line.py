from datetime import UTC, datetime

from app.presentation.check_line import CheckLine, check_line
from tests.factories import make_pack

CHECK = {"by": "Bea", "at": "2026-11-25"}
AT = datetime(2026, 11, 26, 9, 30, tzinfo=UTC)


def withdrawn(**changed: object) -> CheckLine:
    before, after = make_pack(checked=CHECK), make_pack(**changed)
    row = {"id": 4, "by": "Cy", "at": AT, "before": before.written(), "after": after.written()}
    return check_line("pack", after, row)


def test_a_check_that_stands_is_named_with_its_day() -> None:
    line = check_line("pack", make_pack(checked=CHECK), None)
    assert line == CheckLine(by="Bea, 2026-11-25")


def test_a_withdrawn_check_names_the_figures_that_changed() -> None:
    line = withdrawn(lift_mm=2)
    assert (line.by, line.lost, line.href) == ("", "Bea, 2026-11-25", "/history/4")
    assert line.why == "Cy changed release travel of the pressure plate on 2026-11-26 09:30 UTC"
    many = withdrawn(lift_mm=2, friction_plates=5, plain_plates=6, facing_od_mm=111, mounting=None)
    assert "and 2 more on" in many.why


def test_a_check_taken_back_is_told_so() -> None:
    assert withdrawn().why == "Cy took it back on 2026-11-26 09:30 UTC"


def test_nothing_is_said_where_nobody_checked() -> None:
    assert check_line("pack", make_pack(), None) == CheckLine()
