"""A record's figures as a data sheet shows them: value with doubt, how known, by whom, as typed."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from app.documents import Document, Q
from app.fields import Field
from app.presentation.input_words import HOW_WORDS
from app.presentation.numbers import NBSP, number_text, with_unit
from app.presentation.short_figures import given_text
from app.units import UnitError, parse

ENDS_WORDS = {
    "plain": "Plain",
    "plain_ground": "Plain, ground",
    "closed": "Closed",
    "closed_ground": "Closed and ground",
}

TAKEN = "taken so, since nothing else is stated"
"""Where a figure comes from that a record has although nobody gave it."""


@dataclass(frozen=True)
class SheetLine:
    """One figure of a sheet.

    Attributes:
        label: what it is.
        text: the value with its unit; as typed first, where that was in another unit.
        origin: how it is known, by whom, when and with what.
        caution: what is unusual about it, "" for nothing.
    """

    label: str
    text: str
    origin: str = ""
    caution: str = ""


@dataclass(frozen=True)
class SheetPart:
    """Lines that belong together, and the names of the figures that are not known yet."""

    heading: str
    lines: tuple[SheetLine, ...]
    unknown: str = ""


def figure_line(label: str, q: Q, field: Field) -> SheetLine:
    """The line of a figure with its doubt."""
    return SheetLine(label, value_text(q, field), origin_text(q), field.caution(q.value) or "")


def value_text(q: Q, field: Field) -> str:
    """A figure as it was typed and what it comes to: ``0.125 in (3.175 mm)``.

    A share is shown in its own form; a standard uncertainty is named, since ± is a limit here.

    >>> value_text(Q(value=3.175, typed="0.125 in"), Field("lift_mm", "Lift", "length"))
    '0.125\\xa0in (3.175\\xa0mm)'
    """
    if q.plus_minus:
        text = given_text(q.value, q.plus_minus, field.unit)
    else:
        text = with_unit(number_text(q.value), field.unit)
    if q.std:
        u = with_unit(number_text(q.std, digits=2), field.unit)
        text = f"{text}, standard uncertainty {u}"
    typed = typed_elsewhere(q, field)
    return f"{typed} ({text})" if typed else text


def typed_elsewhere(q: Q, field: Field) -> str:
    """What was typed, where it was typed in another unit than the program's own."""
    if q.typed is None:
        return ""
    try:
        typed = parse(q.typed, field.dimension)
    except UnitError:
        return ""  # from a file that wrote it otherwise
    if typed.unit == field.unit:
        return ""
    number, unit = q.typed, ""
    if typed.unit_typed and typed.unit and q.typed.endswith(typed.unit):
        number, unit = q.typed.removesuffix(typed.unit).rstrip(), typed.unit
    return number if not unit else f"{number}{NBSP}{unit}"


def origin_text(q: Q) -> str:
    """How a figure is known, by whom, when, with what; what nobody said is said to be open."""
    how = HOW_WORDS.get(q.how or "", "how known: not said")
    if q.default_doubt:
        how = f"{how}, usual doubt"
    rest = [text for text in (q.by, q.at, q.with_what) if text]
    if not rest and q.how == "measured":
        rest = ["by whom: not said"]
    return " · ".join([how, *rest])


def part(
    heading: str,
    document: Document,
    fields: Mapping[str, Field],
    names: Iterable[str],
    more: Sequence[SheetLine] = (),
) -> SheetPart:
    """The lines of a document's figures by name; those that are not known are named at the end."""
    lines: list[SheetLine] = []
    unknown: list[str] = []
    for name in names:
        field, value = fields[name], getattr(document, name)
        if value is None:
            unknown.append(field.label)
        elif isinstance(value, Q):
            line = figure_line(field.label, value, field)
            taken = value == type(document).model_fields[name].default
            lines.append(replace(line, origin=TAKEN) if taken else line)
        else:
            text = with_unit(number_text(float(value)), field.unit)
            lines.append(SheetLine(field.label, text, caution=field.caution(float(value)) or ""))
    return SheetPart(heading, (*more, *lines), "; ".join(unknown))


def cautions_in(parts: Iterable[SheetPart]) -> Iterator[tuple[str, str]]:
    """Label and text of every figure that is unusual."""
    for found in parts:
        for line in found.lines:
            if line.caution:
                yield line.label, line.caution
