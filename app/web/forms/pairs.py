"""Two figures of one form that cannot both be right: both boxes are marked.

Each box is told the other's figure, its own, and what would be right, since nobody can know from
outside which of the two was mistyped, or whether they stand in each other's place.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from app.documents import Q
from app.fields import Field
from app.web.forms.reader import FormReader


@dataclass(frozen=True)
class Box:
    """One figure of a pair.

    Attributes:
        name: of its box.
        words: what it is called within a sentence.
        value: the figure in its canonical unit, None where it is not known.
        told: the figure with its unit, as it was typed.
    """

    name: str
    words: str
    value: float | None
    told: str


def box(name: str, words: str, figure: Mapping[str, Any] | Q | float | None, field: Field) -> Box:
    """The figure of a form as one of a pair.

    >>> from app.fields import PACK
    >>> box("d", "bore", {"value": 25.4, "typed": "1 in"}, PACK["facing_od_mm"]).told
    '1 in (25.4 mm)'
    >>> box("d", "bore", 25.4, PACK["facing_od_mm"]).told
    '25.4 mm'
    """
    typed: str | None = None
    if isinstance(figure, Q):
        value, typed = figure.value, figure.typed
    elif isinstance(figure, Mapping):
        value, typed = float(figure["value"]), figure.get("typed")
    elif figure is None:
        return Box(name, words, None, "")
    else:
        value = figure
    plain = f"{value:.6g} {field.unit}".strip()
    same = typed is None or _without_unit(typed, field.unit) == f"{value:.6g}"
    return Box(name, words, value, plain if same else f"{_told(typed, field.unit)} ({plain})")


def larger_first(
    form: FormReader, larger: Box, smaller: Box, *, twice: bool = False, or_equal: bool = False
) -> None:
    """Mark both boxes where the first figure is not the larger one.

    Args:
        form: that both stand in.
        larger: the figure that must be the larger one.
        smaller: the other.
        twice: the larger one must be more than twice the smaller.
        or_equal: the two may be alike.
    """
    if larger.value is None or smaller.value is None:
        return
    least = smaller.value * (2.0 if twice else 1.0)
    if larger.value > least or (or_equal and larger.value == least):
        return
    more, less = ("more than twice", "less than half") if twice else ("more than", "less than")
    if or_equal:
        more, less = "at least", "at most"
    _say_once(form, larger, f"Write {more} the {smaller.words}, {smaller.told}")
    _say_once(form, smaller, f"Write {less} the {larger.words}, {larger.told}")


def _say_once(form: FormReader, box: Box, told: str) -> None:
    """A box that has a problem already keeps that one alone."""
    if form.message_for(box.name) is None:
        form.say(box.name, f"{told}. Here stands {box.told}.")


def _without_unit(typed: str, unit: str) -> str:
    bare = typed.strip().removesuffix(unit).strip().replace(",", ".")
    return bare.rstrip("0").rstrip(".") if "." in bare else bare


def _told(typed: str | None, unit: str) -> str:
    """What was typed; bare figures are in the canonical unit."""
    text = (typed or "").strip()
    return f"{text} {unit}".strip() if text[-1:].isdigit() else text
