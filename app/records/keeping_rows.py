"""Saved comparisons and lines of the shortlist between their rows and their documents."""

from collections.abc import Collection, Mapping
from typing import Any

import sqlalchemy as sa
from sqlmodel import Session

from app.documents.keeping import SavedComparison, ShortlistLine
from app.records import engines, packs, sources
from app.records.base import Named, Row, folded
from app.records.keeping import ShortlistLine as LineRow
from app.records.listing import columns
from app.records.pack_rows import search_text

_ASIDE = ("name", "notes")
_LINE = ("name", "why", "quantity", "done")
TARGETS: Mapping[str, type[Named]] = {
    "pack": packs.Pack,
    "engine": engines.Engine,
    "offer": sources.Offer,
}
"""What a line of the shortlist points at."""


def comparison_values(document: SavedComparison) -> dict[str, Any]:
    """The columns of a saved comparison's row."""
    written = document.written()
    return {
        "name": document.name,
        "name_key": folded(document.name),
        "search_text": search_text(document.name, document.notes),
        "notes": document.notes,
        "asked": {name: value for name, value in written.items() if name not in _ASIDE},
    }


def comparison_document(row: Row) -> SavedComparison:
    """The document that a saved comparison's row holds."""
    raw = {"name": row["name"], "notes": row["notes"], **row["asked"]}
    return SavedComparison.model_validate(raw)


def line_values(document: ShortlistLine, keys: Mapping[str, int | None]) -> dict[str, Any]:
    """The columns of a line's row; `keys` has what it points at, by kind."""
    name = document.name or ""
    return {
        **{column: getattr(document, column) for column in _LINE},
        "name_key": folded(name),
        "search_text": search_text(name, document.why),
        **{f"{kind}_id": keys.get(kind) for kind in TARGETS},
    }


def line_document(row: Row, ids: Mapping[str, Mapping[int | None, str]]) -> ShortlistLine:
    """The document that a line's row holds; `ids` has public ids by kind and key."""
    raw = {column: row[column] for column in _LINE}
    raw |= {kind: ids[kind].get(row[f"{kind}_id"]) for kind in TARGETS}
    return ShortlistLine.model_validate(raw)


def key_of(session: Session, table: type[Named], public_id: str) -> int | None:
    """Key of a record by its public id, in use or put aside."""
    t = columns(table)
    query = sa.select(t.c.id).where(t.c.public_id == public_id)
    return session.connection().execute(query).scalar_one_or_none()


def public_ids(
    session: Session, table: type[Named], keys: Collection[int]
) -> dict[int | None, str]:
    """Public ids of records by key."""
    if not keys:
        return {}
    t = columns(table)
    query = sa.select(t.c.id, t.c.public_id).where(t.c.id.in_(list(keys)))
    return {row.id: row.public_id for row in session.connection().execute(query)}


def names_of(session: Session, table: type[Named], ids: Collection[str]) -> dict[str, str]:
    """Names of records by public id, in use or put aside."""
    if not ids:
        return {}
    t = columns(table)
    query = sa.select(t.c.public_id, t.c.name).where(t.c.public_id.in_(list(ids)))
    return {row.public_id: row.name for row in session.connection().execute(query)}


def open_line(session: Session, pack: str, engine: str | None) -> Row | None:
    """A line in use, not done, for this pack and this engine."""
    t, p, e = columns(LineRow), columns(packs.Pack), columns(engines.Engine)
    query = (
        sa.select(t)
        .select_from(t.join(p, t.c.pack_id == p.c.id).outerjoin(e, t.c.engine_id == e.c.id))
        .where(p.c.public_id == pack, t.c.put_aside_at.is_(None), t.c.done.is_(False))
        .where(e.c.public_id == engine if engine is not None else t.c.engine_id.is_(None))
    )
    return session.connection().execute(query.limit(1)).mappings().first()
