"""Figures between a form and a document: what was typed comes back as it was typed.

A figure that somebody left as it stands keeps everything that was known of it: its doubt, who
took it, when and with what. A figure that is new or was changed gets the stamp of the whole form,
which says who measured, when, with what and how.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from app import documents
from app.documents import Document, Q
from app.errors import BadInput, Problem
from app.fields import HOWS, Field
from app.units import UnitError, parse
from app.web.forms.reader import FormReader

PARTS = ("", "__unit", "__doubt", "__how")
"""Endings of the names that one figure has in a form."""

STAMP_NAMES = ("stamp_by", "stamp_at", "stamp_with", "stamp_how")
"""Boxes of the stamp: by whom, when, with what, and how the figures of this form are known."""

_LONGEST_LINE = 200

D = TypeVar("D", bound=Document)


@dataclass(frozen=True)
class Stamp:
    """Where the figures come from that are new or changed in this form."""

    by: str | None = None
    at: str | None = None
    with_what: str | None = None
    how: str | None = None

    @classmethod
    def read(cls, form: FormReader) -> "Stamp":
        """The stamp as it was typed; a day that is no day is refused at its box."""
        by, at, with_what, how = STAMP_NAMES
        return cls(
            _origin(form, by, "by", "Take out the control characters."),
            _origin(form, at, "at", "Write the day as year-month-day, like 2026-11-25."),
            _origin(form, with_what, "with_what", "Take out the control characters."),
            form.choice(how, HOWS),
        )

    def on(self, figure: Mapping[str, object]) -> dict[str, object]:
        """The figure with the stamp; what it says of itself wins."""
        known = {"by": self.by, "at": self.at, "with_what": self.with_what, "how": self.how}
        return {key: text for key, text in known.items() if text is not None} | dict(figure)


def plain(value: float) -> str:
    """A number as a form takes it: all its digits, no more.

    >>> plain(45.0), plain(3.175), plain(1e-7)
    ('45', '3.175', '1e-07')
    """
    return repr(float(value)).removesuffix(".0")


def figure_texts(q: Q, field: Field) -> dict[str, str]:
    """The texts of a figure's boxes by ending; the usual doubt is left blank, as it was typed."""
    texts = {"": q.typed or plain(q.value), "__unit": _typed_unit(q, field), "__how": q.how or ""}
    if q.plus_minus is not None and not q.default_doubt:
        doubt = plain(q.plus_minus)
        # Beside a figure typed in another unit, a bare doubt would be read in that unit.
        with_unit = f"{doubt} {field.unit}".strip() if q.typed else doubt
        texts["__doubt"] = q.typed_doubt or with_unit
    return {end: text for end, text in texts.items() if text}


def put_figure(texts: dict[str, str], name: str, q: Q | None, field: Field) -> None:
    """Write a figure into the texts of a form."""
    if q is not None:
        texts |= {name + end: text for end, text in figure_texts(q, field).items()}


def _typed_unit(q: Q, field: Field) -> str:
    """The unit that stands beside the box: the one that was typed, else the usual one."""
    if q.typed is None:
        return field.unit
    try:
        return parse(q.typed, field.dimension).unit
    except UnitError:
        return field.unit  # from a file that wrote it otherwise


Names = Mapping[str, str]
"""From a beginning of a document's path to the beginning of the form's name for it."""


@dataclass(frozen=True)
class FormRead(Generic[D]):
    """What a form makes: the document, and the way from its paths to the form's names."""

    document: D
    names: Names


class FigureReader:
    """Reads the figures of one record's form.

    Attributes:
        form: the form.
        stamp: what every new or changed figure is stamped with.
        before: texts of the form as the stored record fills it, by name.
    """

    def __init__(self, form: FormReader, before: Mapping[str, str] | None = None) -> None:
        self.form = form
        self.stamp = Stamp.read(form)
        self.before = before or {}

    def quantity(
        self, name: str, field: Field, stored: Q | None = None, was: str | None = None
    ) -> dict[str, Any] | Q | None:
        """A figure as the document takes it, None where it is blank or wrong.

        Args:
            name: of its first box.
            field: its entry in the catalogue of figures.
            stored: the figure as the record has it.
            was: name that it had in `before`, where that differs.
        """
        if stored is not None and self._untouched(name, was or name, field):
            return stored
        figure = self.form.quantity(name, field)
        return None if figure is None else self.stamp.on(figure)

    def _untouched(self, name: str, was: str, field: Field) -> bool:
        for end in PARTS:
            now = self.form.raw.get(name + end, "").strip()
            then = self.before.get(was + end, "")
            if end == "__unit":
                now, then = now or field.unit, then or field.unit
            if now != then:
                return False
        return True


def refused(form: FormReader, problems: Iterable[Problem], names: Names) -> None:
    """Add a document's refusals to the form, at the boxes that they are about.

    A box that has a problem already keeps that one alone.
    """
    known = {problem.field for problem in form.problems}
    for problem in problems:
        name = form_name(problem.field, names)
        if name not in known:
            form.say(name, problem.message)


def form_name(path: str, names: Names) -> str:
    """The form's name for a path of the document.

    >>> form_name("clamp.force_n", {"clamp.": "clamp.load."}), form_name("name", {})
    ('clamp.load.force_n', 'name')
    """
    for head in sorted(names, key=len, reverse=True):
        if path.startswith(head):
            return names[head] + path[len(head) :]
    return path


def checked(form: FormReader, model: type[D], raw: Mapping[str, Any], names: Names) -> D:
    """The document that a form's figures make.

    Raises:
        BadInput: with everything that is wrong, each under the name of its box.
    """
    try:
        document = documents.read(model, raw).document
    except BadInput as refusal:
        refused(form, refusal.problems, names)
        form.refuse_problems()
        raise
    form.refuse_problems()
    return document


def _origin(form: FormReader, name: str, key: str, told: str) -> str | None:
    """One box of the stamp, refused where it stands and not at every figure that it is put on."""
    text = form.text(name, longest=_LONGEST_LINE)
    try:
        q = Q.model_validate({"value": 0, key: text})
    except ValueError:
        form.say(name, told)
        return None
    found: str | None = getattr(q, key)
    return found
