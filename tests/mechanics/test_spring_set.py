"""Whether the springs of one set press evenly and are alike."""

from typing import Any

import pytest

from app.mechanics.inputs import Quantity, SpringGroup
from app.mechanics.spring_set import set_findings


def codes(**figures: Any) -> dict[str, str]:
    return {code: text for code, _, text in set_findings(SpringGroup(**figures))}


@pytest.mark.parametrize(("count", "places", "found"), [
    (6, 6, []), (3, 6, []), (4, 6, []), (5, 6, ["springs_uneven"]), (5, 5, []),
    (4, 5, ["springs_uneven"]), (7, 6, ["springs_beyond_places"]), (2, 6, []), (5, None, []),
    (40, 41, []),
])
def test_fewer_springs_than_places_must_be_spaced_evenly(
    count: int, places: int | None, found: list[str]
) -> None:
    assert list(codes(count=count, positions=places)) == found


def test_an_uneven_choice_names_those_that_are_even() -> None:
    assert "3, 4, 6 can" in codes(count=5, positions=6)["springs_uneven"]


def test_free_lengths_may_differ_by_two_per_cent_of_their_mean() -> None:
    # (32.0 − 31.4)/31.7 = 1.9 %; (32.1 − 31.4)/31.7 = 2.2 %.
    assert codes(free_lengths_mm=(31.4, 31.7, 32.0)) == {}
    told = codes(free_lengths_mm=(31.4, 31.6, 32.1))["free_lengths_differ"]
    assert "2.2 %" in told
    assert "match the set" in told


def test_as_many_lengths_as_springs() -> None:
    assert list(codes(count=6, free_lengths_mm=(31.0,) * 5)) == ["free_lengths_count"]


def test_a_free_length_that_is_not_their_mean_is_said() -> None:
    stated = Quantity(32.0, plus_minus=0.05)
    told = codes(free_length_mm=stated, free_lengths_mm=(31.0, 31.2))["free_lengths_mean"]
    assert "31.10 mm" in told
    assert codes(free_length_mm=stated, free_lengths_mm=(31.9, 32.1)) == {}
