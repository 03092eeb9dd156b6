"""Text in a CSV: inert in a spreadsheet, and the same text again when read."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.presentation.csv_guard import guarded, unguarded

_RISKY = st.text("'=+-@\t\r\nab", max_size=6)


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r", "\n"])
def test_a_formula_sign_gets_one_apostrophe(sign: str) -> None:
    assert guarded(f"{sign}1+1") == f"'{sign}1+1"
    assert unguarded(f"'{sign}1+1") == f"{sign}1+1"


@pytest.mark.parametrize("text", ["", "Wren", "O'Hara", "'quoted'", "a=b", " =1", "1-2"])
def test_other_text_is_left_alone(text: str) -> None:
    assert guarded(text) == text
    assert unguarded(text) == text


@given(st.text() | _RISKY)
def test_reading_gives_back_what_was_written(text: str) -> None:
    assert unguarded(guarded(text)) == text


@given(_RISKY)
def test_nothing_written_begins_with_a_formula_sign(text: str) -> None:
    assert guarded(text)[:1] not in tuple("=+-@\t\r\n")
