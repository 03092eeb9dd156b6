"""The form of a slip test: from what was typed at the bench to the document, and back.

Reading n has the names ``readings.n.kind``, ``.low`` (the value, the bound, the span's lower end),
``.high`` and ``.as_read``, the answer where it lies beyond the gauge's range: ``yes``, or the
bound that was meant, such as ``at_least 60``.
"""

import math
import re
from typing import Any, get_args

from app import documents
from app.documents import SlipTest, TorqueReading
from app.documents.slip_test import (
    READING_KINDS,
    Direction,
    FacingWear,
    Heat,
)
from app.errors import BadInput
from app.fields import SLIP_TEST
from app.mechanics.inputs import FrictionKind, Lubrication
from app.units import UnitError, parse
from app.web.forms.figures import FormRead, checked, plain
from app.web.forms.reader import FormReader

HEAD = "readings"
UNIT = "readings.unit"
LONGEST_LINE = 200
LONGEST_NOTES = 10_000
LEAST_ROWS = 3
"""Rows of readings that a blank form shows."""

CHOICES: dict[str, tuple[str, ...]] = {
    "lubrication": get_args(Lubrication),
    "friction": get_args(FrictionKind),
    "direction": get_args(Direction),
    "heat": get_args(Heat),
    "facings": get_args(FacingWear),
}
LINES = ("pack", "date", "by", "instrument", "excluded_reason")
COUNTS = ("springs_fitted", "runs_since_assembly")
NUMBERS = ("speed_rpm", "temperature_c", "wear_mm")
SAME_AGAIN = (
    "pack", "by", "lubrication", "friction", "springs_fitted", "direction", "speed_rpm",
    "instrument", "wear_mm", "oil_on_plates", "heat", "facings", UNIT,
)
"""What another run like this one begins with; its readings are its own."""

_TORQUES = {
    "value": ("torque_nm", ""),
    "span": ("low_nm", "high_nm"),
    "at_least": ("at_least_nm", ""),
    "at_most": ("at_most_nm", ""),
}
_BOUND = re.compile(r"(at_least|at_most) ([0-9]{1,9}(?:\.[0-9]{1,12})?)")


def slip_test_texts(test: SlipTest) -> dict[str, str]:
    """The texts of the form's boxes, by name."""
    texts: dict[str, str] = {}
    for name in (*LINES, *CHOICES, *COUNTS, "notes"):
        value = getattr(test, name)
        if value is not None:
            texts[name] = str(value)
    for name in NUMBERS:
        value = getattr(test, name)
        if value is not None:
            texts[name] = plain(value)
    if test.oil_on_plates is not None:
        texts["oil_on_plates"] = "yes" if test.oil_on_plates else "no"
    if test.excluded:
        texts["excluded"] = "yes"
    for n, reading in enumerate(test.readings):
        texts |= _reading_texts(f"{HEAD}.{n}.", reading)
    return texts


def _reading_texts(head: str, reading: TorqueReading) -> dict[str, str]:
    low, high = reading.ends
    texts: dict[str, str] = {f"{head}kind": reading.kind}
    if reading.kind == "span":
        texts[f"{head}low"] = _torque_text(reading.typed, low)
        texts[f"{head}high"] = _torque_text(reading.typed_high, high)
    else:
        texts[f"{head}low"] = _torque_text(reading.typed, high if low is None else low)
    if reading.as_read:
        texts[f"{head}as_read"] = "yes"
    return texts


def _torque_text(typed: str | None, torque_nm: float | None) -> str:
    """A torque as it was typed; a bound may have been typed as the value that it is not."""
    value = torque_nm or 0.0
    try:
        if typed is not None and math.isclose(parse(typed, "torque").value, value):
            return typed
    except UnitError:
        pass  # from a file that wrote it otherwise
    return plain(value)


