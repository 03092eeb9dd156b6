"""The border of units: a strict number parser and an allow-list of units for each kind of quantity.

Typed text is read here and nowhere else, by a fixed grammar. It never reaches an expression
evaluator, so no spelling of a number can be computed, guessed at or silently changed. Inside the
program every figure is in the unit that its name ends with (``facing_od_mm``, ``torque_nm``).

Numbers and factors are exact fractions until the last step, so 1 1/2 in is 38.1 mm to the last bit.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from app.errors import AppError
from app.unit_table import DIMENSIONS, Dimension, Unit, tidy_unit

__all__ = [
    "DIMENSIONS",
    "LARGEST",
    "LONGEST",
    "Dimension",
    "Typed",
    "Unit",
    "UnitError",
    "parse",
    "to_unit",
    "unit_label",
    "unit_names",
]

LONGEST = 32
"""Characters that a typed number with its unit may have."""
LARGEST = 1e9
"""The largest magnitude taken, in the canonical unit; beyond it lies a slip of the key."""

_SPACES = dict.fromkeys(map(ord, "\u00a0\u2002\u2003\u2007\u2008\u2009\u200a\u202f"), " ")
_SIGNS = {0x2212: "-"}
_NUMBER = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?(?:[eE][+-]?[0-9]+)?")
_FRACTION = re.compile(r"(?:([0-9]+) +)?([0-9]+)/([0-9]+)")
_SEPARATED = re.compile(r"[+-]?[0-9]*(?:[.,][0-9]*)+")
_SPACED = re.compile(r"[+-]?[0-9]+(?: +[0-9]+)+(?![0-9/])")


class UnitError(AppError):
    """The text is no quantity of the asked kind; the message says what would be right."""


@dataclass(frozen=True)
class Typed:
    """A quantity read from typed text.

    Attributes:
        value: the figure in the dimension's canonical unit.
        text: what was typed, without the spaces around it.
        unit: label of the unit that was typed, or of the one that was assumed.
        unit_typed: whether the unit stands in ``text``.
    """

    value: float
    text: str
    unit: str
    unit_typed: bool = False


def parse(text: str, dimension: str, *, unit: str | None = None, difference: bool = False) -> Typed:
    """Read a number and its unit from typed text.

    Grammar: ``sign? digits (sep digits)? (e sign? digits)?``, or ``n/m`` or ``n n/m`` in inches,
    then a unit of the dimension or none. One comma or one point is the decimal sign. A comma
    before exactly three digits could also mark thousands, so it is asked about; so are two
    separators. A point before three digits is a decimal sign: it is how the question says to
    write one, and how the program itself writes numbers.

    Args:
        text: what was typed.
        dimension: a key of ``DIMENSIONS``.
        unit: label or alias of the unit assumed when none is typed; the canonical unit if None.
        difference: read a difference (a doubt, a rise): a scale with a zero of its own counts
            by its step only.

    Raises:
        UnitError: the text is outside the grammar, too long, too large, or in a foreign unit.
    """
    kind = DIMENSIONS[dimension]
    trimmed = text.strip()
    if len(trimmed) > LONGEST:
        raise UnitError(
            f"Write the number in at most {LONGEST} characters, such as {kind.example}."
        )
    plain = trimmed.translate(_SPACES).translate(_SIGNS).strip()
    if not plain:
        raise UnitError(f"Write a number, such as {kind.example}.")
    number_text, unit_text = _split(plain, kind)
    used = _find_unit(unit_text, kind) if unit_text else _assumed(unit, kind)
    number = _number(number_text, unit_text, used, kind)
    exact = number * used.factor + (0 if difference else used.offset)
    if abs(exact) > LARGEST:
        raise UnitError(f"Write a number between -1e9 and 1e9 {kind.canonical}".rstrip() + ".")
    return Typed(float(exact), trimmed, used.label, unit_typed=bool(unit_text))


def to_unit(value: float, dimension: str, unit: str, *, difference: bool = False) -> float:
    """Give a canonical figure in another unit of its dimension.

    Args:
        value: figure in the canonical unit; one that is not finite comes back as it is.
        dimension: a key of ``DIMENSIONS``.
        unit: label or alias of the wanted unit.
        difference: convert a difference, without the zero of the scale.

    Raises:
        UnitError: the dimension has no such unit.
    """
    wanted = _find_unit(unit, DIMENSIONS[dimension])
    if not math.isfinite(value):
        return value
    return float((Fraction(value) - (0 if difference else wanted.offset)) / wanted.factor)


@lru_cache(maxsize=256)  # a page asks for the same few, once for each of its figures
def unit_label(unit: str) -> str:
    """Give the one way in which the program writes a unit: ``Nm`` and ``N m`` give ``N·m``.

    Raises:
        UnitError: no dimension has such a unit.
    """
    tidy = tidy_unit(unit)
    for kind in DIMENSIONS.values():
        if tidy in kind.aliases:
            return kind.aliases[tidy].label
    raise UnitError(f"“{unit[:LONGEST]}” is no unit that Gripledger knows.")


def unit_names(dimension: str) -> tuple[str, ...]:
    """Give the labels of the units that a dimension takes, the canonical one first."""
    return tuple(DIMENSIONS[dimension].units)


def _split(plain: str, kind: Dimension) -> tuple[str, str]:
    """Part the number from the unit, or say what keeps it from being a number."""
    fraction = _FRACTION.match(plain)
    if fraction:
        return fraction.group(), plain[fraction.end() :].strip()
    _refuse_separators(plain, kind)
    number = _NUMBER.match(plain)
    if not number:
        raise UnitError(f"Write a number in figures 0 to 9, such as {kind.example}.")
    return number.group(), plain[number.end() :].strip()


def _refuse_separators(plain: str, kind: Dimension) -> None:
    """Refuse figures that could be read in two ways, with both ways spelt out."""
    spaced = _SPACED.match(plain)
    if spaced:
        joined = spaced.group().replace(" ", "")
        raise UnitError(f"Write {joined} if that is one number: leave no space inside it.")
    match = _SEPARATED.match(plain)
    if not match:
        return
    figures = match.group()
    separators = [sign for sign in figures if sign in ".,"]
    if len(separators) > 1:
        last = max(figures.rfind("."), figures.rfind(","))
        whole = re.sub(r"[.,]", "", figures)
        if len(set(separators)) == 1 or last == len(figures) - 1:
            raise UnitError(f"Write {whole} without separators, or with one decimal sign.")
        head = re.sub(r"[.,]", "", figures[:last])
        raise UnitError(
            f"Write {head}.{figures[last + 1 :]} or {whole}: use one comma or point only, "
            "as the decimal sign."
        )
    head, tail = re.split(r"[.,]", figures)
    digits = head.lstrip("+-")
    if not digits or not tail:
        whole = f"{head}0.{tail}" if tail else head
        hint = f"Write {whole}" if digits or tail else f"Write a number, such as {kind.example}"
        raise UnitError(f"{hint}: a decimal sign stands between figures.")
    if separators == [","] and len(tail) == 3 and len(digits) <= 3 and digits.strip("0"):
        either = f"{head}{tail}" if kind.whole else f"{head}{tail} or {head}.{tail}"
        raise UnitError(f"Write {either}: “{figures}” can be read in two ways.")


def _number(number_text: str, unit_text: str, used: Unit, kind: Dimension) -> Fraction:
    """Turn the number's text into an exact fraction."""
    if "/" in number_text:
        return _inch_fraction(number_text, unit_text, used, kind)
    if kind.whole and not re.fullmatch(r"[+-]?[0-9]+", number_text):
        raise UnitError(f"Write a whole number, such as {kind.example}.")
    pointed = number_text.replace(",", ".")
    size = abs(float(pointed))
    mantissa = re.split("[eE]", pointed)[0]
    if size == 0:
        # The exponent of a zero is never raised: 0e999999999 would take the machine's memory.
        if mantissa.strip("+-0."):
            raise UnitError("Write 0: the number is too small to be told from it.")
        return Fraction(0)
    if not math.isfinite(size):
        raise UnitError(f"Write a number between -1e9 and 1e9 {kind.canonical}".rstrip() + ".")
    return Fraction(pointed)


