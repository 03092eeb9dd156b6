"""Typed numbers: what is taken comes out exactly, and the rest is refused with a sentence."""

import math
import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.units import (
    DIMENSIONS,
    LARGEST,
    LONGEST,
    UnitError,
    parse,
    to_unit,
    unit_label,
    unit_names,
)

NBSP, THIN, MINUS = "\u00a0", "\u2009", "\u2212"


def refusal(text: str, dimension: str = "length", unit: str | None = None) -> str:
    with pytest.raises(UnitError) as caught:
        parse(text, dimension, unit=unit)
    return caught.value.message


@pytest.mark.parametrize(
    ("text", "dimension", "value", "unit"),
    [
        ("0,12", "length", 0.12, "mm"),
        ("0.12", "length", 0.12, "mm"),
        ("0,125", "length", 0.125, "mm"),
        ("1.234", "length", 1.234, "mm"),
        ("1234,567", "length", 1234.567, "mm"),
        ("12 mm", "length", 12.0, "mm"),
        ("12mm", "length", 12.0, "mm"),
        (f"  12{NBSP}mm ", "length", 12.0, "mm"),
        (f"12{THIN}mm", "length", 12.0, "mm"),
        ("0.5 in", "length", 12.7, "in"),
        ('0.5"', "length", 12.7, "in"),
        ("1 1/2 in", "length", 38.1, "in"),
        ("1/8 in", "length", 3.175, "in"),
        ("20 thou", "length", 0.508, "thou"),
        ("1.2e2", "length", 120.0, "mm"),
        ("+5E-1", "length", 0.5, "mm"),
        ("10 Nm", "torque", 10.0, "N·m"),
        ("10 N·m", "torque", 10.0, "N·m"),
        ("10 N*m", "torque", 10.0, "N·m"),
        ("10 N.m", "torque", 10.0, "N·m"),
        ("10 N-m", "torque", 10.0, "N·m"),
        ("10 N m", "torque", 10.0, "N·m"),
        ("10 nm", "torque", 10.0, "N·m"),
        ("10 lb-ft", "torque", 13.558179483314004, "lbf·ft"),
        ("10 ft·lbf", "torque", 13.558179483314004, "lbf·ft"),
        ("10 in·lbf", "torque", 1.129848290276167, "lbf·in"),
        ("3,5 N", "force", 3.5, "N"),
        ("5 kp", "force", 49.03325, "kgf"),
        ("84 lbf/in", "rate", 14.710654160704015, "lbf/in"),
        ("80 GPa", "pressure", 80000.0, "GPa"),
        ("10 bar", "pressure_kpa", 1000.0, "bar"),
        ("8500 RPM", "speed", 8500.0, "r/min"),
        ("125 cm³", "displacement", 125.0, "cc"),
        ("0.125 l", "displacement", 125.0, "L"),
        ("12 PS", "power", 8.825985, "PS"),
        ("45°", "angle", 45.0, "°"),
        ("12 %", "fraction", 0.12, "%"),
        ("3.35:1", "ratio", 3.35, ""),
        ("140 °F", "temperature", 60.0, "°F"),
        (f"{MINUS}5", "temperature", -5.0, "°C"),
        ("-3.5", "torque", -3.5, "N·m"),
        ("6", "count", 6.0, ""),
        ("0e999999999", "length", 0.0, "mm"),
    ],
)
def test_taken(text: str, dimension: str, value: float, unit: str) -> None:
    typed = parse(text, dimension)
    assert typed.value == value  # to the last bit: the sums are fractions
    assert typed.unit == unit
    assert typed.text == text.strip()


def test_the_assumed_unit_counts_only_where_none_is_typed() -> None:
    assert parse("0.5", "length", unit="in").value == 12.7
    assert parse("0.5", "length", unit='"').unit == "in"
    assert parse("1 1/2", "length", unit="in").value == 38.1
    assert parse("12 mm", "length", unit="in").value == 12.0
    assert not parse("0.5", "length", unit="in").unit_typed
    assert parse("12 mm", "length", unit="in").unit_typed


