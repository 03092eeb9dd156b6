"""The form of an engine: from what was typed to the document, and back.

The boxes of each kind of torque are named ``torque.<kind>.<figure>``; the chosen kind says which
of them are read.
"""

import re
from collections.abc import Sequence
from typing import Any

from app.documents import Bmep, Curve, Engine, Measured, Power, Q, Torque
from app.documents.engine import RATIO_AGREEMENT
from app.fields import ENGINE
from app.units import UnitError, parse
from app.web.forms.figures import FigureReader, FormRead, checked, plain, put_figure
from app.web.forms.pairs import Box, box
from app.web.forms.reader import FormReader

FIGURES = (
    "displacement_cc",
    "bore_mm",
    "stroke_mm",
    "primary_ratio",
    "primary_efficiency",
    "service_factor",
    "envelope_diameter_mm",
    "envelope_height_mm",
    "spline_major_mm",
    "gear_module_mm",
    "vehicle_mass_kg",
    "wheel_radius_m",
    "clutch_to_wheel_ratio",
)
TORQUE_FIGURES: dict[str, tuple[str, ...]] = {
    "measured": ("torque_nm", "speed_rpm"),
    "power": ("power_kw", "speed_rpm"),
    "bmep": ("bmep_kpa",),
    "curve": ("overall_ratio", "driveline_efficiency"),
}
KINDS: tuple[tuple[str, str], ...] = (
    ("", "Not known yet"),
    ("measured", "Largest torque, measured"),
    ("power", "Power at a speed"),
    ("curve", "Torque curve"),
    ("bmep", "Mean effective pressure"),
)
"""Kinds of torque figure with the words for them."""

TEETH = ("driving_teeth", "driven_teeth")
STROKES = ("2", "4")
PLACES = ("crank", "wheel")
POINTS = "torque.curve.points"
LONGEST_CURVE = 60_000
LONGEST_NAME = 200
LONGEST_NOTES = 10_000

_MODELS: dict[str, type[Measured | Power | Bmep | Curve]] = {
    "measured": Measured,
    "power": Power,
    "bmep": Bmep,
    "curve": Curve,
}
_RATIO = ENGINE["primary_ratio"]
_ALL_OF_IT = Q(value=1.0)
_BETWEEN = re.compile(r"\s*[;\t]\s*|,\s+|\s+")


def engine_texts(engine: Engine) -> dict[str, str]:
    """The texts of the form's boxes, by name, for a record that is opened again."""
    texts = {"name": engine.name}
    for name in ("cylinders", "strokes", "spline_count", "notes"):
        value = getattr(engine, name)
        if value is not None:
            texts[name] = str(value)
    for name in FIGURES:
        q = getattr(engine, name)
        if not (name == "primary_efficiency" and q == _ALL_OF_IT):
            put_figure(texts, name, q, ENGINE[name])
    if engine.primary_teeth is not None:
        texts |= dict(zip(TEETH, map(str, engine.primary_teeth), strict=True))
    _put_torque(texts, engine.torque)
    return texts


def read_engine(form: FormReader, stored: Engine | None = None) -> FormRead[Engine]:
    """The engine that a form describes.

    Args:
        form: the form as it was sent.
        stored: the record as it stands, whose untouched figures keep where they came from.

    Raises:
        BadInput: with everything that is wrong, each under the name of its box.
    """
    figures = FigureReader(form, None if stored is None else engine_texts(stored))
    raw: dict[str, Any] = {"notes": form.text("notes", longest=LONGEST_NOTES)}
    strokes = form.choice("strokes", STROKES)
    raw["strokes"] = None if strokes is None else int(strokes)
    for name in ("cylinders", "spline_count"):
        raw[name] = form.count(name, ENGINE[name])
    for name in FIGURES:
        q = None if stored is None else getattr(stored, name)
        raw[name] = figures.quantity(name, ENGINE[name], q)
    raw["primary_teeth"] = teeth = _read_teeth(form)
    if teeth is not None:
        _compare_ratio(form, box("primary_ratio", "ratio", raw["primary_ratio"], _RATIO), teeth)
    raw["torque"], names = _read_torque(figures, None if stored is None else stored.torque)
    known = {name: value for name, value in raw.items() if value is not None}
    known["name"] = form.text("name", longest=LONGEST_NAME) or ""
    if stored is not None and stored.checked is not None:
        known["checked"] = stored.checked  # the catalogue withdraws it when a figure changes
    names["primary_teeth"] = "driving_teeth"
    return FormRead(checked(form, Engine, known, names), names)


def curve_text(points: list[tuple[float, float]]) -> str:
    """A torque curve as lines of speed and torque.

    >>> curve_text([(3000.0, 8.5), (6000.0, 11.0)])
    '3000 8.5\\n6000 11'
    """
    return "\n".join(f"{plain(speed)} {plain(torque)}" for speed, torque in points)