def _inch_fraction(text: str, unit_text: str, used: Unit, kind: Dimension) -> Fraction:
    match = _FRACTION.fullmatch(text)
    if "in" not in kind.units:
        raise UnitError(f"Write a decimal number instead of a fraction, such as {kind.example}.")
    if used.label != "in" or match is None:
        told = f" instead of {unit_text}" if unit_text else ""
        raise UnitError(f"Write {text} in{told}, or a decimal number: fractions are for inches.")
    whole, over, under = (int(part or 0) for part in match.groups())
    if under == 0:
        raise UnitError("Write a fraction with a lower number above 0, such as 1/2 in.")
    return whole + Fraction(over, under)


def _assumed(unit: str | None, kind: Dimension) -> Unit:
    return kind.units[kind.canonical] if unit is None else _find_unit(unit, kind)


def _find_unit(text: str, kind: Dimension) -> Unit:
    """Find a unit of the dimension by any of its spellings."""
    tidy = tidy_unit(text)
    if tidy in kind.aliases:
        return kind.aliases[tidy]
    if tidy in kind.questions:
        raise UnitError(kind.questions[tidy])
    # Capitals may differ (nm, KN), but not where they tell milli from mega (mPa, MPa).
    near = {
        alias.label
        for spelling, alias in kind.aliases.items()
        if spelling.casefold() == tidy.casefold() and (spelling[:1] == "M") == (tidy[:1] == "M")
    }
    if len(near) == 1:
        return kind.units[near.pop()]
    raise UnitError(_units_taken(text, kind))


def _units_taken(text: str, kind: Dimension) -> str:
    names = [label for label in kind.units if label]
    if not names:
        return f"Write a plain number without “{text}”, such as {kind.example}."
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"
    bare = "a plain number or " if "" in kind.units else ""
    return f"Write {bare}the {kind.noun} in {listed}: “{text}” is not one of these."
