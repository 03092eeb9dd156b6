"""Figures in no more digits than a builder can use, for a page; files have them in full."""

import math
from decimal import Decimal

from app.presentation.numbers import (
    NOT_KNOWN,
    doubt_decimals,
    number_text,
    quantity_text,
    with_unit,
)

DIGITS = 4
"""Significant digits of a figure that nobody gave a doubt; a calliper on a pack has no more."""

NO_DOUBT = "no doubt given"
"""What stands in the place of a doubt that nobody gave."""


def short_pair(
    value: float | None, doubt: float | None = None, *, digits: int = DIGITS
) -> tuple[str, str]:
    """A worked-out figure and its doubt as texts, the second "" where there is none.

    The doubt has two significant digits, or one where the figure would get more than ``digits``.

    >>> short_pair(1204.3, 38.1), short_pair(63.0, 0.02), short_pair(97.83262)
    (('1204', '38'), ('63.00', '0.02'), ('97.83', ''))
    """
    if value is None or not math.isfinite(value):
        return NOT_KNOWN, ""
    if doubt is None or not math.isfinite(doubt) or doubt <= 0.0:
        return number_text(value, digits=digits), ""
    two = doubt_decimals(doubt)
    size = Decimal(repr(float(value))).adjusted() if value else -two
    decimals = min(two, max(digits - 1 - size, two - 1))
    if decimals < 0:
        text, _, spread = quantity_text(value, doubt).partition(" ± ")
        return text, spread
    return number_text(value, decimals=decimals), number_text(doubt, decimals=decimals)


def short_text(
    value: float | None, doubt: float | None = None, unit: str = "", *, digits: int = DIGITS
) -> str:
    """The same in one text with its unit.

    >>> short_text(42.0, 0.01, "mm").replace("\\u00a0", " ")
    '42.00 ± 0.01 mm'
    """
    text, spread = short_pair(value, doubt, digits=digits)
    return with_unit(f"{text} ± {spread}" if spread else text, unit)


def given_text(value: float, doubt: float | None, unit: str = "") -> str:
    """A figure that somebody gave, in the digits that it was given in.

    Zeros that a doubt in two digits adds at the end say nothing that was measured.

    >>> given_text(1.4, 0.007), given_text(63.0, 0.05), given_text(1234.0, 98.72)
    ('1.4 ± 0.007', '63 ± 0.05', '1234 ± 99')
    """
    both = quantity_text(value, doubt).split(" ± ")
    text = " ± ".join(_bare(part) for part in both)
    return with_unit(f"({text})" if unit in ("%", "°") and len(both) > 1 else text, unit)


def _bare(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text
