"""Finding and reading the catalogue's records of one kind."""

from collections.abc import Sequence
from typing import Generic, TypeVar

from sqlmodel import Session

from app.documents import Document
from app.errors import NotFound
from app.records import listing
from app.records.base import Row
from app.records.listing import Search
from app.services.nouns import Noun
from app.services.stored import CursorPage, NumberedPage, Stored

D = TypeVar("D", bound=Document)


class Readable(Generic[D]):
    """The records of one kind, to be read."""

    def __init__(self, noun: Noun[D]) -> None:
        self.noun = noun

    def get(self, session: Session, public_id: str, *, put_aside_too: bool = False) -> Stored[D]:
        """One record by its id.

        Raises:
            NotFound: there is none, or it was put aside.
        """
        row = listing.rows_by_public_id(session, self.noun.table, [public_id]).get(public_id)
        if row is None or (row["put_aside_at"] is not None and not put_aside_too):
            raise NotFound(self.noun.kind, public_id)
        return self.stored(session, [row])[0]

    def get_many(self, session: Session, public_ids: Sequence[str]) -> list[Stored[D]]:
        """Records in use by their ids, in the order asked for; those not there are left out."""
        found = listing.rows_by_public_id(session, self.noun.table, public_ids)
        rows = [found[i] for i in public_ids if i in found]
        return self.stored(session, [row for row in rows if row["put_aside_at"] is None])

    def after_cursor(
        self,
        session: Session,
        search: Search = Search(),  # noqa: B008  # frozen: it can't be changed by a caller
        *,
        cursor: str | None = None,
        limit: int = 50,
    ) -> CursorPage[D]:
        """Records that follow a cursor, from the beginning without one.

        Raises:
            BadInput: the cursor is not one of this order's, or there is no such order.
        """
        found = listing.by_cursor(session, self.noun.table, search, cursor, limit)
        return CursorPage(tuple(self.stored(session, found.rows)), found.next_cursor)

    def page(
        self,
        session: Session,
        search: Search = Search(),  # noqa: B008  # frozen: it can't be changed by a caller
        *,
        page: int = 1,
        size: int = 50,
    ) -> NumberedPage[D]:
        """One numbered page; a number beyond the last gives the last."""
        total = listing.total(session, self.noun.table, search)
        size = max(1, min(size, listing.LARGEST_PAGE))
        pages = max(1, -(-total // size))
        page = max(1, min(page, pages))
        rows = listing.by_number(session, self.noun.table, search, page, size)
        return NumberedPage(tuple(self.stored(session, rows)), page, pages, total)

    def stored(self, session: Session, rows: Sequence[Row]) -> list[Stored[D]]:
        """The records of these rows."""
        documents = self.noun.documents(session, rows)
        return [
            Stored(
                id=row["public_id"],
                version=row["version"],
                document=document,
                created_at=row["created_at"],
                created_by=row["created_by"],
                changed_at=row["changed_at"],
                changed_by=row["changed_by"],
                put_aside_at=row["put_aside_at"],
            )
            for row, document in zip(rows, documents, strict=True)
        ]


def every(session: Session, catalogue: Readable[D]) -> list[Stored[D]]:
    """Every record in use, in order of names."""
    rows = listing.all_rows(session, catalogue.noun.table, Search())
    return catalogue.stored(session, rows)
