"""Records as the catalogue hands them out, and the pages that they come in."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, TypeVar

from app.documents import Document

D = TypeVar("D", bound=Document)


@dataclass(frozen=True, slots=True)
class Stored(Generic[D]):
    """A record as it is kept: its document with id, version, and who touched it when."""

    id: str
    version: int
    document: D
    created_at: datetime
    created_by: str
    changed_at: datetime
    changed_by: str
    put_aside_at: datetime | None

    @property
    def name(self) -> str:
        """The record's name."""
        return str(getattr(self.document, "name", ""))

    def written(self) -> dict[str, Any]:
        """The record as JSON values: the document, with id, version and who touched it when."""
        aside = None if self.put_aside_at is None else self.put_aside_at.isoformat()
        return {
            "id": self.id,
            "version": self.version,
            "created_at": self.created_at.isoformat(),
            "created_by": self.created_by,
            "changed_at": self.changed_at.isoformat(),
            "changed_by": self.changed_by,
            "put_aside_at": aside,
            "document": self.document.written(),
        }


@dataclass(frozen=True, slots=True)
class CursorPage(Generic[D]):
    """Records in order with the cursor of those that follow, None at the end."""

    records: tuple[Stored[D], ...]
    next_cursor: str | None


@dataclass(frozen=True, slots=True)
class NumberedPage(Generic[D]):
    """One numbered page of records, with how many records and pages there are."""

    records: tuple[Stored[D], ...]
    page: int
    pages: int
    total: int


@dataclass(frozen=True, slots=True)
class Context:
    """Why a change is made, for the history.

    Attributes:
        reason: in words.
        request_id: the request that asked for it.
        batch: the import that it belongs to, with others.
        undoes: key of the change that it takes back.
    """

    reason: str | None = None
    request_id: str | None = None
    batch: str | None = None
    undoes: int | None = None


NO_CONTEXT = Context()
