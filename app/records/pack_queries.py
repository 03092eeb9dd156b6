"""Every select on packs, their springs and their friction: session in, rows out."""

from collections import defaultdict
from collections.abc import Collection, Sequence

import sqlalchemy as sa
from sqlalchemy.orm import joinedload, selectinload
from sqlmodel import Session, select

from app.records.base import Row, table_of
from app.records.listing import columns
from app.records.pack_rows import PackParts
from app.records.packs import LoadPoint, Pack, Spring
from app.records.sources import Facing, FrictionValue

_SPRING: sa.Table = table_of(Spring)
_POINT: sa.Table = table_of(LoadPoint)
_FRICTION: sa.Table = table_of(FrictionValue)
_FACING = columns(Facing)
_PACK = columns(Pack)

MOST_IN_A_LIST = 10_000
"""A database takes so many values in one statement; longer lists are read in blocks."""


def pack_parts(session: Session, rows: Sequence[Row]) -> list[PackParts]:
    """The packs of these rows with everything that belongs to them, in four queries at most."""
    ids = [row["id"] for row in rows]
    springs = _grouped(session, _SPRING, _SPRING.c.pack_id, ids, _SPRING.c.position)
    spring_ids = [spring["id"] for group in springs.values() for spring in group]
    points = _grouped(session, _POINT, _POINT.c.spring_id, spring_ids, _POINT.c.position)
    own = _grouped(session, _FRICTION, _FRICTION.c.pack_id, ids, _FRICTION.c.position)
    facings = facing_names(session, {row["facing_id"] for row in rows} - {None})
    return [
        PackParts(
            row=row,
            springs=springs.get(row["id"], ()),
            load_points=points,
            friction=own.get(row["id"], ()),
            facing=facings.get(row["facing_id"]),
        )
        for row in rows
    ]


def with_facing_friction(session: Session, parts: Sequence[PackParts]) -> list[PackParts]:
    """The same packs with the friction rows of their facings, in one query more."""
    ids = {part.row["facing_id"] for part in parts} - {None}
    tables = facing_friction_rows(session, ids)
    return [
        PackParts(
            row=part.row,
            springs=part.springs,
            load_points=part.load_points,
            friction=part.friction,
            facing=part.facing,
            facing_friction=tables.get(part.row["facing_id"], ()),
        )
        for part in parts
    ]


def facing_names(session: Session, ids: Collection[int]) -> dict[int | None, str]:
    """Names of facings by key."""
    if not ids:
        return {}
    query = sa.select(_FACING.c.id, _FACING.c.name).where(_FACING.c.id.in_(list(ids)))
    return {row.id: row.name for row in session.connection().execute(query)}


def facing_friction_rows(session: Session, ids: Collection[int]) -> dict[int, list[Row]]:
    """Friction rows of facings by the facing's key."""
    return _grouped(session, _FRICTION, _FRICTION.c.facing_id, list(ids), _FRICTION.c.position)


def _grouped(
    session: Session,
    table: sa.Table,
    owner: sa.Column[int],
    ids: Sequence[int],
    order: sa.Column[int],
) -> dict[int, list[Row]]:
    """Rows by their owner, in order; a long list of owners is read in blocks."""
    found: dict[int, list[Row]] = defaultdict(list)
    for start in range(0, len(ids), MOST_IN_A_LIST):
        block = ids[start : start + MOST_IN_A_LIST]
        query = sa.select(table).where(owner.in_(block)).order_by(owner, order)
        for row in session.connection().execute(query).mappings():
            found[row[owner.name]].append(row)
    return found


def pack_object(session: Session, public_id: str) -> Pack | None:
    """The pack to be changed, with its springs and their readings, as the database has it now."""
    query = (
        select(Pack)
        .where(Pack.public_id == public_id)
        .options(
            selectinload(Pack.springs).selectinload(Spring.load_points)  # type: ignore[arg-type]  # SQLModel types a relationship as its value
        )
        .execution_options(populate_existing=True)
    )
    return session.exec(query).first()


def spring_object(session: Session, public_id: str) -> Spring | None:
    """The spring set to be moved or changed, with its readings, as the database has it now."""
    query = (
        select(Spring)
        .where(Spring.public_id == public_id)
        .options(
            selectinload(Spring.load_points),  # type: ignore[arg-type]  # SQLModel types a relationship as its value
            joinedload(Spring.pack),  # type: ignore[arg-type]  # as above
        )
        .execution_options(populate_existing=True)
    )
    return session.exec(query).first()


def spring_rows(session: Session, pack_public_id: str | None) -> list[Row]:
    """Spring sets in use, of one pack or (None) on the shelf, with the pack's id and name."""
    query = sa.select(
        _SPRING,
        _PACK.c.public_id.label("pack_public_id"),
        _PACK.c.name.label("pack_name"),
    ).select_from(_SPRING.outerjoin(_PACK, _SPRING.c.pack_id == _PACK.c.id))
    where = (
        _SPRING.c.pack_id.is_(None)
        if pack_public_id is None
        else _PACK.c.public_id == pack_public_id
    )
    query = query.where(where, _SPRING.c.put_aside_at.is_(None))
    query = query.order_by(_SPRING.c.position, _SPRING.c.id)
    return list(session.connection().execute(query).mappings())


def spring_rows_within(
    session: Session, outside_most: float, free_least: float, free_most: float, most: int
) -> list[Row]:
    """Spring sets in use that fit a pocket [mm], those of packs that were put aside left out."""
    c = _SPRING.c
    wide = sa.func.coalesce(c.outside_mm, c.mean_mm + c.wire_mm, c.inside_mm + 2 * c.wire_mm)
    query = (
        sa.select(
            _SPRING,
            _PACK.c.public_id.label("pack_public_id"),
            _PACK.c.name.label("pack_name"),
        )
        .select_from(_SPRING.outerjoin(_PACK, c.pack_id == _PACK.c.id))
        .where(
            c.put_aside_at.is_(None),
            _PACK.c.put_aside_at.is_(None),
            wide <= outside_most,
            c.free_length_mm > free_least,
            c.free_length_mm <= free_most,
        )
        .order_by(c.free_length_mm, c.id)
        .limit(most)
    )
    return list(session.connection().execute(query).mappings())


def spring_points(session: Session, spring_ids: Sequence[int]) -> dict[int, list[Row]]:
    """Readings of spring sets by the set's key."""
    return _grouped(session, _POINT, _POINT.c.spring_id, spring_ids, _POINT.c.position)
