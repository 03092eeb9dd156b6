"""Default doubts: the table answers for every kind and every way of knowing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.fields import CATALOGUE
from app.fields.doubts import (
    ANY,
    DEFAULT_DOUBTS,
    DOUBT_TABLE,
    HOWS,
    KINDS,
    DefaultDoubt,
    default_doubt,
    doubt_row,
)


@pytest.mark.parametrize(
    ("kind", "how", "value", "half_width"),
    [
        ("length", "measured", 115.0, 0.05),
        ("wire", "measured", 2.5, 0.01),
        ("plate", "measured", 3.0, 0.02),
        ("force", "measured", 250.0, 5.0),
        ("length", "listed", 200.0, 1.0),
        ("length", "estimated", 200.0, 20.0),
        ("friction", "assumed", 0.1, 0.02),
        ("count", "measured", 6.0, 0.0),
        ("count", "assumed", 6.0, 0.0),
        ("torque", "estimated", -50.0, 5.0),
        ("wire", "listed", 2.0, 0.02),
        ("wire", "listed", 8.0, 0.04),
        ("arm", "measured", 0.5, 0.001),
        ("arm", "listed", 0.5, 0.0025),
    ],
)
def test_shipped_rows(kind: str, how: str, value: float, half_width: float) -> None:
    assert default_doubt(kind, how, value) == pytest.approx(half_width, rel=1e-12)


def test_no_figure_in_metres_gets_the_doubt_of_a_calliper_in_millimetres() -> None:
    in_metres = [
        field
        for group in CATALOGUE.values()
        for field in group.values()
        if field.dimension == "length_m"
    ]
    assert {field.name for field in in_metres} >= {"arm_m", "wheel_radius_m"}
    for field in in_metres:
        for how in HOWS:
            # Not finer than a rule's 1 mm, and nowhere near a calliper's 0.05 read as metres.
            half_width = default_doubt(field.doubt_kind, how, 0.5)
            assert 0.001 <= half_width <= (0.02 if how in ("measured", "listed") else 0.1)


def test_each_row_stands_once_and_owns_up_to_being_a_judgement() -> None:
    assert len(DOUBT_TABLE) == len(DEFAULT_DOUBTS)
    assert all(row.note.endswith("our judgement, editable") for row in DEFAULT_DOUBTS)
    assert ANY not in KINDS


@given(st.sampled_from(KINDS), st.sampled_from(HOWS), st.floats(-1e9, 1e9))
def test_every_kind_known_in_every_way_has_a_doubt(kind: str, how: str, value: float) -> None:
    assert default_doubt(kind, how, value) >= 0


@given(st.sampled_from(sorted(set(KINDS) - {"count"})), st.floats(1, 1e6))
def test_what_is_assumed_is_less_sure_than_what_is_estimated(kind: str, value: float) -> None:
    assert default_doubt(kind, "assumed", value) > default_doubt(kind, "estimated", value) > 0


def test_the_team_s_own_rows_come_first() -> None:
    own = DefaultDoubt("length", "measured", 0.02, None, "our new calliper")
    overrides = {("length", "measured"): own}
    assert default_doubt("length", "measured", 115.0, overrides) == 0.02
    assert default_doubt("length", "listed", 200.0, overrides) == 1.0
    assert doubt_row("length", "measured", overrides) is own
    wide = {(ANY, "assumed"): DefaultDoubt(ANY, "assumed", None, 0.5, "careful")}
    assert default_doubt("mass", "assumed", 2.0, wide) == 1.0


@pytest.mark.parametrize(("kind", "how"), [("colour", "measured"), ("length", "guessed")])
def test_an_unknown_kind_or_way_is_no_silent_zero(kind: str, how: str) -> None:
    with pytest.raises(KeyError):
        default_doubt(kind, how, 1.0)
