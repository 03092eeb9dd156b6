"""Bounds and cautions of one figure, in words that say what would be right."""

import math

import pytest

from app.fields.definition import Field, by_name

LIFT = Field("lift_mm", "Lift", "length", at_least=0, usual=(0.3, 5))
DIAMETER = Field("od_mm", "Diameter", "length", above=0)
SHARE = Field("share", "Share", "fraction", at_least=0, below=1)
FACES = Field("faces", "Faces", "count", at_least=1, at_most=2)
PLATES = Field("plates", "Plates", "count", at_least=1)
ANY = Field("torque_nm", "Torque", "torque")


@pytest.mark.parametrize(
    ("one", "value", "sentence"),
    [
        (LIFT, -0.1, "Lift must be 0\u00a0mm or more."),
        (DIAMETER, 0.0, "Diameter must be more than 0\u00a0mm."),
        (SHARE, 1.0, "Share must be 0 or more and less than 1."),
        (FACES, 3.0, "Faces must be a whole number between 1 and 2."),
        (PLATES, 0.0, "Plates must be a whole number, 1 or more."),
        (PLATES, 2.5, "Plates must be a whole number, 1 or more."),
        (ANY, math.nan, "Torque must be a number."),
        (ANY, math.inf, "Torque must be a number."),
        (PLATES, math.inf, "Plates must be a whole number, 1 or more."),
        (
            Field("eta", "Efficiency", "fraction", above=0, at_most=1),
            1.1,
            "Efficiency must be more than 0 and at most 1.",
        ),
    ],
)
def test_impossible_figures_are_refused(one: Field, value: float, sentence: str) -> None:
    assert one.problem(value) == sentence


@pytest.mark.parametrize(
    ("one", "value"),
    [(LIFT, 0.0), (DIAMETER, 1e-9), (SHARE, 0.999), (FACES, 2.0), (PLATES, 1.0), (ANY, -5.0)],
)
def test_bounds_themselves_and_all_inside_are_possible(one: Field, value: float) -> None:
    assert one.problem(value) is None


def test_unusual_figures_get_a_caution_and_usual_ones_none() -> None:
    assert "usually between 0.3\u00a0mm and 5\u00a0mm" in str(LIFT.caution(12.0))
    assert [LIFT.caution(v) for v in (0.3, 1.5, 5.0)] == [None, None, None]
    assert ANY.caution(1e8) is None


def test_a_group_names_each_figure_once() -> None:
    assert list(by_name(LIFT, SHARE)) == ["lift_mm", "share"]
    with pytest.raises(ValueError, match="once"):
        by_name(LIFT, LIFT)
