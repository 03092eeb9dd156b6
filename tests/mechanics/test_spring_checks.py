"""Even support of the pressure plate, spread of free lengths, buckling."""

import pytest

from app.mechanics.spring_checks import (
    END_CONSTANT_FLAT,
    FREE_LENGTH_SPREAD_LIMIT,
    balanced_counts,
    critical_free_length,
    free_length_spread,
)


@pytest.mark.parametrize(
    ("positions", "counts"),
    [(1, ()), (2, ()), (3, (3,)), (4, (4,)), (5, (5,)), (6, (3, 4, 6)), (7, (7,)),
     (8, (4, 6, 8)), (9, (3, 6, 9)), (10, (4, 5, 6, 8, 10))],
)
def test_counts_that_leave_the_plate_level(positions: int, counts: tuple[int, ...]) -> None:
    assert balanced_counts(positions) == counts


def test_spread_of_free_lengths() -> None:
    assert free_length_spread([40.0, 40.4, 39.6]) == pytest.approx(0.02)
    assert free_length_spread([38.2]) == 0.0
    assert FREE_LENGTH_SPREAD_LIMIT == 0.02  # common practice, no source


def test_critical_length_of_a_spring_between_flat_seats() -> None:
    assert END_CONSTANT_FLAT == 0.5
    assert critical_free_length(20.0) == pytest.approx(105.2)
    # Hinged ends buckle at half the length.
    assert critical_free_length(20.0, 1.0) == pytest.approx(52.6)
