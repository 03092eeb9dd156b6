"""Reading what was typed into a form, losing none of it.

A form sends text. This reader turns it into the figures of a document, gathers every problem and
every caution under the name of its field, and keeps the text as it came, so that the form can be
drawn again just as it was filled in. A blank field is a missing figure and never a default.

A quantity named ``facing_od_mm`` comes in up to six fields: ``facing_od_mm`` the figure,
``…__unit`` the unit chosen for it, ``…__doubt`` how far it may be off, ``…__how`` how it is known,
``…__with`` the instrument or page, ``…__by`` who took it and ``…__at`` when.
"""

import re
from collections.abc import Collection, Mapping

from app.errors import BadInput, Problem
from app.fields import HOWS, Field
from app.units import DIMENSIONS, Typed, UnitError, parse

LONGEST_TEXT = 2000
"""Characters that a text field may have unless it says otherwise."""


class FormReader:
    """One form as it was sent.

    Attributes:
        raw: every text field by name, untouched, for drawing the form again.
        problems: what keeps the form from being saved.
        cautions: figures that are kept although they are unusual.
        by: the member who sent the form, None where nobody signs in.
    """

    def __init__(self, data: Mapping[str, object]) -> None:
        """Take the fields of a form; what is not text (an uploaded file) is left alone."""
        self.raw: dict[str, str] = {
            name: text for name, text in data.items() if isinstance(text, str)
        }
        self.problems: list[Problem] = []
        self.cautions: list[Problem] = []
        self.by: str | None = None

    def text(self, name: str, *, longest: int = LONGEST_TEXT) -> str | None:
        """Give a text without the spaces around it, None where it is blank."""
        text = self.raw.get(name, "").strip()
        if len(text) > longest:
            self.say(name, f"Write at most {longest} characters: there are {len(text)}.")
            return None
        return text or None

    def flag(self, name: str) -> bool:
        """Whether a box is ticked; an unticked box is not sent at all."""
        return bool(self.raw.get(name))

    def choice(self, name: str, options: Collection[str]) -> str | None:
        """Give one of the options, None where none is chosen."""
        chosen = self.text(name)
        if chosen is None or chosen in options:
            return chosen
        self.say(name, f"Choose one of: {', '.join(options)}.")
        return None

    def count(self, name: str, field: Field | None = None) -> int | None:
        """Give a whole number within the field's bounds, None where it is blank or wrong."""
        typed = self._number(name, "count", None)
        if typed is None or not self._within(name, typed.value, field):
            return None
        return int(typed.value)

    def number(self, name: str, field: Field) -> float | None:
        """Give a figure without doubt in its canonical unit, None where it is blank or wrong."""
        typed = self._number(name, field.dimension, self._unit(name, field))
        if typed is None or self._perhaps_percent(name, typed, field):
            return None
        return typed.value if self._within(name, typed.value, field) else None

    def quantity(self, prefix: str, field: Field) -> dict[str, object] | None:
        """Give a figure with its doubt and where it came from, None where it is blank or wrong.

        Keys: ``value`` [canonical unit], ``typed`` (as typed, with the unit unless it was the
        canonical one); and where given ``plus_minus`` [canonical unit], ``typed_doubt``, ``how``,
        ``with_what``, ``by``, ``at``. A blank doubt stays out: it is filled from the table of
        defaults when the record is saved, and not here.
        """
        how = self._how(f"{prefix}__how")
        about = {
            "with_what": self.text(f"{prefix}__with", longest=200),
            "by": self.text(f"{prefix}__by", longest=200),
            "at": self.text(f"{prefix}__at", longest=40),
        }
        doubt_text = self.text(f"{prefix}__doubt", longest=LONGEST_TEXT)
        if not self.raw.get(prefix, "").strip():
            if doubt_text is not None:
                self.say(prefix, f"Write the {_small(field.label)} that this doubt belongs to.")
            return None
        typed = self._number(prefix, field.dimension, self._unit(prefix, field))
        if typed is None or self._perhaps_percent(prefix, typed, field):
            return None
        if not self._within(prefix, typed.value, field):
            return None
        figure: dict[str, object] = {"value": typed.value, "typed": _as_typed(typed, field)}
        if doubt_text is not None:
            half_width = self._doubt(f"{prefix}__doubt", doubt_text, typed, field)
            if half_width is None:
                return None
            figure |= {"plus_minus": half_width, "typed_doubt": doubt_text}
        if how is not None:
            figure["how"] = how
        return figure | {key: text for key, text in about.items() if text is not None}

    def places(self, prefix: str) -> list[int]:
        """Give the numbers n for which any field ``prefix.n.…`` was sent, in order."""
        found = re.compile(rf"{re.escape(prefix)}\.([0-9]{{1,3}})\.", re.ASCII)
        matches = (found.match(name) for name in self.raw)
        return sorted({int(match.group(1)) for match in matches if match})

    def say(self, name: str, message: str) -> None:
        """Add a problem of one field."""
        self.problems.append(Problem(name, message))

    def message_for(self, name: str) -> str | None:
        """Give what is wrong with one field, the same words as in the summary."""
        return _joined(self.problems, name)

    def caution_for(self, name: str) -> str | None:
        """Give what is unusual about one field."""
        return _joined(self.cautions, name)

    def refuse_problems(self) -> None:
        """Stop here if anything is wrong.

        Raises:
            BadInput: with every problem found so far.
        """
        if self.problems:
            raise BadInput(self.problems)

    def _number(self, name: str, dimension: str, unit: str | None) -> Typed | None:
        text = self.raw.get(name, "")
        if not text.strip():
            return None
        try:
            return parse(text, dimension, unit=unit)
        except UnitError as error:
            self.say(name, error.message)
            return None

    def _unit(self, name: str, field: Field) -> str | None:
        chosen = self.raw.get(f"{name}__unit", "").strip()
        if not chosen or chosen in DIMENSIONS[field.dimension].units:
            return chosen or None
        units = ", ".join(DIMENSIONS[field.dimension].units)
        self.say(f"{name}__unit", f"Choose one of these units: {units}.")
        return None

    def _how(self, name: str) -> str | None:
        return self.choice(name, HOWS)

    def _perhaps_percent(self, name: str, typed: Typed, field: Field) -> bool:
        """Ask about a bare share above 1: it was mostly meant in per cent."""
        bare = field.dimension == "fraction" and typed.unit == ""
        if not bare or not 1 < typed.value <= 100:
            return False
        share = f"{typed.value / 100:.10g}"
        self.say(name, f"Write {typed.text} % or {share}: without the %, 1 is all of it.")
        return True

    def _within(self, name: str, value: float, field: Field | None) -> bool:
        if field is None:
            return True
        problem = field.problem(value)
        if problem is not None:
            self.say(name, problem)
            return False
        caution = field.caution(value)
        if caution is not None:
            self.cautions.append(Problem(name, caution))
        return True

    def _doubt(self, name: str, text: str, typed: Typed, field: Field) -> float | None:
        """Read a half-width: in the figure's own unit, in a typed unit, or in percent of it."""
        bare = re.sub(r"^(±|\+/-)\s*", "", text)
        share = bare.endswith("%")
        if share and field.dimension == "fraction":
            self.say(
                name, "Write the doubt as a plain number, such as 0.02: % could mean two things."
            )
            return None
        try:
            if share:
                half_width = parse(bare, "fraction").value * abs(typed.value)
            else:
                half_width = parse(bare, field.dimension, unit=typed.unit, difference=True).value
        except UnitError as error:
            self.say(name, error.message)
            return None
        if half_width < 0:
            self.say(
                name, "Write the doubt as 0 or more: how far the figure may be off either way."
            )
        elif share and typed.value == 0 and half_width == 0 and parse(bare, "fraction").value:
            self.say(name, f"Write the doubt of 0 in {field.unit or 'figures'}: a share of 0 is 0.")
        elif field.above == 0 and half_width >= typed.value:
            self.say(
                name, f"Write a doubt smaller than the figure: {_small(field.label)} can't be 0."
            )
        else:
            return half_width
        return None


def _as_typed(typed: Typed, field: Field) -> str:
    """Keep what was typed, with the unit that was chosen beside it unless that is the usual one."""
    if typed.unit_typed or typed.unit == field.unit:
        return typed.text
    return f"{typed.text} {typed.unit}"


def _small(label: str) -> str:
    return label[:1].lower() + label[1:]


def _joined(found: list[Problem], name: str) -> str | None:
    return " ".join(item.message for item in found if item.field == name) or None
