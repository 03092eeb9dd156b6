"""Every select on the history: session in, rows out."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlmodel import Session

from app.records.base import Row, table_of
from app.records.bookkeeping import Change

_CHANGE: sa.Table = table_of(Change)
MOST_NAMES = 200


@dataclass(frozen=True, slots=True)
class ChangeSearch:
    """Which changes are looked for; None and "" for any.

    Attributes:
        noun: kind of record.
        record: id of one record of that kind.
        by: the person's name as the history has it.
        since: from this moment on.
        before: up to this moment, without it.
        batch: of this import.
    """

    noun: str = ""
    record: str = ""
    by: str = ""
    since: datetime | None = None
    before: datetime | None = None
    batch: str = ""


def _conditions(search: ChangeSearch) -> list[sa.ColumnElement[bool]]:
    c = _CHANGE.c
    equal = ((c.noun, search.noun), (c.record, search.record), (c.by, search.by))
    found = [column == value for column, value in (*equal, (c.batch, search.batch)) if value]
    if search.since is not None:
        found.append(c.at >= search.since)
    if search.before is not None:
        found.append(c.at < search.before)
    return found


def changes_found(session: Session, search: ChangeSearch) -> int:
    """How many changes a search finds."""
    query = sa.select(sa.func.count()).select_from(_CHANGE).where(*_conditions(search))
    return int(session.connection().execute(query).scalar_one())


def changes(session: Session, search: ChangeSearch, limit: int, offset: int = 0) -> Sequence[Row]:
    """Changes that a search finds, the newest first."""
    query = sa.select(_CHANGE).where(*_conditions(search)).order_by(_CHANGE.c.id.desc())
    return session.connection().execute(query.limit(limit).offset(offset)).mappings().all()


def change_row(session: Session, key: int) -> Row | None:
    """One change by its key."""
    query = sa.select(_CHANGE).where(_CHANGE.c.id == key)
    return session.connection().execute(query).mappings().first()


def undoing(session: Session, keys: Collection[int]) -> dict[int, Row]:
    """The changes that took these back, by the key of what they took back; the newest counts."""
    query = sa.select(_CHANGE.c.id, _CHANGE.c.undoes, _CHANGE.c.by, _CHANGE.c.at)
    query = query.where(_CHANGE.c.undoes.in_(list(keys))).order_by(_CHANGE.c.id)
    return {row["undoes"]: row for row in session.connection().execute(query).mappings()}


def newer_changes(session: Session, change: Row, limit: int = 20) -> Sequence[Row]:
    """Later changes of the same record, the newest first."""
    query = sa.select(_CHANGE).where(
        _CHANGE.c.noun == change["noun"],
        _CHANGE.c.record == change["record"],
        _CHANGE.c.id > change["id"],
    )
    query = query.order_by(_CHANGE.c.id.desc()).limit(limit)
    return session.connection().execute(query).mappings().all()


def changes_of_batch(session: Session, batch: str) -> Sequence[Row]:
    """Every change of an import, the newest first, with all that it says."""
    query = sa.select(_CHANGE).where(_CHANGE.c.batch == batch).order_by(_CHANGE.c.id.desc())
    return session.connection().execute(query).mappings().all()


def newer_than_batch(session: Session, batch: str, limit: int = 20) -> Sequence[Row]:
    """Later changes, from elsewhere, of records that an import changed, the newest first."""
    own, later = _CHANGE.alias("own"), _CHANGE.alias("later")
    same = sa.and_(
        later.c.noun == own.c.noun, later.c.record == own.c.record, later.c.id > own.c.id
    )
    query = (
        sa.select(later)
        .join_from(own, later, same)
        .where(own.c.batch == batch, sa.or_(later.c.batch.is_(None), later.c.batch != batch))
        .order_by(later.c.id.desc())
        .limit(limit)
    )
    return session.connection().execute(query).mappings().all()


def batch_totals(session: Session, batch: str) -> Sequence[Row]:
    """How many changes of an import there are of each action and kind, with who and when."""
    c = _CHANGE.c
    query = sa.select(
        c.noun,
        c.action,
        sa.func.count().label("number"),
        sa.func.min(c.by).label("by"),
        sa.func.min(c.at).label("at"),
        sa.func.min(c.reason).label("reason"),
    ).where(c.batch == batch)
    return session.connection().execute(query.group_by(c.noun, c.action)).mappings().all()


def people(session: Session) -> list[str]:
    """Everybody who changed something, by name."""
    query = sa.select(_CHANGE.c.by).distinct().order_by(_CHANGE.c.by).limit(MOST_NAMES)
    return [str(name) for name in session.connection().execute(query).scalars()]


def kinds(session: Session) -> list[str]:
    """Every kind of record that was changed."""
    query = sa.select(_CHANGE.c.noun).distinct().order_by(_CHANGE.c.noun)
    return [str(name) for name in session.connection().execute(query).scalars()]
