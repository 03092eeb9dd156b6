"""What was typed into a form, for the page that says that it could not be saved.

The form's own page may need the very database that fails. So the refusal itself carries what was
typed: to be read, and to be sent again by one press.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from starlette.requests import Request

from app.web.forms.box_labels import box_label
from app.web.visitor import MEMBER_BOX, TOKEN_BOX

_SECRET = ("password", "code", "secret")
"""Parts of names of boxes whose content is shown on no page."""

_UNSEEN = frozenset({"submission", "version", "do"})
"""Boxes that belong to the form and that nobody typed into."""

_MOST = 6000


@dataclass(frozen=True, slots=True)
class TypedAgain:
    """A form that was sent and is not saved.

    Attributes:
        action: where it goes.
        boxes: names and texts to send again.
        shown: labels and texts of the boxes that somebody typed into.
    """

    action: str
    boxes: Sequence[tuple[str, str]]
    shown: Sequence[tuple[str, str]]


def remember(request: Request, boxes: Mapping[str, object]) -> None:
    """Keep what a form sent for as long as its request lasts."""
    request.state.typed = {name: text for name, text in boxes.items() if isinstance(text, str)}


def typed_again(request: Request) -> TypedAgain | None:
    """The form that this request sent; None for one without, or with a secret in it."""
    query = f"?{request.url.query}" if request.url.query else ""
    return of_boxes(f"{request.url.path}{query}", getattr(request.state, "typed", {}))


def of_boxes(action: str, typed: Mapping[str, str]) -> TypedAgain | None:
    """A form by where it goes and what its boxes hold; None for one without, or with a secret."""
    if not typed or len(typed) > _MOST:
        return None
    if any(part in name.lower() for name in typed for part in _SECRET):
        return None
    boxes = [(name, text) for name, text in typed.items() if name not in (TOKEN_BOX, MEMBER_BOX)]
    shown = [(box_label(n), text) for n, text in boxes if text.strip() and n not in _UNSEEN]
    return TypedAgain(action, boxes, shown)
