"""Records as the interface sends and takes them: the document with its id and version beside."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, Field, create_model

from app.documents import Document, read
from app.errors import BadInput, Problem
from app.mechanics.validity import Caution
from app.presentation import interface
from app.services.stored import Stored
from app.web.api import answers

D = TypeVar("D", bound=Document)


class Kept(BaseModel):
    """What the server adds to a document."""

    id: str = Field(description="The record's id, for addresses.")
    version: int = Field(description="Counts the changes; the ETag is this number in quotes.")
    created_at: datetime
    created_by: str
    changed_at: datetime
    changed_by: str
    put_aside_at: datetime | None = Field(
        default=None, description="When it was put aside; left out while it is in use."
    )


KEPT = tuple(Kept.model_fields)
SENT_BACK = {*KEPT, "warnings"}
"""Keys that a record was answered with and that may come back in a changed one."""


def written(stored: Stored[D]) -> dict[str, Any]:
    """A record as JSON values."""
    found = stored.written()
    document = found.pop("document")
    kept = {name: found[name] for name in KEPT if found[name] is not None}
    return {**kept, **document}


@dataclass(frozen=True)
class Taken(Generic[D]):
    """A document that was sent, with remarks on what was not used of it."""

    document: D
    warnings: list[dict[str, str]]


def taken(model: type[D], raw: Any, standing: dict[str, Any] | None = None) -> Taken[D]:
    """The document in a body.

    Args:
        model: what it must be.
        raw: the body's value; what the server added to a record may come back in it.
        standing: the record as it stands, where one is changed.

    Raises:
        BadInput: with a path and a sentence for each thing that can't be taken.
    """
    if not isinstance(raw, dict):
        told = 'Send one JSON object, in braces, like {"name": "..."}.'
        raise BadInput([Problem("", told)])
    found = read(model, {name: value for name, value in raw.items() if name not in SENT_BACK})
    warnings = [
        _warning("unknown_field", path, f"{path} is not a field of this interface and was not used")
        for path in found.unknown
    ]
    warnings += [
        _warning("not_changed", name, f"{name} is kept by the server and was not changed")
        for name in KEPT
        if name in raw and raw[name] != (standing or {}).get(name)
    ]
    return Taken(found.document, warnings)


def _warning(code: str, path: str, text: str) -> dict[str, str]:
    return interface.caution(Caution(code, text, path))


def record_model(model: type[Document]) -> type[BaseModel]:
    """The form of a record of this document, for the description of the interface."""
    warnings: Any = (
        list[answers.Warning],
        Field(default_factory=list, description="Only in the answer to a change."),
    )
    made: type[BaseModel] = create_model(
        f"{model.__name__}Record",
        __base__=(Kept, model),
        __doc__=model.__doc__ or "",
        warnings=warnings,
    )
    return made


def page_model(record: type[BaseModel]) -> type[BaseModel]:
    """The form of a page of such records."""
    items: Any = (list[record], Field(description="Records in order."))  # type: ignore[valid-type]  # made at run time
    following: Any = (
        str | None,
        Field(description="Cursor of the records that follow; null at the end."),
    )
    made: type[BaseModel] = create_model(
        f"{record.__name__.removesuffix('Record')}Page",
        __doc__="Some records, and where the rest begins.",
        items=items,
        next=following,
    )
    return made
