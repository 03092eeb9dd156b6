"""Finding named records: search words, filters, order, and pages by cursor or by number."""

import base64
import binascii
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlmodel import Session

from app.errors import BadInput, Problem
from app.records.base import Named, Row, folded, table_of

LARGEST_PAGE = 500
ORDERS = ("name", "-name", "changed", "-changed")


@dataclass(frozen=True, slots=True)
class Search:
    """What is looked for: words that must all occur, columns with their values, the order.

    `filters` maps a column to the value or the values it may have.
    """

    text: str = ""
    filters: Mapping[str, Any] = field(default_factory=dict)
    put_aside: bool = False
    order: str = "name"


@dataclass(frozen=True, slots=True)
class Slice:
    """Some rows in their order, and the cursor of what follows, None at the end."""

    rows: Sequence[Row]
    next_cursor: str | None


def columns(table: type[Named]) -> sa.Table:
    """The table's columns, for queries that read rows and not objects."""
    found: sa.Table = table_of(table)
    return found


def conditions(table: type[Named], search: Search) -> list[sa.ColumnElement[bool]]:
    """The search as conditions on one table."""
    t = columns(table)
    aside = t.c.put_aside_at.is_not(None) if search.put_aside else t.c.put_aside_at.is_(None)
    found: list[sa.ColumnElement[bool]] = [aside]
    words = folded(search.text).split()
    found += [t.c.search_text.contains(word, autoescape=True) for word in words]
    for name, wanted in search.filters.items():
        if wanted is None:
            continue
        if isinstance(wanted, str) or not isinstance(wanted, Sequence):
            wanted = [wanted]
        found.append(t.c[name].in_(list(wanted)))
    return found


def _ordered(table: type[Named], order: str) -> tuple[sa.Column[Any], bool]:
    if order not in ORDERS:
        raise BadInput([Problem("order", f"Write one of {', '.join(ORDERS)}.")])
    t = columns(table)
    column = t.c.name_key if order.lstrip("-") == "name" else t.c.changed_at
    return column, order.startswith("-")


def _in_order(table: type[Named], search: Search) -> sa.Select[Any]:
    column, falling = _ordered(table, search.order)
    key = columns(table).c.id
    ends = (column.desc(), key.desc()) if falling else (column.asc(), key.asc())
    return sa.select(columns(table)).where(*conditions(table, search)).order_by(*ends)


def by_cursor(
    session: Session, table: type[Named], search: Search, cursor: str | None, limit: int
) -> Slice:
    """The rows after a cursor; the same cursor gives the same place while others add and remove."""
    limit = max(1, min(limit, LARGEST_PAGE))
    column, falling = _ordered(table, search.order)
    key = columns(table).c.id
    query = _in_order(table, search)
    if cursor is not None:
        value, last_id = _read_cursor(cursor, search.order)
        beyond = column < value if falling else column > value
        beyond_id = key < last_id if falling else key > last_id
        query = query.where(sa.or_(beyond, sa.and_(column == value, beyond_id)))
    rows = session.connection().execute(query.limit(limit + 1)).mappings().all()
    if len(rows) <= limit:
        return Slice(rows, None)
    last = rows[limit - 1]
    return Slice(rows[:limit], _write_cursor(last[column.name], last["id"], search.order))


def by_number(
    session: Session, table: type[Named], search: Search, page: int, size: int
) -> Sequence[Row]:
    """The rows of one numbered page; pages count from 1."""
    size = max(1, min(size, LARGEST_PAGE))
    query = _in_order(table, search).limit(size).offset((max(1, page) - 1) * size)
    return session.connection().execute(query).mappings().all()


def all_rows(session: Session, table: type[Named], search: Search) -> Sequence[Row]:
    """Every row that the search finds, in its order."""
    return session.connection().execute(_in_order(table, search)).mappings().all()


def total(session: Session, table: type[Named], search: Search) -> int:
    """How many records the search finds."""
    query = sa.select(sa.func.count()).select_from(columns(table))
    found = session.connection().execute(query.where(*conditions(table, search)))
    return int(found.scalar_one())


def rows_by_public_id(session: Session, table: type[Named], ids: Sequence[str]) -> dict[str, Row]:
    """The rows with these public ids, put aside or not, by public id."""
    t = columns(table)
    query = sa.select(t).where(t.c.public_id.in_(list(ids)))
    return {row["public_id"]: row for row in session.connection().execute(query).mappings()}


def names_by_public_id(
    session: Session, table: type[Named], ids: Collection[str]
) -> dict[str, tuple[str, bool]]:
    """Name of each of these records, and whether it is put aside, by public id."""
    t = columns(table)
    query = sa.select(t.c.public_id, t.c.name, t.c.put_aside_at).where(t.c.public_id.in_(list(ids)))
    found = session.connection().execute(query)
    return {row.public_id: (row.name, row.put_aside_at is not None) for row in found}


def active_name_taken(
    session: Session, table: type[Named], name: str, but_id: int | None = None
) -> bool:
    """Whether a record in use, other than `but_id`, has this name, however it is written."""
    t = columns(table)
    query = sa.select(t.c.id).where(t.c.name_key == folded(name), t.c.put_aside_at.is_(None))
    if but_id is not None:
        query = query.where(t.c.id != but_id)
    return session.connection().execute(query.limit(1)).first() is not None


def _write_cursor(value: str | datetime, last_id: int, order: str) -> str:
    text = value.isoformat() if isinstance(value, datetime) else value
    raw = json.dumps([order, text, last_id], ensure_ascii=False).encode()
    return base64.urlsafe_b64encode(raw).decode().rstrip("=")


def _read_cursor(cursor: str, order: str) -> tuple[str | datetime, int]:
    try:
        raw = base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4))
        written, text, last_id = json.loads(raw)
        if written != order or not isinstance(text, str) or type(last_id) is not int:
            raise ValueError
        if not 0 <= last_id < 2**63 or "\0" in text:  # no database takes these
            raise ValueError
        text.encode()  # nor half of a surrogate pair
        value = datetime.fromisoformat(text) if order.lstrip("-") == "changed" else text
        if isinstance(value, datetime) and value.tzinfo is None:
            raise ValueError
    except (ValueError, TypeError, binascii.Error, RecursionError):
        told = "Use the cursor that came with the page before, with the same order."
        raise BadInput([Problem("cursor", told)]) from None
    return value, last_id


def names_ever_used(session: Session, table: type[Named]) -> set[str]:
    """Names of all records of a kind, those put aside too."""
    return set(session.connection().execute(sa.select(columns(table).c.name)).scalars())
