"""The parts of a long form: which boxes stand in each, which are folded, what a folded one holds.

A part that a record can do without is folded until something in it is wrong or unusual; what is
filled in stands in its line, so that folding hides nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from app.presentation.input_words import HOW_WORDS
from app.presentation.pack_sheet import facing_word
from app.web.forms.box_labels import box_label
from app.web.forms.figures import PARTS
from app.web.forms.reader import FormReader

SHOWN = 3
"""Figures that the line of a folded part tells; the rest are counted."""

_ENDS = tuple(end for end in PARTS if end)


@dataclass(frozen=True)
class Section:
    """One part of a form.

    Attributes:
        key: of its place in the page, after "s-".
        heading: what it is called.
        short: the same in the row of links.
        names: of its boxes; one that ends with a point is the beginning of names.
        told: of the boxes that its line tells of, where not all of them.
        folded: whether it begins folded.
    """

    key: str
    heading: str
    short: str
    names: tuple[str, ...]
    told: tuple[str, ...] | None = None
    folded: bool = False

    def holds(self, name: str) -> bool:
        """Whether a box stands in this part."""
        bare = name
        for end in _ENDS:
            bare = bare.removesuffix(end)
        return any(
            bare.startswith(known) if known.endswith(".") else bare == known for known in self.names
        )


@dataclass(frozen=True)
class SectionView:
    """A part of a form as the page shows it.

    Attributes:
        number: its place among the parts, from 1.
        open: whether it is shown unfolded.
        filled: what is filled in, for the line of a folded part.
        wrong: how many of its boxes have a problem.
    """

    key: str
    heading: str
    short: str
    number: int
    open: bool
    filled: str
    wrong: int


STAMP = ("stamp_by", "stamp_at", "stamp_with", "stamp_how")
_STAMPED = Section("stamp", "Where the figures come from", "Source", STAMP)
_NOTES = Section("notes", "Notes", "Notes", ("notes", "reason"), folded=True)

PACK_SECTIONS = (
    Section("record", "The pack", "Pack", ("name", "mounting"), ()),
    _STAMPED,
    Section(
        "plates",
        "Plates",
        "Plates",
        (
            "friction_plates",
            "plain_plates",
            "lined_faces_per_plate",
            "friction_plate_mm",
            "plain_plate_mm",
            "surfaces",
            "surfaces_reason",
        ),
        ("friction_plates", "plain_plates", "friction_plate_mm", "plain_plate_mm"),
    ),
    Section(
        "facing",
        "Facing",
        "Facing",
        ("facing_od_mm", "facing_id_mm", "grooved_fraction", "facing", "friction."),
    ),
    Section("clamp", "Springs and clamp", "Springs", ("clamp.",), ()),
    Section(
        "release",
        "Release and wear",
        "Release",
        ("lift_mm", "lever_ratio", "stack_wear_limit_mm", "plate_mass_kg"),
        folded=True,
    ),
    Section(
        "fit",
        "Fit",
        "Fit",
        (
            "envelope_diameter_mm",
            "envelope_height_mm",
            "spline_major_mm",
            "basket_spline_mm",
            "gear_module_mm",
            "spline_count",
            "gear_teeth",
        ),
        folded=True,
    ),
    _NOTES,
)
ENGINE_SECTIONS = (
    Section("record", "The engine", "Engine", ("name", "strokes", "cylinders"), ()),
    _STAMPED,
    Section("size", "Size", "Size", ("displacement_cc", "bore_mm", "stroke_mm")),
    Section("torque", "Torque", "Torque", ("torque.",), ()),
    Section(
        "primary",
        "Primary drive",
        "Primary",
        (
            "driving_teeth",
            "driven_teeth",
            "primary_ratio",
            "primary_efficiency",
            "service_factor",
        ),
    ),
    Section(
        "fit",
        "Room and shaft",
        "Room",
        (
            "envelope_diameter_mm",
            "envelope_height_mm",
            "spline_major_mm",
            "gear_module_mm",
            "spline_count",
        ),
        folded=True,
    ),
    Section(
        "start",
        "Start from rest",
        "Start",
        ("vehicle_mass_kg", "wheel_radius_m", "clutch_to_wheel_ratio"),
        folded=True,
    ),
    _NOTES,
)


def section_views(sections: Sequence[Section], form: FormReader) -> dict[str, SectionView]:
    """The parts of a form as its page shows them, by key and in their order."""
    found = {}
    for number, section in enumerate(sections, start=1):
        wrong = sum(section.holds(problem.field) for problem in form.problems)
        unusual = any(section.holds(caution.field) for caution in form.cautions)
        folded = section.folded or (section.key == "stamp" and _is_known(form))
        found[section.key] = SectionView(
            key=section.key,
            heading=section.heading,
            short=section.short,
            number=number,
            open=bool(wrong) or unusual or not folded,
            filled=_filled(section, form),
            wrong=wrong,
        )
    return found


def _is_known(form: FormReader) -> bool:
    """Whether the stamp needs no look: somebody's name and how the figures are known."""
    return all(form.raw.get(name, "").strip() for name in ("stamp_by", "stamp_how"))


def _filled(section: Section, form: FormReader) -> str:
    """What is filled in, in one line.

    >>> form = FormReader({"lift_mm": "2.1", "lift_mm__unit": "mm", "lever_ratio": "20"})
    >>> _filled(PACK_SECTIONS[5], form)
    'Release travel of the pressure plate 2.1 mm · Lever ratio of the release 20'
    """
    names = section.names if section.told is None else section.told
    if section.key == "stamp":
        texts = [form.raw.get(name, "").strip() for name in ("stamp_how", *STAMP[:3])]
        return ", ".join(HOW_WORDS.get(text, text) for text in texts if text)
    found = []
    for name in names:
        text = form.raw.get(name, "").strip()
        if not text or name.endswith("."):
            continue
        if name in ("notes", "reason"):
            found.append(text if len(text) < 60 else f"{text[:57].rstrip()}…")
            continue
        unit = form.raw.get(f"{name}__unit", "").strip()
        told = f"{text} {unit}" if unit and text[-1].isdigit() else text
        if name == "facing":
            told = facing_word(text)
        found.append(f"{box_label(name)} {told}")
    more = len(found) - SHOWN
    if more > 0:
        found = [*found[:SHOWN], f"{more} more"]
    return " · ".join(found) or ("nothing filled in" if section.folded else "")
