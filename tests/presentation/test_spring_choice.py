"""Recorded springs that would do, in words."""

from app.comparison.spring_swap import Swap
from app.presentation.spring_choice import spring_lines
from app.services.spring_choice import SpringChoice


def test_each_set_says_what_and_where_it_is() -> None:
    found = spring_lines([
        SpringChoice("Reed set", "p1", "Reed 8", Swap(0, 1.234, 0.998)),
        SpringChoice("", "", "", Swap(1, 1.5, 1.2)),
    ])
    assert found is not None
    first, second = found.lines
    assert (first.name, first.where, first.address) == ("Reed set", "in Reed 8", "/packs/p1")
    assert (first.ratio, first.low, first.verdict) == ("1.23", "0.998", "Tight")
    assert (second.name, second.where, second.address) == ("Springs", "on the shelf", "")
    assert second.verdict == "Holds"


def test_none_that_fits_is_said_and_unknown_room_is_not() -> None:
    found = spring_lines([])
    assert found is not None
    assert found.says.startswith("No other spring set")
    assert spring_lines(None) is None
