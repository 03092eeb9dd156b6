"""Numbers as a page shows them: to sensible digits, with unit and doubt, true to their verdict.

Rounding works on the exact binary value, half to even, and never before this last step. The CSV
has its own form (``app.presentation.csv_text``), at full precision.
"""

import math
from collections.abc import Iterable, Sequence
from decimal import ROUND_DOWN, ROUND_HALF_EVEN, Context, Decimal

from app.units import DIMENSIONS, Typed, to_unit, unit_label

NBSP = "\u00a0"
THIN = "\u202f"
MINUS = "\u2212"
NOT_KNOWN = "not known"

_WIDE = Context(prec=1200)  # any double written out in full fits
_PLAIN_BELOW = 9999.0
"""Positive numbers below this have no groups of three, however they are rounded."""


def number_text(value: float | None, *, digits: int = 6, decimals: int | None = None) -> str:
    """Give a number without doubt, with a true minus and groups of three.

    Args:
        value: the number; None or not finite reads "not known".
        digits: significant digits at most; trailing zeros are left off.
        decimals: exactly so many decimals instead, as down a column.

    >>> number_text(12.50), number_text(206000.0) == f"206{THIN}000", number_text(None)
    ('12.5', True, 'not known')
    """
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    if decimals is not None:
        if decimals >= 0 and 0.0 < value < _PLAIN_BELOW:
            return f"{value:.{decimals}f}"  # rounds alike, many times as fast
        return _grouped(_rounded(value, -decimals))
    if value == 0:
        return "0"
    rounded = _rounded(value, _exponent(value) - digits + 1)
    text = _grouped(rounded)
    return text.rstrip("0").rstrip(".") if "." in text else text


def with_unit(text: str, unit: str) -> str:
    """Join a number's text and its unit by a space that never breaks; ``°`` follows closely.

    >>> with_unit("12.3", "Nm") == f"12.3{NBSP}N·m", with_unit("45", "deg")
    (True, '45°')
    """
    label = unit_label(unit)
    if not label or text == NOT_KNOWN:
        return text
    return f"{text}{'' if label == '°' else NBSP}{label}"


def doubt_decimals(doubt: float) -> int:
    """Give the decimals that show a doubt to two significant digits (JCGM 100:2008, 7.2.6).

    A doubt of 0.0996 rounds up to 0.10, so it asks for two decimals and not three. Below 0 the
    decimals count zeros before the decimal sign.

    >>> doubt_decimals(0.05), doubt_decimals(0.0996), doubt_decimals(1234.0)
    (3, 2, -2)
    """
    place = _exponent(doubt) - 1
    if _rounded(doubt, place).adjusted() > place + 1:
        place += 1
    return -place


def quantity_text(
    value: float | None, doubt: float | None = None, unit: str = "", *, digits: int = 6
) -> str:
    """Give ``value ± doubt unit``: doubt to two significant digits, value rounded to match.

    Args:
        value: the figure in ``unit``; None reads "not known".
        doubt: half-width or uncertainty in the same unit; None or 0 leaves it out.
        unit: label or alias of the unit, "" for a plain number.
        digits: significant digits of a value without doubt.

    Source: JCGM 100:2008, 7.2.6.

    >>> quantity_text(115.0123, 0.05, "mm") == f"115.012 ± 0.050{NBSP}mm"
    True
    """
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    if doubt is None or not math.isfinite(doubt) or doubt <= 0:
        return with_unit(number_text(value, digits=digits), unit)
    place = -doubt_decimals(doubt)
    parts = _rounded(value, place), _rounded(doubt, place)
    group = any(abs(part) >= 10_000 for part in parts)
    both = " ± ".join(_grouped(part, four=group) for part in parts)
    if unit_label(unit) in ("°", "%"):
        both = f"({both})"
    return with_unit(both, unit)


def typed_text(typed: Typed, dimension: str, *, digits: int = 6) -> str:
    """Give what was typed and what it comes to: ``0.125 in (3.175 mm)``.

    Only the figure is given where it was typed in the canonical unit.
    """
    canonical = DIMENSIONS[dimension].canonical
    said = typed.text if typed.unit_typed else with_unit(typed.text, typed.unit)
    if typed.unit == canonical:
        return said
    return f"{said} ({with_unit(number_text(typed.value, digits=digits), canonical)})"


def in_unit_text(
    value: float | None, doubt: float | None, dimension: str, unit: str, *, digits: int = 6
) -> str:
    """Give a canonical figure and its doubt in another unit of its dimension."""
    if value is None:
        return NOT_KNOWN
    shown = to_unit(value, dimension, unit)
    spread = None if doubt is None else to_unit(doubt, dimension, unit, difference=True)
    return quantity_text(shown, spread, unit, digits=digits)


