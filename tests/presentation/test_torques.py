"""Torques and ratios in the chosen unit, true to their verdict."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.comparison.board_view import BoardView
from app.comparison.cell import Reading
from app.presentation.numbers import NBSP, ratio_text
from app.presentation.torques import (
    fast_ratio,
    ratio_span,
    state_words,
    torque_in,
    torque_number,
    torque_span,
    torque_text,
    torque_with_doubt,
)

FIGURE = Reading(55.883, 5.9, 44.9, 67.8)


@given(
    st.one_of(
        st.floats(0.0, 2.0),
        st.floats(0.9, 1.1),
        st.floats(0.0, 1e9),
        st.integers(-10, 10).map(lambda n: 1.0 + n * 2.0**-52),
        st.integers(0, 3000).map(lambda n: n / 1000),
    )
)
def test_the_quick_way_writes_what_the_exact_one_writes(value: float) -> None:
    assert fast_ratio(value) == ratio_text(value)


@given(st.floats(0.5, 1.5))
def test_a_shown_ratio_lies_where_it_lies(value: float) -> None:
    assert (float(fast_ratio(value)) >= 1.0) == (value >= 1.0)


def test_pounds_feet_are_by_the_exact_factor() -> None:
    assert torque_in(1.3558179483314004, "lbf_ft") == 1.0
    assert torque_number(55.883, "nm") == "55.9"
    assert torque_text(55.883, "lbf_ft") == f"41.2{NBSP}lbf·ft"
    assert torque_span(FIGURE, "lbf_ft") == "33.1–50.0"
    assert torque_with_doubt(FIGURE, "nm") == f"55.9 ± 5.9{NBSP}N·m"
    assert torque_with_doubt(None, "nm") == "not known"


def test_the_ends_of_an_interval_keep_their_side_of_one() -> None:
    assert ratio_span(Reading(1.0, 0.1, 0.998, 1.201)) == "0.998–1.20"


@pytest.mark.parametrize(
    ("view", "words"),
    [
        (BoardView(), "oiled, sliding, new"),
        (BoardView("dry", "static", None), "dry, static, worn to each pack’s limit"),
        (BoardView(wear_mm=0.4), f"oiled, sliding, worn by 0.4{NBSP}mm"),
        (
            BoardView(radius="uniform_pressure", speed_rpm=6500.0),
            f"oiled, sliding, new, facings flat (uniform pressure), at 6500{NBSP}r/min",
        ),
    ],
)
def test_the_state_in_words(view: BoardView, words: str) -> None:
    assert state_words(view) == words
