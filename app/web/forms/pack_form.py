"""The form of a pack: from what was typed to the document, and back."""

from typing import Any

from app.documents import Pack, Q
from app.documents.pack import STATES
from app.fields import FRICTION, PACK
from app.mechanics.inputs import MOUNTINGS
from app.web.forms.clamp_form import put_clamp, read_clamp
from app.web.forms.figures import FigureReader, FormRead, checked, put_figure
from app.web.forms.pairs import box, larger_first
from app.web.forms.reader import FormReader

FIGURES = (
    "facing_od_mm",
    "facing_id_mm",
    "grooved_fraction",
    "lift_mm",
    "stack_wear_limit_mm",
    "plate_mass_kg",
    "friction_plate_mm",
    "plain_plate_mm",
    "envelope_diameter_mm",
    "envelope_height_mm",
    "spline_major_mm",
    "basket_spline_mm",
    "gear_module_mm",
    "lever_ratio",
)
COUNTS = ("friction_plates", "plain_plates", "surfaces", "spline_count", "gear_teeth")
LINED = ("1", "2")
LONGEST_NAME = 200
LONGEST_NOTES = 10_000

_NO_GROOVES = Q(value=0.0)


def pack_texts(pack: Pack) -> dict[str, str]:
    """The texts of the form's boxes, by name, for a record that is opened again."""
    texts = {"name": pack.name, "lined_faces_per_plate": str(pack.lined_faces_per_plate)}
    for name in ("mounting", "facing", "surfaces_reason", "notes", *COUNTS):
        value = getattr(pack, name)
        if value is not None:
            texts[name] = str(value)
    for name in FIGURES:
        q = getattr(pack, name)
        if not (name == "grooved_fraction" and q == _NO_GROOVES):
            put_figure(texts, name, q, PACK[name])
    for (lubrication, kind), q in pack.own_friction().items():
        put_figure(texts, f"friction.{lubrication}.{kind}", q, FRICTION["friction"])
    put_clamp(texts, pack.clamp)
    return texts


def read_pack(form: FormReader, stored: Pack | None = None) -> FormRead[Pack]:
    """The pack that a form describes.

    Args:
        form: the form as it was sent.
        stored: the record as it stands, whose untouched figures keep where they came from.

    Raises:
        BadInput: with everything that is wrong, each under the name of its box.
    """
    figures = FigureReader(form, None if stored is None else pack_texts(stored))
    raw: dict[str, Any] = {
        # A blank name is refused by the document, in its own words.
        "mounting": form.choice("mounting", MOUNTINGS),
        "facing": form.text("facing", longest=LONGEST_NAME),
        "surfaces_reason": form.text("surfaces_reason", longest=LONGEST_NAME),
        "notes": form.text("notes", longest=LONGEST_NOTES),
        "friction": _read_friction(figures, stored),
    }
    lined = form.choice("lined_faces_per_plate", LINED)
    raw["lined_faces_per_plate"] = None if lined is None else int(lined)
    for name in COUNTS:
        raw[name] = form.count(name, PACK[name])
    for name in FIGURES:
        q = None if stored is None else getattr(stored, name)
        raw[name] = figures.quantity(name, PACK[name], q)
    larger_first(
        form,
        box("facing_od_mm", "outside diameter", raw["facing_od_mm"], PACK["facing_od_mm"]),
        box("facing_id_mm", "inside diameter", raw["facing_id_mm"], PACK["facing_id_mm"]),
    )
    raw["clamp"], names = read_clamp(figures, None if stored is None else stored.clamp)
    known = {name: value for name, value in raw.items() if value is not None}
    known["name"] = form.text("name", longest=LONGEST_NAME) or ""
    if stored is not None and stored.checked is not None:
        known["checked"] = stored.checked  # the catalogue withdraws it when a figure changes
    return FormRead(checked(form, Pack, known, names), names)


def _read_friction(figures: FigureReader, stored: Pack | None) -> dict[str, Any] | None:
    own = {} if stored is None else stored.own_friction()
    found: dict[str, dict[str, Any]] = {}
    for lubrication, kind in STATES:
        name = f"friction.{lubrication}.{kind}"
        figure = figures.quantity(name, FRICTION["friction"], own.get((lubrication, kind)))
        if figure is not None:
            found.setdefault(lubrication, {})[kind] = figure
    return found or None
