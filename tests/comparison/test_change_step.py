"""What the kinds of clamp share in working a change out."""

import math

import pytest

from app.comparison.change_step import moved, scaled, wear_mm
from app.mechanics.inputs import PackInputs, Quantity, State


def test_wear_of_a_state() -> None:
    pack = PackInputs(stack_wear_limit_mm=Quantity(1.5, plus_minus=0.2))
    assert wear_mm(pack, State(wear_mm=0.4)) == 0.4
    assert wear_mm(pack, State(wear_mm=None)) == 1.5
    assert math.isnan(wear_mm(PackInputs(), State(wear_mm=None)))


@pytest.mark.parametrize("doubt", [{}, {"plus_minus": 0.5}, {"std": 0.2}])
def test_a_scaled_figure_keeps_its_relative_doubt(doubt: dict[str, float]) -> None:
    found = scaled(Quantity(10.0, how="listed", **doubt), 1.5)
    assert found == Quantity(15.0, how="listed", **{n: 1.5 * v for n, v in doubt.items()})


def test_a_moved_figure_keeps_its_doubt() -> None:
    assert moved(Quantity(2.0, plus_minus=0.1, how="measured"), -0.5) == Quantity(
        1.5, plus_minus=0.1, how="measured")
