"""Figures in the digits that a builder can use."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.presentation.short_figures import given_text, short_pair, short_text


@pytest.mark.parametrize(
    ("value", "doubt", "shown"),
    [
        (120.0, 0.05, ("120.00", "0.05")),  # four digits alone would leave a doubt of 0.0
        (42.0, 0.0204, ("42.00", "0.02")),
        (4.75, 0.058, ("4.750", "0.058")),
        (12.949, 2.52, ("12.9", "2.5")),
        (1204.3, 38.1, ("1204", "38")),
        (23456.0, 1234.0, ("23\u202f500", "1\u202f200")),
        (0.0, 0.03, ("0.000", "0.030")),
        (97.83262, None, ("97.83", "")),
        (1.3, 0.0, ("1.3", "")),
        (None, 1.0, ("not known", "")),
    ],
)
def test_a_worked_out_figure(
    value: float | None, doubt: float | None, shown: tuple[str, str]
) -> None:
    assert short_pair(value, doubt) == shown


def test_a_unit_stands_behind_both() -> None:
    assert short_text(42.0, 0.02, "mm") == "42.00 ± 0.02\u00a0mm"
    assert short_text(55.03086, None, "mm") == "55.03\u00a0mm"
    assert short_text(None) == "not known"


def test_what_was_typed_gets_no_zeros_of_the_programs_own() -> None:
    assert given_text(63.0, 0.02, "mm") == "63 ± 0.02\u00a0mm"
    assert given_text(100.123, None, "mm") == "100.123\u00a0mm"
    assert given_text(45.0, 0.5, "%") == "(45 ± 0.5)\u00a0%"
    assert given_text(1200.0, 100.0, "N") == "1200 ± 100\u00a0N"


@given(st.floats(1e-3, 1e4), st.floats(1e-6, 0.5))
def test_a_doubt_that_there_is_never_reads_as_none(value: float, share: float) -> None:
    _, shown = short_pair(value, value * share)
    assert any(digit in shown for digit in "123456789")
