"""Every query on kept verdicts. Their writes are no change of the catalogue."""

import hashlib
import json
from collections.abc import Collection, Mapping, Sequence
from typing import Any

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import Engine
from sqlmodel import Session

from app.records.base import Row, now, public_id, table_of
from app.records.import_queries import beside_the_catalogue
from app.records.verdicts import Verdict, VerdictInput

_VERDICT: sa.Table = table_of(Verdict)
_INPUT: sa.Table = table_of(VerdictInput)
_BLOCK = 500


def digest(document: Mapping[str, Any]) -> str:
    """What names a document by all that it says: SHA-256 of its JSON, keys in order."""
    text = json.dumps(document, sort_keys=True, ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def add_verdict(
    engine: Engine,
    *,
    by: str,
    kind: str,
    way: str,
    title: str,
    query: str,
    revision: int,
    content: Mapping[str, Any],
    documents: Mapping[str, Mapping[str, Any]],
    key: str | None = None,
) -> str:
    """Keep what was shown; its public id. A document that is kept already is not kept again."""
    made = key or public_id()
    with beside_the_catalogue(engine) as connection:
        insert = postgresql.insert if engine.dialect.name == "postgresql" else sqlite.insert
        rows = [{"digest": key, "document": dict(value)} for key, value in documents.items()]
        for start in range(0, len(rows), _BLOCK):
            connection.execute(
                insert(_INPUT).on_conflict_do_nothing(), rows[start : start + _BLOCK]
            )
        connection.execute(
            sa.insert(_VERDICT),
            [
                {
                    "public_id": made,
                    "at": now(),
                    "by": by,
                    "kind": kind,
                    "way": way,
                    "title": title,
                    "query": query,
                    "revision": revision,
                    "content": dict(content),
                }
            ],
        )
    return made


def verdict_row(session: Session, key: str) -> Row | None:
    """A kept verdict by its public id."""
    query = sa.select(_VERDICT).where(_VERDICT.c.public_id == key)
    return session.connection().execute(query).mappings().first()


def kept_documents(session: Session, digests: Collection[str]) -> dict[str, dict[str, Any]]:
    """Documents by their digests."""
    found: dict[str, dict[str, Any]] = {}
    wanted = list(digests)
    for start in range(0, len(wanted), _BLOCK):
        query = sa.select(_INPUT).where(_INPUT.c.digest.in_(wanted[start : start + _BLOCK]))
        for row in session.connection().execute(query):
            found[row.digest] = dict(row.document)
    return found


def verdicts_found(session: Session) -> int:
    """How many verdicts are kept."""
    query = sa.select(sa.func.count()).select_from(_VERDICT)
    return int(session.connection().execute(query).scalar_one())


def verdict_rows(session: Session, limit: int, offset: int = 0) -> Sequence[Row]:
    """Kept verdicts, the newest first, without what they hold."""
    columns = [column for column in _VERDICT.c if column.name != "content"]
    query = sa.select(*columns).order_by(_VERDICT.c.id.desc()).limit(limit).offset(offset)
    return session.connection().execute(query).mappings().all()
