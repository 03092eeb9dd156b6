"""What presses the plates together, in the form of a pack.

The form holds the boxes of every kind of clamp; the chosen kind says which of them are read. Boxes
of coil springs are named as in the document, those of the others ``clamp.<kind>.<figure>``.
"""

from typing import Any

from app.documents import Centrifugal, Clamp, Coil, Disc, DiscTable, Load
from app.fields import CATALOGUE, DISC, Field
from app.web.forms import spring_form
from app.web.forms.figures import FigureReader, put_figure
from app.web.forms.pairs import box, larger_first
from app.web.forms.reader import FormReader

KINDS: tuple[tuple[str, str], ...] = (
    ("", "Not known yet"),
    ("coil", "Coil springs"),
    ("load", "Clamp load, measured"),
    ("disc", "Disc spring, by its measures"),
    ("disc_table", "Disc spring, measured point by point"),
    ("centrifugal", "Weights on ramps"),
)
"""Kinds of clamp with the words for them."""

FIGURES: dict[str, tuple[str, ...]] = {
    "load": ("force_n", "rate_n_per_mm"),
    "disc": (
        "outside_mm",
        "inside_mm",
        "thickness_mm",
        "cone_height_mm",
        "installed_deflection_mm",
        "modulus_mpa",
        "poisson",
    ),
    "disc_table": ("installed_deflection_mm",),
    "centrifugal": ("weight_mass_g", "radius_mm", "ramp_angle_deg", "return_force_n"),
}
COUNTS: dict[str, tuple[str, ...]] = {
    "disc": ("in_parallel", "in_series"),
    "centrifugal": ("weights",),
}
POINTS = "clamp.disc_table.points"

_PLAIN_DISC = Disc(kind="disc")
_MODELS: dict[str, type[Coil | Load | Disc | DiscTable | Centrifugal]] = {
    "coil": Coil,
    "load": Load,
    "disc": Disc,
    "disc_table": DiscTable,
    "centrifugal": Centrifugal,
}


def field_of(kind: str, name: str) -> Field:
    """What the catalogue knows of one figure of a kind of clamp."""
    return CATALOGUE[kind][name]


def put_clamp(texts: dict[str, str], clamp: Clamp | None) -> None:
    """Write the clamp into the texts of a form."""
    if clamp is None:
        return
    texts["clamp.kind"] = clamp.kind
    if isinstance(clamp, Coil):
        spring_form.put_springs(texts, clamp)
        return
    head = f"clamp.{clamp.kind}."
    for name in FIGURES[clamp.kind]:
        q = getattr(clamp, name)
        # What the document takes for granted was not typed, and stays blank.
        if not (isinstance(clamp, Disc) and q == getattr(_PLAIN_DISC, name)):
            put_figure(texts, head + name, q, field_of(clamp.kind, name))
    for name in COUNTS.get(clamp.kind, ()):
        count = getattr(clamp, name)
        if count is not None:
            texts[head + name] = str(count)
    if isinstance(clamp, DiscTable):
        spring_form.put_points(texts, POINTS, clamp.points)


def read_clamp(
    figures: FigureReader, stored: Clamp | None
) -> tuple[dict[str, Any] | None, dict[str, str]]:
    """The clamp as the document writes it, and the way from its paths to the form's names."""
    form = figures.form
    kind = form.choice("clamp.kind", list(_MODELS))
    if kind is None:
        if spring_form.groups_in(form) or _typed_elsewhere(form):
            form.say("clamp.kind", "Choose what presses the plates together.")
        return None, {}
    kept = stored if isinstance(stored, _MODELS[kind]) else None
    if kind == "coil":
        groups, names = spring_form.read_springs(figures, kept if isinstance(kept, Coil) else None)
        return {"kind": kind, "springs": groups}, names
    head = f"clamp.{kind}."
    names = {"clamp.": head}
    raw: dict[str, Any] = {}
    for name in FIGURES[kind]:
        q = None if kept is None else getattr(kept, name)
        raw[name] = figures.quantity(head + name, field_of(kind, name), q)
    for name in COUNTS.get(kind, ()):
        raw[name] = form.count(head + name, field_of(kind, name))
    if kind == "disc":
        outside, inside = (
            box(f"{head}{side}_mm", f"{side} diameter", raw[f"{side}_mm"], DISC[f"{side}_mm"])
            for side in ("outside", "inside")
        )
        larger_first(form, outside, inside)
    if kind == "disc_table":
        raw["points"], rows = spring_form.read_points(form, POINTS)
        names |= {f"clamp.points.{i}.": f"{POINTS}.{m}." for i, m in enumerate(rows)}
    known = {name: value for name, value in raw.items() if value is not None}
    return {"kind": kind, **known}, names


def _typed_elsewhere(form: FormReader) -> bool:
    """Whether a figure of any kind but coil was typed; a count alone may be the form's own 1."""
    return any(
        form.raw.get(f"clamp.{kind}.{name}", "").strip()
        for kind, names in FIGURES.items()
        for name in names
    )
