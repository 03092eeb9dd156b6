"""Numbers on a page: sensible digits, true minus, and no figure that contradicts its verdict."""

import math
import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from uncertainties import ufloat

from app.presentation import numbers
from app.presentation.numbers import MINUS, NBSP, NOT_KNOWN, THIN
from app.units import LARGEST, parse


def plain(text: str) -> str:
    """A page's number as a machine reads it."""
    return text.replace(THIN, "").replace(MINUS, "-")


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (12.5, "12.5"),
        (0.1 + 0.2, "0.3"),
        (-3.25, f"{MINUS}3.25"),
        (1234.0, "1234"),
        (206000.0, f"206{THIN}000"),
        (1e9, f"1{THIN}000{THIN}000{THIN}000"),
        (0.0, "0"),
        (-0.0, "0"),
        (1e-7, "0.0000001"),
        (999999.7, f"1{THIN}000{THIN}000"),
        (None, NOT_KNOWN),
        (math.nan, NOT_KNOWN),
        (math.inf, NOT_KNOWN),
    ],
)
def test_number(value: float | None, shown: str) -> None:
    assert numbers.number_text(value) == shown


def test_a_number_rounded_to_nothing_has_no_sign() -> None:
    assert numbers.number_text(-0.001, decimals=2) == "0.00"


@pytest.mark.parametrize(
    ("value", "doubt", "unit", "shown"),
    [
        (12.3456, 0.05, "mm", f"12.346 ± 0.050{NBSP}mm"),
        (10.0, 0.0996, "Nm", f"10.00 ± 0.10{NBSP}N·m"),
        (56789.0, 1234.0, "N", f"56{THIN}800 ± 1{THIN}200{NBSP}N"),
        (-3.2, 0.1, "N", f"{MINUS}3.20 ± 0.10{NBSP}N"),
        (0.12, 0.012, "", "0.120 ± 0.012"),
        (45.2, 0.5, "deg", "(45.20 ± 0.50)°"),
        (12.0, 3.0, "%", f"(12.0 ± 3.0){NBSP}%"),
        (12.5, 0.0, "mm", f"12.5{NBSP}mm"),
        (12.5, None, "mm", f"12.5{NBSP}mm"),
        (90.0, None, "°", "90°"),
        (None, 0.1, "mm", NOT_KNOWN),
        (math.nan, 0.1, "mm", NOT_KNOWN),
    ],
)
def test_quantity(value: float | None, doubt: float | None, unit: str, shown: str) -> None:
    assert numbers.quantity_text(value, doubt, unit) == shown


# The library rounds a doubt twice, so one that ends near a 5 may differ by its last digit.
_BETWEEN = st.one_of(st.floats(0, 0.49), st.floats(0.51, 0.99))


@given(st.floats(-1e6, 1e6), st.integers(10, 98), _BETWEEN, st.integers(-7, 3))
def test_quantity_agrees_with_the_uncertainties_library(
    value: float, digits: int, rest: float, power: int
) -> None:
    doubt = (digits + rest) * 10.0**power
    shown = plain(numbers.quantity_text(value, doubt)).split(" ± ")
    both, exponent = re.fullmatch(r"\((.*)\)(e.*)", f"{ufloat(value, doubt):.2ue}").groups()
    theirs = [float(n + exponent) for n in both.split("+/-")]
    ours = [float(part) for part in shown]
    assert ours[1] == theirs[1]
    unit = 10.0 ** -numbers.doubt_decimals(doubt)
    # Half way between two last digits the library may take the other one.
    half_way = abs(abs(value - ours[0]) - unit / 2) < 1e-6 * unit
    assert ours[0] == theirs[0] or (half_way and abs(ours[0] - theirs[0]) <= 1.001 * unit)


@given(st.floats(1e-8, 1e8))
def test_a_doubt_shows_two_significant_digits(doubt: float) -> None:
    decimals = numbers.doubt_decimals(doubt)
    shown = round(doubt * 10.0**decimals)
    assert 9 < shown <= 100


@pytest.mark.parametrize(
    ("value", "limit", "shown"),
    [
        (0.996, 1.0, "0.996"),
        (0.9996, 1.0, "0.9996"),
        (1.004, 1.0, "1.00"),
        (1.0, 1.0, "1.00"),
        (1.234, 1.0, "1.23"),
        (2.996, 3.0, "2.996"),
        (3.004, 3.0, "3.00"),
        (math.nextafter(1.0, 0.0), 1.0, "0.999999999"),
        (0.0, 1.0, "0.00"),
        (None, 1.0, NOT_KNOWN),
        (math.inf, 1.0, NOT_KNOWN),
    ],
)
def test_ratio(value: float | None, limit: float, shown: str) -> None:
    assert numbers.ratio_text(value, limit) == shown


