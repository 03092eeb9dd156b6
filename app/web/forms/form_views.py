"""What the pages with forms of packs and engines show."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from app.fields import CATALOGUE, Field
from app.mechanics.spring_wire import wire_materials
from app.presentation.cautions import CAUTIONS, Caution
from app.presentation.engine_page import ROOM
from app.presentation.input_words import HOW_WORDS
from app.presentation.pack_sheet import facing_word
from app.units import DIMENSIONS, unit_names
from app.web.forms import clamp_form, engine_form, spring_form
from app.web.forms.box_labels import box_label
from app.web.forms.figures import PARTS, STAMP_NAMES
from app.web.forms.form_sections import SectionView
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import ACTION, REASON, SUBMISSION, VERSION, Stale

Options = tuple[tuple[str, str], ...]

_ASIDE = frozenset({ACTION, REASON, SUBMISSION, VERSION, "copied_from", *STAMP_NAMES})
_WIRE = ("wire_", "outside_", "inside_", "mean_", "total_", "ends", "shear_", "name")
_EACH = ("free_lengths_", "positions")
UNITS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {name: unit_names(name) for name in DIMENSIONS}
)
"""Units of each dimension, the usual one first."""

TAKEN: Mapping[str, str] = MappingProxyType(
    {
        "modulus_mpa": "Blank counts as 206 000 MPa, spring steel.",
        "poisson": "Blank counts as 0.3, steel.",
    }
)
"""What is taken where a figure is left blank, said at its box."""


@dataclass(frozen=True)
class GroupView:
    """One group of springs in the form.

    Attributes:
        number: in the names of its boxes.
        place: its number for people.
        rows: of its table of readings.
        readings: whether any reading is filled in.
        wire: whether anything of its wire is filled in.
        each: whether the length of every spring, or the number of places, is filled in.
    """

    number: int
    place: int
    rows: tuple[int, ...]
    readings: bool
    wire: bool
    each: bool


@dataclass(frozen=True)
class Difference:
    """One figure that differs between what is stored now and what was typed."""

    label: str
    theirs: str
    mine: str


@dataclass(frozen=True)
class StaleView:
    """Both versions of a record side by side, as far as they differ."""

    changed_by: str
    changed_at: str
    rows: tuple[Difference, ...]


@dataclass(frozen=True)
class FormView:
    """A form of a pack or an engine.

    Attributes:
        heading: title of the page.
        form: what stands in the boxes, with problems and cautions.
        action: address that the form posts to.
        cancel: address to leave for.
        draft: key under which the browser keeps what was typed.
        save: words on the button.
        submission: token of a new record, "" for a change.
        version: that the form was filled from, 0 for a new record.
        stale: both versions, where somebody else saved meanwhile.
        turns: what saving would turn, where that was asked; () for no verdict.
        copied_from: name of the record that the form was filled from.
        copied: names of the figures that still stand as copied.
        focus: name of the box that takes the focus.
        facings: of the table of facings.
        groups: of springs, one at least.
        own: what the form of one kind of record shows besides.
        sections: the parts of the form, by key.
    """

    heading: str
    form: FormReader
    action: str
    cancel: str
    draft: str
    save: str
    submission: str = ""
    version: int = 0
    stale: StaleView | None = None
    turns: tuple[str, ...] | None = None
    copied_from: str = ""
    copied: frozenset[str] = frozenset()
    focus: str = ""
    facings: Options = ()
    groups: tuple[GroupView, ...] = ()
    points: tuple[int, ...] = ()
    catalogue: Mapping[str, Mapping[str, Field]] = field(default_factory=lambda: CATALOGUE)
    cautions: Mapping[str, Caution] = field(default_factory=lambda: CAUTIONS)
    clamp_kinds: Options = clamp_form.KINDS
    torque_kinds: Options = engine_form.KINDS
    ends: Options = spring_form.ENDS

    wires: Options = ()
    units: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: UNITS)
    suggestion: str = ""
    room: Mapping[str, tuple[str, str]] = field(default_factory=lambda: ROOM)
    taken: Mapping[str, str] = field(default_factory=lambda: TAKEN)
    own: Any = None
    sections: Mapping[str, SectionView] = field(default_factory=dict)

    @property
    def own_friction(self) -> bool:
        """Whether a friction coefficient of the pack's own is filled in, or refused."""
        return _any_text(self.form, "friction.")

    def also(self, part: str, kind: str, name: str) -> str:
        """The document's path of a box, where its kind is the chosen one; else "".

        A link by the path then finds the box, and no two elements share an identifier.
        """
        chosen = self.form.raw.get(f"{part}.kind", "") == kind
        return f"{part}.{name}" if chosen else ""