def ratio_text(value: float | None, limit: float = 1.0, *, decimals: int = 2) -> str:
    """Give a ratio in enough digits that it lies on the same side of ``limit`` as it does.

    0.996 against 1 shows 0.996, never 1.00. Beyond nine decimals the figure is cut instead of
    rounded, which keeps it below a limit that it misses by less.

    >>> ratio_text(1.234), ratio_text(0.996), ratio_text(1.0), ratio_text(1 - 1e-12)
    ('1.23', '0.996', '1.00', '0.999999999')
    """
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    for places in range(decimals, 10):
        shown = _rounded(value, -places)
        if (shown >= Decimal(limit)) == (value >= limit):
            return _grouped(shown)
    return _grouped(_rounded(value, -9, ROUND_DOWN))


def margin_text(ratio: float | None) -> str:
    """Give the margin of a ratio over 1 in percent, with its sign.

    A margin that is not 0 never shows as 0.

    >>> margin_text(1.234) == f"+23{NBSP}%", margin_text(0.996) == f"{MINUS}0.4{NBSP}%"
    (True, True)
    """
    if ratio is None or not math.isfinite(ratio):
        return NOT_KNOWN
    margin = (Decimal(ratio) - 1) * 100
    if margin == 0:
        return f"0{NBSP}%"
    shown = next(
        (text for places in range(10) if (text := _quantized(margin, -places)) != 0),
        Decimal("1e-9").copy_sign(margin),
    )
    sign = "+" if margin > 0 else MINUS
    return f"{sign}{_grouped(abs(shown))}{NBSP}%"


def probability_text(probability: float | None) -> str:
    """Give a chance in percent; one too small or too near to certainty to be told says so.

    >>> probability_text(0.0) == f"<{NBSP}0.1{NBSP}%", probability_text(0.5) == f"50{NBSP}%"
    (True, True)
    """
    if probability is None or not math.isfinite(probability):
        return NOT_KNOWN
    if probability < 0.001:
        return f"<{NBSP}0.1{NBSP}%"
    if probability > 0.999:
        return f">{NBSP}99.9{NBSP}%"
    decimals = 0 if 0.1 <= probability <= 0.9 else 1
    return f"{number_text(100 * probability, decimals=decimals)}{NBSP}%"


def column_decimals(
    values: Iterable[float | None], doubts: Iterable[float | None] = (), *, digits: int = 3
) -> int:
    """Give the decimals that serve a whole column, 0 or more.

    With doubts, the smallest one sets them (two significant digits of it); without, the largest
    value does (``digits`` significant digits of it).
    """
    spreads = [d for d in doubts if d is not None and math.isfinite(d) and d > 0]
    if spreads:
        return max(0, doubt_decimals(min(spreads)))
    sizes = [abs(v) for v in values if v is not None and math.isfinite(v) and v]
    return max(0, digits - 1 - _exponent(max(sizes))) if sizes else 0


def column_texts(
    values: Sequence[float | None], doubts: Sequence[float | None] = (), *, digits: int = 3
) -> list[str]:
    """Give the numbers of a column, all with the same decimals."""
    decimals = column_decimals(values, doubts, digits=digits)
    return [number_text(value, decimals=decimals) for value in values]


def _exponent(value: float) -> int:
    """Give the power of ten of the first significant digit."""
    return Decimal(repr(float(value))).adjusted()


def _rounded(value: float, place: int, rounding: str = ROUND_HALF_EVEN) -> Decimal:
    """Round to 10^place, exactly from the binary value."""
    return _quantized(Decimal(value), place, rounding)


def _quantized(value: Decimal, place: int, rounding: str = ROUND_HALF_EVEN) -> Decimal:
    return value.quantize(Decimal(1).scaleb(place), rounding=rounding, context=_WIDE)


def _grouped(number: Decimal, *, four: bool = False) -> str:
    """Write a number out with a true minus and groups of three, from five figures (or four) on."""
    sign, plain = "", f"{number:f}"
    if plain.startswith("-"):
        sign, plain = MINUS, plain[1:]
    whole, dot, part = plain.partition(".")
    if len(whole) > (3 if four else 4):
        whole = f"{int(whole):,}".replace(",", THIN)
    if not plain.strip("0."):
        sign = ""  # a rounded nothing has no sign
    return f"{sign}{whole}{dot}{part}"