_RATIOS = st.one_of(
    st.floats(0, 1e4),
    st.floats(0.99, 1.01),
    st.integers(-20, 20).map(lambda n: 1.0 + n * 2.0**-52),
)


@given(_RATIOS, st.sampled_from([1.0, 1.2, 3.0]))
def test_a_shown_ratio_never_contradicts_its_verdict(value: float, limit: float) -> None:
    shown = float(plain(numbers.ratio_text(value, limit)))
    assert (shown >= limit) == (value >= limit)
    assert shown == pytest.approx(value, abs=0.0051)


@given(_RATIOS)
def test_a_shown_margin_has_the_sign_of_the_margin(ratio: float) -> None:
    text = plain(numbers.margin_text(ratio))
    assert text.endswith(f"{NBSP}%")
    shown = float(text.removesuffix(f"{NBSP}%"))
    assert (shown > 0, shown < 0) == (ratio > 1, ratio < 1)
    assert shown == pytest.approx(100 * (ratio - 1), abs=0.51)


@pytest.mark.parametrize(
    ("ratio", "shown"),
    [
        (1.234, f"+23{NBSP}%"),
        (0.8, f"{MINUS}20{NBSP}%"),
        (1.004, f"+0.4{NBSP}%"),
        (1.0, f"0{NBSP}%"),
        (math.nextafter(1.0, 0.0), f"{MINUS}0.000000001{NBSP}%"),
        (None, NOT_KNOWN),
        (math.nan, NOT_KNOWN),
    ],
)
def test_margin(ratio: float | None, shown: str) -> None:
    assert numbers.margin_text(ratio) == shown


@pytest.mark.parametrize(
    ("probability", "shown"),
    [
        (0.0, f"<{NBSP}0.1{NBSP}%"),
        (0.00099, f"<{NBSP}0.1{NBSP}%"),
        (0.001, f"0.1{NBSP}%"),
        (0.0234, f"2.3{NBSP}%"),
        (0.5, f"50{NBSP}%"),
        (0.95, f"95.0{NBSP}%"),
        (0.9995, f">{NBSP}99.9{NBSP}%"),
        (1.0, f">{NBSP}99.9{NBSP}%"),
        (None, NOT_KNOWN),
        (math.nan, NOT_KNOWN),
    ],
)
def test_probability(probability: float | None, shown: str) -> None:
    assert numbers.probability_text(probability) == shown


def test_a_column_has_the_same_decimals_throughout() -> None:
    assert numbers.column_texts([3.2, 60.123, None, -4]) == [
        "3.2",
        "60.1",
        NOT_KNOWN,
        f"{MINUS}4.0",
    ]
    assert numbers.column_texts([3.2, 60.123], [0.31, 4.0]) == ["3.20", "60.12"]
    assert numbers.column_texts([12345.0, 3.0]) == [f"12{THIN}345", "3"]
    assert numbers.column_decimals([None, 0.0]) == 0


def test_typed_text_stands_beside_what_it_comes_to() -> None:
    assert numbers.typed_text(parse("0.125 in", "length"), "length") == f"0.125 in (3.175{NBSP}mm)"
    assert (
        numbers.typed_text(parse("0.125", "length", unit="in"), "length")
        == f"0.125{NBSP}in (3.175{NBSP}mm)"
    )
    assert numbers.typed_text(parse("12", "length"), "length") == f"12{NBSP}mm"
    assert numbers.typed_text(parse("12 mm", "length"), "length") == "12 mm"
    assert numbers.typed_text(parse("6", "count"), "count") == "6"


def test_a_figure_in_another_unit_takes_its_doubt_along() -> None:
    assert numbers.in_unit_text(25.4, 2.54, "length", "in") == f"1.00 ± 0.10{NBSP}in"
    assert numbers.in_unit_text(100.0, 5.0, "temperature", "°F") == f"212.0 ± 9.0{NBSP}°F"
    assert numbers.in_unit_text(100.0, None, "length", "cm") == f"10{NBSP}cm"
    assert numbers.in_unit_text(None, None, "length", "in") == NOT_KNOWN


@given(st.floats(-LARGEST, LARGEST), st.integers(1, 9))
def test_a_shown_number_is_the_number_to_its_digits(value: float, digits: int) -> None:
    assume(value == 0 or abs(value) > 1e-12)
    shown = float(plain(numbers.number_text(value, digits=digits)))
    assert shown == float(f"{value:.{digits - 1}e}")


@given(
    st.floats(-20_000, 20_000) | st.decimals(-10_000, 10_000, places=2).map(float)
    | st.integers(-200_000, 200_000).map(lambda n: n / 16),
    st.integers(0, 4),
)
def test_the_quick_way_to_decimals_rounds_as_the_exact_one(value: float, decimals: int) -> None:
    """Sixteenths lie half way between two last digits: there the even one is taken."""
    exact = numbers._grouped(numbers._rounded(value, -decimals))
    assert numbers.number_text(value, decimals=decimals) == exact
