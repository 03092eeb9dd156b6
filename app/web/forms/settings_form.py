"""The form of the team's settings: default doubts, limits, and the name that forms begin with."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from app.fields import CATALOGUE, DOUBT_TABLE, HOWS, KINDS, DefaultDoubt, Field
from app.fields.doubts import ANY
from app.presentation.numbers import NBSP
from app.units import DIMENSIONS, UnitError, parse
from app.web.forms.figures import plain
from app.web.forms.reader import FormReader

KIND_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "length": "Length",
        "wire": "Wire and disc thickness",
        "plate": "Plate and shim thickness",
        "deflection": "Deflection of a spring",
        "force": "Force",
        "rate": "Spring rate",
        "torque": "Torque",
        "mass": "Mass",
        "angle": "Angle",
        "friction": "Friction coefficient",
        "ratio": "Ratio",
        "speed": "Speed",
        "volume": "Displacement",
        "power": "Power",
        "pressure": "Mean effective pressure",
        "modulus": "Modulus",
        "share": "Share or efficiency",
        "coils": "Coils",
        "inertia": "Moment of inertia",
        "temperature": "Temperature",
        "time": "Time",
        "number": "Other number",
        ANY: "Every kind without a doubt of its own here",
    }
)
"""Kinds of figure with the words for them; counts are exact and have no row."""

SHOWN_KINDS = tuple(kind for kind in (*KINDS, ANY) if kind in KIND_WORDS)
OWN = "the team's own"
HEAVY = Field(
    "heavy",
    "A pack is called heavy above",
    "number",
    above=1,
    usual=(1.5, 6),
    help="Ratio of available to required torque without the service factor.",
)

_RECORD_GROUPS = (
    "pack",
    "friction",
    "spring",
    "load_point",
    "load",
    "disc",
    "centrifugal",
    "engine",
)
_OF_TESTS = {"temperature": "temperature_rise", "time": "time", "inertia": "inertia"}
"""Dimensions of kinds that only tests and launches have; a doubt of a temperature is a rise."""

_BETWEEN = re.compile(r"\s*;\s*|\s+or\s+")


def dimension_of(kind: str) -> str | None:
    """Dimension in which a doubt of this kind can be given, None where its figures have several.

    >>> dimension_of("length"), dimension_of("mass"), dimension_of("time")
    ('length', None, 'time')
    """
    found = {
        field.dimension
        for group in _RECORD_GROUPS
        for field in CATALOGUE[group].values()
        if field.doubt_kind == kind
    }
    return found.pop() if len(found) == 1 else _OF_TESTS.get(kind)


def half_width_text(row: DefaultDoubt | None) -> str:
    """A row's half-width as a form takes it.

    >>> half_width_text(DefaultDoubt("wire", "listed", 0.02, 0.005, "")).replace(NBSP, " ")
    '0.02 mm or 0.5 %'
    """
    if row is None:
        return ""
    parts = []
    if row.absolute is not None:
        dimension = dimension_of(row.kind)
        unit = DIMENSIONS[dimension].canonical if dimension else ""
        parts.append(f"{plain(row.absolute)}{NBSP}{unit}" if unit else plain(row.absolute))
    if row.relative is not None:
        parts.append(f"{plain(round(100 * row.relative, 10))}{NBSP}%")
    return " or ".join(parts) or "exact"


def shipped(kind: str, how: str) -> DefaultDoubt | None:
    """The row as shipped that serves a kind and how."""
    return DOUBT_TABLE.get((kind, how)) or DOUBT_TABLE.get((ANY, how))


def settings_texts(
    doubts: Mapping[tuple[str, str], DefaultDoubt], limits: Mapping[str, float], name: str
) -> dict[str, str]:
    """The texts of the form's boxes, by name; what is as shipped stays blank."""
    texts = {
        box(kind, how): half_width_text(row).replace(NBSP, " ")
        for (kind, how), row in doubts.items()
    }
    if "heavy" in limits:
        texts["heavy"] = plain(limits["heavy"])
    return {**texts, "measured_by": name}


def box(kind: str, how: str) -> str:
    """Name of the box of one doubt."""
    return f"doubt.{kind}.{how}"


@dataclass(frozen=True)
class Settings:
    """What the form asks for: the rows that differ from those shipped, limits, the name."""

    doubts: list[DefaultDoubt]
    limits: dict[str, float]
    measured_by: str


def read_settings(form: FormReader) -> Settings:
    """The settings that a form describes.

    Raises:
        BadInput: with everything that is wrong, each under the name of its box.
    """
    rows = [_read_row(form, kind, how) for kind in SHOWN_KINDS for how in HOWS]
    heavy = form.number("heavy", HEAVY)
    found = Settings(
        doubts=[row for row in rows if row is not None],
        limits={} if heavy is None else {"heavy": heavy},
        measured_by=form.text("measured_by", longest=200) or "",
    )
    form.refuse_problems()
    return found


def _read_row(form: FormReader, kind: str, how: str) -> DefaultDoubt | None:
    """One doubt: a half-width in the kind's unit, a share in percent, or both."""
    name = box(kind, how)
    text = form.text(name, longest=100)
    if text is None:
        return None
    absolute = relative = None
    for piece in _BETWEEN.split(text.removeprefix("±").strip()):
        try:
            if piece.endswith("%"):
                relative = parse(piece, "fraction").value
            else:
                absolute = _absolute(piece, kind)
        except UnitError as error:
            form.say(name, f"{_label(kind, how)}: {error.message}")
            return None
    if (absolute or 0) < 0 or not 0 <= (relative or 0) < 1:
        form.say(name, f"{_label(kind, how)}: write 0 or more, and less than 100 %.")
        return None
    return DefaultDoubt(kind, how, absolute, relative, OWN)


def _absolute(piece: str, kind: str) -> float:
    dimension = dimension_of(kind)
    if dimension is None:
        raise UnitError("write it in percent: figures of this kind come in several units.")
    if dimension == "fraction":
        return parse(piece, "number").value
    return parse(piece, dimension, difference=True).value


def _label(kind: str, how: str) -> str:
    return f"{KIND_WORDS[kind]}, {how}"
