"""Limits that workshops use, held against what our checks say. Weak: common practice, no source."""

import pytest

from app.mechanics.spring_checks import (
    FREE_LENGTH_SPREAD_LIMIT,
    critical_free_length,
    free_length_spread,
)
from app.mechanics.tables import suggested_service_factor


@pytest.mark.parametrize(("new", "limit"), [(33.6, 32.6), (75.42, 71.8)])
def test_a_spring_at_its_service_limit_among_new_ones_is_an_uneven_set(
    new: float, limit: float
) -> None:
    # Service limits of the free length lie at 95.2 to 97.0 % of the nominal one.
    assert 0.95 < limit / new < 0.971
    assert free_length_spread([new, new, new, limit]) > FREE_LENGTH_SPREAD_LIMIT
    assert free_length_spread([new, new, new, new * 0.99]) < FREE_LENGTH_SPREAD_LIMIT


@pytest.mark.parametrize(
    ("strokes", "cylinders"), [(4, 1), (4, 2), (4, 4), (2, 1), (2, 2)]
)
def test_suggested_factors_lie_between_those_of_workshops_and_books(
    strokes: int, cylinders: int
) -> None:
    # Workshops keep 1.15 to 1.20 on motorcycles; V. B. Bhandari, Design of Machine Elements,
    # example 11.5, takes 1.5 on the greatest torque of the engine.
    row = suggested_service_factor(strokes, cylinders)
    assert row is not None
    assert 1.15 <= row.factor <= 1.5


def test_shigley_problem_10_3_critical_length() -> None:
    # J. E. Shigley, Mechanical Engineering Design, 10th edition, problem 10-3: D 28.5 mm between
    # flat seats. Published: 149.9 mm (four digits).
    assert critical_free_length(28.5) == pytest.approx(149.9, rel=5e-4)
    assert critical_free_length(28.5) == pytest.approx(149.91, rel=1e-9)
