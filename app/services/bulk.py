"""Many records of one kind in one go: the catalogue's own rules, a block at a time.

What one record's change does, these do for thousands: names are kept apart, versions compared, a
check withdrawn where figures differ, and each record gets its row in the history.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Any, Generic, TypeVar

import sqlalchemy as sa

from app.documents import Document
from app.errors import DuplicateName, NotFound, StaleRecord
from app.records.base import folded, now, table_of
from app.records.bookkeeping import Change
from app.records.database import WriteSession, raise_revision
from app.records.listing import columns, rows_by_public_id
from app.services.bulk_rows import BulkRows, stamps
from app.services.nouns import Noun, set_values
from app.services.stored import Context

D = TypeVar("D", bound=Document)
T = TypeVar("T")

BLOCK = 250
"""Records that are written at a time: many enough for the database, few enough for the memory."""

_CHANGE: sa.Table = table_of(Change)


@dataclass(frozen=True, slots=True)
class Wanted(Generic[D]):
    """A record that is to become another document, read at `version` as `before`.

    `undoes` is the key of the change that this takes back, None for none.
    """

    id: str
    version: int
    before: D
    document: D
    undoes: int | None = None


@dataclass(frozen=True, slots=True)
class Moved:
    """A record that is to be put aside or brought back, read at `version`."""

    id: str
    version: int
    name: str
    written: dict[str, Any]
    undoes: int | None = None


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """What the history keeps of one of many changes."""

    record: str
    name: str
    version: int
    before: dict[str, Any] | None
    after: dict[str, Any] | None
    undoes: int | None


LINE = tuple(field.name for field in fields(HistoryLine))


def add_many(
    noun: Noun[D],
    rows: BulkRows[D],
    session: WriteSession,
    documents: Sequence[D],
    by: str,
    context: Context,
) -> list[str]:
    """Keep new records; their ids in the order of the documents.

    Raises:
        DuplicateName: two have one name, or a record in use has it.
        BadInput: a document names something that is not there; the path begins with its place.
    """
    _begin(session)
    _names_are_free(noun, session, [(document_name(d), None) for d in documents])
    values = rows.values(session, documents, [None] * len(documents))
    table = columns(noun.table)
    made: list[str] = []
    for block in blocks(list(zip(documents, values, strict=True))):
        new = [{**own, **stamps(by)} for _, own in block]
        ids = [str(row["public_id"]) for row in new]
        connection = session.connection()
        connection.execute(sa.insert(table), new)
        query = sa.select(table.c.public_id, table.c.id).where(table.c.public_id.in_(ids))
        keys = {row.public_id: int(row.id) for row in connection.execute(query)}
        own_documents = [document for document, _ in block]
        rows.add_parts(session, [keys[i] for i in ids], own_documents, by)
        lines = (
            HistoryLine(i, document_name(d), 1, None, d.written(), context.undoes)
            for i, d in zip(ids, own_documents, strict=True)
        )
        _remember(session, noun, "add", by, context, lines)
        made += ids
    return made


def change_many(
    noun: Noun[D],
    rows: BulkRows[D],
    session: WriteSession,
    wanted: Sequence[Wanted[D]],
    by: str,
    context: Context,
) -> None:
    """Replace the documents of records that stand as they were read.

    Raises:
        NotFound, StaleRecord, DuplicateName, BadInput: as for one record.
    """
    _begin(session)
    _as_read(noun, session, [(w.id, w.version) for w in wanted], aside=False)
    _names_are_free(noun, session, [(document_name(w.document), w.id) for w in wanted])
    for block in blocks(wanted):
        found = rows.objects(session, [w.id for w in block])
        documents = [w.document for w in block]
        objects = [found[w.id] for w in block]
        standing = [getattr(row, "facing_id", None) for row in objects]
        for row, values in zip(objects, rows.values(session, documents, standing), strict=True):
            set_values(row, values)
            row.changed_at, row.changed_by = now(), by
        rows.change_parts(session, objects, documents, by)
        lines = (
            HistoryLine(
                w.id,
                document_name(w.document),
                int(row.version),
                w.before.written(),
                w.document.written(),
                w.undoes,
            )
            for w, row in zip(block, objects, strict=True)
        )
        _remember(session, noun, "change", by, context, lines)
        for row in objects:
            session.expunge(row)


def move_many(
    noun: Noun[D],
    session: WriteSession,
    records: Sequence[Moved],
    by: str,
    context: Context,
    *,
    aside: bool,
) -> None:
    """Put records aside, or bring them back, as they were read.

    Raises:
        NotFound, StaleRecord, DuplicateName: as for one record.
    """
    _begin(session)
    _as_read(noun, session, [(r.id, r.version) for r in records], aside=not aside)
    if not aside:
        _names_are_free(noun, session, [(r.name, r.id) for r in records])
    table = columns(noun.table)
    for block in blocks(records):
        at = now()
        moved = {"put_aside_at": at, "put_aside_by": by}
        if not aside:
            moved = {"put_aside_at": None, "put_aside_by": None}
        session.connection().execute(
            sa.update(table)
            .where(table.c.public_id.in_([r.id for r in block]))
            .values(**moved, changed_at=at, changed_by=by, version=table.c.version + 1)
        )
        lines = (
            HistoryLine(
                r.id, r.name, r.version + 1, r.written, None if aside else r.written, r.undoes
            )
            for r in block
        )
        _remember(session, noun, "put aside" if aside else "bring back", by, context, lines)


def blocks(items: Sequence[T], size: int = BLOCK) -> Iterator[Sequence[T]]:
    """The items in order, so many at a time."""
    for start in range(0, len(items), size):
        yield items[start : start + size]


def document_name(document: Document) -> str:
    """The name that a document gives its record."""
    return str(getattr(document, "name", ""))


def _begin(session: WriteSession) -> None:
    raise_revision(session)
    connection = session.connection()
    if connection.dialect.name == "sqlite":
        # Readers are kept out at the commit only, not from the moment that the cache is full.
        connection.exec_driver_sql("PRAGMA cache_spill=OFF")


def _as_read(
    noun: Noun[D], session: WriteSession, wanted: Sequence[tuple[str, int]], *, aside: bool
) -> None:
    for block in blocks(wanted, 5000):
        rows = rows_by_public_id(session, noun.table, [key for key, _ in block])
        for key, version in block:
            row = rows.get(key)
            if row is None or (row["put_aside_at"] is not None) != aside:
                raise NotFound(noun.kind, key)
            if row["version"] != version:
                raise StaleRecord(noun.kind, key, version, {"version": row["version"]})


def _names_are_free(
    noun: Noun[D], session: WriteSession, names: Sequence[tuple[str, str | None]]
) -> None:
    """Refuse two equal names among these, and those that other records in use have.

    Each name comes with the id of its record, None for a new one. A name that a record of the same
    go gives up is not free yet: the database would meet it twice on the way.
    """
    own: dict[str, tuple[str, str | None]] = {}
    for name, key in names:
        if folded(name) in own:
            raise DuplicateName(noun.kind, name)
        own[folded(name)] = name, key
    table = columns(noun.table)
    for block in blocks(list(own), 5000):
        query = sa.select(table.c.name_key, table.c.public_id)
        query = query.where(table.c.name_key.in_(list(block)), table.c.put_aside_at.is_(None))
        for row in session.connection().execute(query):
            name, key = own[row.name_key]
            if row.public_id != key:
                raise DuplicateName(noun.kind, name)


def _remember(
    session: WriteSession,
    noun: Noun[D],
    action: str,
    by: str,
    context: Context,
    lines: Iterable[HistoryLine],
) -> None:
    shared = {
        "at": now(),
        "by": by,
        "action": action,
        "noun": noun.kind,
        "reason": context.reason,
        "request_id": context.request_id,
        "batch": context.batch,
    }
    session.connection().execute(
        sa.insert(_CHANGE),
        [{**shared, **{name: getattr(line, name) for name in LINE}} for line in lines],
    )