def test_a_difference_leaves_the_zero_of_a_scale_out() -> None:
    assert parse("9 °F", "temperature", difference=True).value == 5.0
    assert to_unit(5.0, "temperature", "°F", difference=True) == 9.0
    assert to_unit(60.0, "temperature", "°F") == 140.0


@pytest.mark.parametrize(
    ("text", "dimension", "words"),
    [
        ("1,234", "length", "Write 1234 or 1.234"),
        ("-12,500 mm", "length", "Write -12500 or -12.500"),
        ("123,456", "force", "Write 123456 or 123.456"),
        ("1.234,5", "force", "Write 1234.5 or 12345"),
        ("1,234.5", "force", "Write 1234.5 or 12345"),
        ("1,234,567", "force", "Write 1234567 without separators"),
        ("1,000", "count", "Write 1000:"),
        ("12 345", "force", "Write 12345 if that is one number"),
        ("1 234 567 mm", "length", "Write 1234567 if"),
        (".5", "length", "Write 0.5:"),
        ("5.", "length", "Write 5:"),
        ("-.5 mm", "length", "Write -0.5:"),
        (".", "length", "such as 12.5 mm"),
        ("1/2", "length", "Write 1/2 in, or a decimal number"),
        ("1/2 mm", "length", "Write 1/2 in instead of mm"),
        ("1/0 in", "length", "lower number above 0"),
        ("1/2", "force", "decimal number instead of a fraction"),
        ("5 lb", "force", "Write lbf"),
        ("5 kg", "force", "Write kgf"),
        ("84 lb/in", "rate", "Write lbf/in"),
        ("12 hp", "power", "hp(mech) for 0.7457 kW or PS"),
        ("12 bhp", "power", "“bhp” could be either"),
        ("5 mil", "length", "Write mm or thou"),
        ("100 Hz", "speed", "Write r/s"),
        ("12 N", "length", "Write the length in mm, cm, m, μm, in or thou: “N” is not one"),
        ("12 mPa", "pressure", "“mPa” is not one of these"),
        ("5 N 3", "force", "“N 3” is not one of these"),
        ("12 x", "number", "plain number without “x”"),
        ("12 x", "fraction", "a plain number or the share in %"),
        ("6.0", "count", "Write a whole number, such as 6"),
        ("6e1", "count", "Write a whole number"),
        ("66:22", "ratio", "plain number"),
        ("", "torque", "Write a number, such as 12.5 N·m"),
        (" \u00a0 ", "torque", "Write a number"),
        ("1e400", "length", "between -1e9 and 1e9 mm"),
        ("1e-400", "length", "too small"),
        ("2e9", "number", "between -1e9 and 1e9."),
        ("1e7 m", "length", "between -1e9 and 1e9 mm"),
        ("x" * 10_000, "length", "at most 32 characters"),
        ("1" * 33, "length", "at most 32 characters"),
    ],
)
def test_refused_with_what_would_be_right(text: str, dimension: str, words: str) -> None:
    assert words in refusal(text, dimension)


@pytest.mark.parametrize("dimension", list(DIMENSIONS))
@pytest.mark.parametrize(
    "text",
    [
        *("nan", "inf", "-inf", "Infinity", "1e400", "-1e400", "1_000", "9**9**9", "0x10", "0b1"),
        *(
            "٣٫٥",
            "١٢",
            "１２",
            "1２",
            "²",
            "½",
            "1½",
            "",
            " ",
            "+",
            "-",
            "e5",
            "1e",
            "--1",
            "+-1",
            "1+1",
        ),
        *("(1)", "1;2", "1\n2", "1\x002", "'5", "=5", "true", "None", "1e5e5", "1/2/3", "1 1/2/3"),
        "9" * 10_000,
        "1e" + "9" * 10_000,
    ],
)
def test_no_field_takes_what_is_no_number(text: str, dimension: str) -> None:
    assert refusal(text, dimension).startswith("Write ")


def test_advice_about_an_ambiguous_comma_can_be_followed() -> None:
    first, second = re.findall(r"[0-9.]+", refusal("1,234"))[:2]
    assert (parse(first, "length").value, parse(second, "length").value) == (1234.0, 1.234)


def test_a_message_never_repeats_a_long_text() -> None:
    assert all(len(refusal("5" + "y" * n)) < 200 for n in (1, 31, 32, 10_000))