def read_slip_test(form: FormReader, stored: SlipTest | None = None) -> FormRead[SlipTest]:
    """The run that a form describes; a stored one keeps its name.

    Raises:
        BadInput: with everything that is wrong, each under the name of its box.
    """
    raw: dict[str, Any] = {"name": None if stored is None else stored.name}
    for name in LINES:
        raw[name] = form.text(name, longest=LONGEST_LINE)
    for name, options in CHOICES.items():
        raw[name] = form.choice(name, options)
    for name in COUNTS:
        raw[name] = form.count(name, SLIP_TEST[name])
    for name in NUMBERS:
        raw[name] = form.number(name, SLIP_TEST[name])
    oil = form.choice("oil_on_plates", ("yes", "no"))
    raw["oil_on_plates"] = None if oil is None else oil == "yes"
    raw["notes"] = form.text("notes", longest=LONGEST_NOTES)
    for name, words in (
        ("pack", "Say which pack was tested."),
        ("lubrication", "Say whether the plates ran dry or in oil."),
        ("friction", "Say which friction the readings tell of: at the first slip, or sliding."),
    ):
        if raw[name] is None and form.message_for(name) is None:
            form.say(name, words)
    raw["readings"], names = _readings(form)
    known = {name: value for name, value in raw.items() if value is not None}
    known["excluded"] = form.flag("excluded")
    known["excluded_reason"] = raw["excluded_reason"]
    return FormRead(checked(form, SlipTest, known, names), names)


def rows_filled(form: FormReader) -> list[int]:
    """Numbers of the rows in which a torque stands."""
    return [
        n
        for n in form.places(HEAD)
        if any(form.raw.get(f"{HEAD}.{n}.{end}", "").strip() for end in ("low", "high"))
    ]


def rows_shown(form: FormReader) -> list[int]:
    """Rows that the form shows: those that were sent, and three at least."""
    return list(range(max(max(form.places(HEAD), default=-1) + 1, LEAST_ROWS)))


def add_row(form: FormReader) -> str:
    """Make room for one more reading of the last one's kind; the name of its box."""
    filled = rows_filled(form)
    n = rows_shown(form)[-1] + 1
    kind = form.raw.get(f"{HEAD}.{filled[-1]}.kind", "value") if filled else "value"
    form.raw[f"{HEAD}.{n}.kind"] = kind
    return f"{HEAD}.{n}.low"


def reading_in_row(form: FormReader, n: int) -> TorqueReading | None:
    """The reading of one row without the answer to any question; None while it can't be read."""
    alone = FormReader(form.raw)
    try:
        return documents.read(TorqueReading, _read_row(alone, n) or {}).document
    except BadInput:
        return None


def _readings(form: FormReader) -> tuple[list[dict[str, Any]], dict[str, str]]:
    found: list[dict[str, Any]] = []
    names: dict[str, str] = {}
    for n in rows_filled(form):
        reading = _read_row(form, n)
        if reading is None:
            continue
        head, at = f"{HEAD}.{n}.", f"{HEAD}.{len(found)}"
        answer = form.text(f"{head}as_read")
        bound = _BOUND.fullmatch(answer or "")
        if bound is not None:
            reading = {f"{bound[1]}_nm": float(bound[2]), "typed": reading.get("typed")}
        elif answer == "yes":
            reading["as_read"] = True
        names |= {f"{at}.{part}": f"{head}low" for parts in _TORQUES.values() for part in parts}
        names |= {at: f"{head}low", f"{at}.high_nm": f"{head}high"}
        names[f"{at}.as_read"] = f"{head}as_read"
        found.append(reading)
    if not found and rows_filled(form):
        # Every row was refused at its own box; that there is none needs no saying.
        return [{"torque_nm": 1.0}], names
    return found, names


def _read_row(form: FormReader, n: int) -> dict[str, Any] | None:
    """One row as the document takes it; None with a problem at its box."""
    head = f"{HEAD}.{n}."
    kind = form.choice(f"{head}kind", READING_KINDS) or "value"
    lower, upper = _TORQUES[kind]
    reading: dict[str, Any] = {}
    for name, part, typed in ((f"{head}low", lower, "typed"), (f"{head}high", upper, "typed_high")):
        if not part:
            continue
        # One unit serves all rows, unless a row has its own beside the number.
        form.raw[f"{name}__unit"] = form.raw.get(UNIT, "")
        figure = form.quantity(name, SLIP_TEST[part])
        if figure is None:
            if form.message_for(name) is None:
                form.say(name, "Write the torque here too, or choose another kind of reading.")
            return None
        reading[part] = figure["value"]
        reading[typed] = figure["typed"]
    return reading