def group_views(form: FormReader) -> tuple[GroupView, ...]:
    """The groups of springs that the form shows."""
    found = []
    for place, n in enumerate(spring_form.groups_shown(form), start=1):
        head = f"{spring_form.HEAD}.{n}."
        rows = tuple(spring_form.rows_shown(form, f"{head}load_points"))
        readings = _any_text(form, f"{head}load_points.") or _any_text(form, f"{head}tester_")
        wire = any(_any_text(form, head + name) for name in _WIRE)
        each = any(_any_text(form, head + name) for name in _EACH)
        found.append(GroupView(n, place, rows, readings, wire, each))
    return tuple(found)


def _any_text(form: FormReader, head: str) -> bool:
    """Whether any box whose name begins so is filled in; a chosen unit alone is nothing."""
    ends = tuple(end for end in PARTS if end)
    return any(
        text.strip() and name.startswith(head) and not name.endswith(ends)
        for name, text in form.raw.items()
    )


def facing_options(names: Iterable[str], chosen: str) -> Options:
    """The facings to choose from; one that was taken from the table stays with its pack."""
    listed = list(names)
    if chosen and chosen not in listed:
        listed.append(chosen)
    return (("", "Not known"), *((name, facing_word(name)) for name in listed))


def wire_options(form: FormReader) -> Options:
    """The wires to choose from, by the trade's name; one that a record has already stays."""
    grades = [(wire.grade, wire.aliases) for wire in wire_materials() if wire.chosen == "yes"]
    known = [(alias.split(";")[1], grade) for grade, alias in grades]
    values = {name for name, _ in known}
    others = dict.fromkeys(
        text
        for name, text in form.raw.items()
        if name.startswith(spring_form.HEAD) and name.endswith(".wire_material") and text
    )
    return (
        ("", "Not known"),
        *((name, f"{name} ({grade})") for name, grade in known),
        *((name, name) for name in others if name not in values),
    )


def still_as_copied(form: FormReader, texts: Mapping[str, str]) -> frozenset[str]:
    """Names of the boxes that stand as they were copied."""
    return frozenset(n for n, text in texts.items() if form.raw.get(n, "").strip() == text)


def stale_view(stale: Stale[Any], texts: Mapping[str, str], form: FormReader) -> StaleView:
    """Both versions side by side: what is stored now, and what was typed."""
    rows = []
    for name in _names(texts, form):
        theirs, mine = figure_words(texts, name), figure_words(form.raw, name)
        if theirs != mine:
            rows.append(Difference(box_label(name), theirs or "not known", mine or "not known"))
    return StaleView(stale.changed_by, stale.changed_at, tuple(rows))


def figure_words(texts: Mapping[str, str], name: str) -> str:
    """What stands in the boxes of one figure, in one line; a unit in the box goes for both.

    >>> figure_words({"lift_mm": "2", "lift_mm__doubt": "0.1", "lift_mm__how": "listed"}, "lift_mm")
    '2 ± 0.1, listed'
    >>> figure_words({"lift_mm": "1/8 in", "lift_mm__unit": "in"}, "lift_mm")
    '1/8 in'
    """
    value, unit, doubt, how = (texts.get(name + end, "").strip() for end in PARTS)
    if not value:
        return ""
    text = f"{value} {unit}" if unit and value[-1].isdigit() else value
    if doubt:
        text = f"{text} ± {doubt}"
    return f"{text}, {HOW_WORDS[how].lower()}" if how in HOW_WORDS else text


def _names(texts: Mapping[str, str], form: FormReader) -> list[str]:
    """Names of figures in either version, without the boxes that only say how."""
    both = dict.fromkeys([*texts, *form.raw])
    ends = tuple(end for end in PARTS if end)
    return [n for n in both if n not in _ASIDE and not n.endswith((*ends, ".was"))]