def test_the_longest_text_is_counted_after_the_spaces_around_it() -> None:
    assert parse(" " * 50 + "5" + " " * 50, "length").value == 5.0
    assert parse("0." + "3" * (LONGEST - 2), "length").value == pytest.approx(1 / 3)


def test_an_unknown_unit_is_refused_wherever_it_is_named() -> None:
    for asked in (
        lambda: parse("5", "length", unit="furlong"),
        lambda: to_unit(5.0, "length", "N"),
        lambda: unit_label("furlong"),
    ):
        with pytest.raises(UnitError):
            asked()


@pytest.mark.parametrize(
    ("typed", "shown"),
    [("Nm", "N·m"), ("N m", "N·m"), ("rpm", "r/min"), ("cm3", "cc"), ("deg", "°"), ("", "")],
)
def test_a_unit_is_written_in_one_way(typed: str, shown: str) -> None:
    assert unit_label(typed) == shown


def test_no_label_has_torque_backwards_or_joined() -> None:
    labels = {label for name in DIMENSIONS for label in unit_names(name)}
    assert "N·m" in labels
    assert not labels & {"Nm", "m·N", "mN"}


def test_not_finite_comes_back_as_it_is() -> None:
    assert math.isnan(to_unit(math.nan, "length", "in"))
    assert to_unit(math.inf, "length", "in") == math.inf


_FIGURES = st.floats(-LARGEST, LARGEST, allow_nan=False)
_SOME_UNIT = st.sampled_from([(d, u) for d in DIMENSIONS for u in unit_names(d) if d != "count"])


@given(_FIGURES)
def test_what_the_program_writes_it_reads_again_bit_for_bit(value: float) -> None:
    assert parse(repr(value), "length").value == value


@given(st.floats(-1e6, 1e6, allow_nan=False), _SOME_UNIT)
def test_there_and_back_through_every_unit(value: float, kind_unit: tuple[str, str]) -> None:
    dimension, unit = kind_unit
    shown = to_unit(value, dimension, unit)
    if abs(shown) > LARGEST / 1000:
        return
    back = parse(repr(shown), dimension, unit=unit).value
    assert back == pytest.approx(value, rel=1e-14, abs=1e-11)


@given(st.integers(0, 10**6), st.integers(1, 10**4), st.integers(1, 10**4))
def test_inch_fractions_are_exact(whole: int, over: int, under: int) -> None:
    expected = float((whole + Fraction(over, under)) * Fraction("25.4"))
    assert parse(f"{whole} {over}/{under} in", "length").value == expected


@given(st.decimals(-(10**6), 10**6, allow_nan=False, places=2))
def test_comma_and_point_are_the_same_decimal_sign(number: object) -> None:
    text = f"{number:.2f}"
    assert parse(text.replace(".", ","), "number").value == parse(text, "number").value


_GRAMMAR = re.compile(
    r"[+-]?[0-9]+([.,][0-9]+)?([eE][+-]?[0-9]+)?|([0-9]+ +)?[0-9]+/[0-9]+", re.ASCII
)


@given(st.text(max_size=40), st.sampled_from(list(DIMENSIONS)))
def test_garbage_is_refused_or_was_a_number_after_all(text: str, dimension: str) -> None:
    try:
        typed = parse(text, dimension)
    except UnitError:
        return
    plain = typed.text.replace(MINUS, "-")
    assert _GRAMMAR.match(plain)
    assert math.isfinite(typed.value)
    assert abs(typed.value) <= LARGEST


@given(
    st.text("0123456789.,+-eE /_x*", max_size=34),
    st.sampled_from(["", " mm", "in", ' "', " N", "%"]),
)
def test_near_numbers_give_a_number_that_python_agrees_with(figures: str, unit: str) -> None:
    try:
        typed = parse(figures + unit, "length")
    except UnitError:
        return
    number = figures.strip()
    if "/" in number:
        assert typed.unit == "in"
        return
    factor = 25.4 if typed.unit == "in" else 1.0
    assert typed.value == pytest.approx(float(number.replace(",", ".")) * factor, rel=1e-12)
