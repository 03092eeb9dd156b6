"""Figures that a second person looked over: when the mark stands, and what takes it away."""

from typing import TypeVar

from app.documents import Document

D = TypeVar("D", bound=Document)

NOT_FIGURES = ("notes", "checked")


def same_figures(one: Document, other: Document) -> bool:
    """Whether two versions of a record say the same, notes and the check itself aside."""
    names = [name for name in type(one).model_fields if name not in NOT_FIGURES]
    return all(getattr(one, name) == getattr(other, name) for name in names)


def unchecked_when_changed(before: D, after: D) -> D:
    """Withdraw "checked by" when anything but the notes differs and nobody checked it anew."""
    mark = getattr(after, "checked", None)
    if mark is None or mark != getattr(before, "checked", None):
        return after
    return after if same_figures(before, after) else after.model_copy(update={"checked": None})
