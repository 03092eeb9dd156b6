"""The stroke of a ratio."""

import math
import re

from hypothesis import given
from hypothesis import strategies as st

from app.comparison.cell import Reading
from app.presentation.board_gauge import MIDDLE, WIDTH, gauge, place

ratios = st.floats(0.0, 1e6)


def ends(path: str) -> tuple[float, float]:
    found = re.fullmatch(r"M([0-9.]+) 4H([0-9.]+)", path)
    assert found is not None, path
    return float(found[1]), float(found[2])


@given(ratios, ratios)
def test_a_larger_ratio_never_lies_further_left(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert 0.0 <= place(low) <= place(high) <= WIDTH


def test_one_is_in_the_middle_and_twice_lies_as_far_from_it_as_half() -> None:
    assert place(1.0) == MIDDLE
    assert place(2.0) - MIDDLE == MIDDLE - place(0.5) == WIDTH / 4


@given(ratios, ratios)
def test_a_stroke_reaches_across_one_just_where_its_interval_does(one: float, other: float) -> None:
    low, high = sorted((one, other))
    left, right = ends(gauge(Reading(low, 0.1, low, high)))
    assert right - left >= 1.0
    if low < 0.9 and high > 1.1:
        assert left < MIDDLE < right
    if low > 1.2:
        assert left > MIDDLE
    if high < 0.8:
        assert right < MIDDLE


def test_what_is_not_known_has_no_stroke() -> None:
    assert gauge(None) == ""
    assert gauge(Reading(1.0, 0.0, math.nan, 2.0)) == ""
    assert ends(gauge(Reading(9.0, 0.0, 9.0, math.inf)))[1] == WIDTH