def read_curve(form: FormReader, name: str = POINTS) -> list[tuple[float, float]]:
    """The points of a torque curve, one a line: speed in r/min, then torque.

    Between the two stands a space, a semicolon, a tab, or a comma with a space after it.
    """
    found: list[tuple[float, float]] = []
    lines: dict[float, int] = {}
    text = form.text(name, longest=LONGEST_CURVE)
    unit = form.raw.get(f"{name}__unit", "").strip() or None
    for number, line in enumerate((text or "").splitlines(), start=1):
        if not line.strip():
            continue
        problem = _read_line(line.strip(), unit, found)
        if problem is None:
            speed, _ = found[-1]
            problem = _said_before(speed, lines.setdefault(speed, number), number)
        if problem is not None:
            form.say(name, f"Line {number}: {problem}")
            break
    return found


def _read_line(line: str, unit: str | None, found: list[tuple[float, float]]) -> str | None:
    """Add the point of one line, or say what would be right."""
    parts = _BETWEEN.split(line)
    if len(parts) == 1 and line.count(",") == 1:
        parts = line.split(",")
    if len(parts) != 2:
        return "Write a speed and a torque with a space between them, like 6000 12.5."
    try:
        speed = parse(parts[0], "speed").value
        torque = parse(parts[1], "torque", unit=unit).value
    except UnitError as error:
        return error.message
    problem = ENGINE["speed_rpm"].problem(speed) or ENGINE["curve_torque_nm"].problem(torque)
    if problem is None:
        found.append((speed, torque))
    return problem


def _said_before(speed: float, first: int, number: int) -> str | None:
    """Point to the earlier line with the same speed."""
    if first == number:
        return None
    return f"{plain(speed)} r/min stands in line {first} too. Write each speed once."


def _put_torque(texts: dict[str, str], torque: Torque | None) -> None:
    if torque is None:
        return
    texts["torque.kind"] = torque.kind
    head = f"torque.{torque.kind}."
    for name in TORQUE_FIGURES[torque.kind]:
        put_figure(texts, head + name, getattr(torque, name), ENGINE[name])
    if isinstance(torque, Curve):
        texts[POINTS] = curve_text(torque.points)
        texts["torque.curve.at"] = torque.at
        if torque.relative_doubt:
            texts["torque.curve.relative_doubt"] = plain(torque.relative_doubt)


def _read_torque(
    figures: FigureReader, stored: Torque | None
) -> tuple[dict[str, Any] | None, dict[str, str]]:
    form = figures.form
    kind = form.choice("torque.kind", list(_MODELS))
    if kind is None:
        if _typed_without_kind(form):
            form.say("torque.kind", "Choose which torque figure is best known.")
        return None, {}
    kept = stored if isinstance(stored, _MODELS[kind]) else None
    head = f"torque.{kind}."
    raw: dict[str, Any] = {}
    for name in TORQUE_FIGURES[kind]:
        q = None if kept is None else getattr(kept, name)
        raw[name] = figures.quantity(head + name, ENGINE[name], q)
    names = {"torque.": head}
    if kind == "curve":
        raw["points"] = read_curve(form)
        raw["at"] = form.choice("torque.curve.at", PLACES)
        raw["relative_doubt"] = form.number(f"{head}relative_doubt", ENGINE["relative_doubt"])
    known = {name: value for name, value in raw.items() if value is not None}
    return {"kind": kind, **known}, names


def _typed_without_kind(form: FormReader) -> bool:
    names = [f"torque.{kind}.{n}" for kind, ns in TORQUE_FIGURES.items() for n in ns]
    return any(form.raw.get(name, "").strip() for name in [*names, POINTS])


def _compare_ratio(form: FormReader, ratio: Box, teeth: Sequence[int]) -> None:
    """Mark the ratio too where the teeth give another; the document marks the teeth."""
    driving, driven = teeth
    by_teeth = driven / driving
    if ratio.value is not None and abs(by_teeth / ratio.value - 1.0) > RATIO_AGREEMENT:
        form.say(
            ratio.name,
            f"Write {by_teeth:.4g}, which {driven} to {driving} teeth give, or leave the ratio "
            f"out. Here stands {ratio.told}.",
        )


def _read_teeth(form: FormReader) -> list[int] | None:
    counts = [form.count(name, ENGINE[name]) for name in TEETH]
    blank = [not form.raw.get(name, "").strip() for name in TEETH]
    if all(blank):
        return None
    for name, left_out in zip(TEETH, blank, strict=True):
        if left_out:
            form.say(name, "Write the teeth of both gears, or leave both out.")
    known = [count for count in counts if count is not None]
    return known if len(known) == len(TEETH) else None
