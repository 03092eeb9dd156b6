"""What the catalogue must know of each kind of record: its table, its document, how they meet."""

from abc import ABC, abstractmethod
from collections.abc import Sequence
from typing import Any, Generic, TypeVar

import sqlalchemy as sa
from sqlmodel import Session
from typing_extensions import override

from app.documents import Document, Engine, Facing, Offer, Pack, SpringGroup
from app.errors import BadInput, InUse, Problem
from app.fields import DefaultDoubt, default_doubt
from app.mechanics.table_files import normalised
from app.records import engines, packs, sources
from app.records.base import Named, Row, now, table_of
from app.records.database import WriteSession
from app.records.engine_rows import engine_document, engine_values
from app.records.pack_queries import facing_friction_rows, facing_names, pack_object, pack_parts
from app.records.pack_rows import (
    friction_values,
    load_point_values,
    pack_document,
    pack_values,
    spring_values,
)
from app.records.source_queries import (
    active_facings,
    facing_object,
    pack_key,
    pack_public_ids,
    packs_with_facing,
    plain_object,
)
from app.records.source_rows import (
    facing_document,
    facing_friction_values,
    facing_values,
    offer_document,
    offer_values,
)

D = TypeVar("D", bound=Document)
Doubts = dict[tuple[str, str], DefaultDoubt]


class Noun(ABC, Generic[D]):
    """One kind of record: what the catalogue asks of it."""

    kind: str
    table: type[Named]
    model: type[D]

    @abstractmethod
    def documents(self, session: Session, rows: Sequence[Row]) -> list[D]:
        """The documents of these rows, in few queries however many rows there are."""

    @abstractmethod
    def keep(self, session: WriteSession, row: Named, document: D, by: str) -> None:
        """Write the document into the record and the rows that belong to it, and flush."""

    def find(self, session: Session, public_id: str) -> Named | None:
        """The record to be changed, with all that belongs to it."""
        return plain_object(session, self.table, public_id)

    def complete(self, document: D, _doubts: Doubts) -> D:
        """The document with what is filled in on saving besides the figures' usual doubts."""
        return document

    def named(self, _session: Session, document: D, _standing: D | None) -> D:
        """The document with a name, where its kind may be written without one."""
        return document

    def before_put_aside(self, session: Session, row: Named) -> None:
        """Refuse when others still need the record."""


def set_values(row: Any, values: dict[str, Any]) -> bool:
    """Write the values that differ; whether any did."""
    differing = {name: value for name, value in values.items() if getattr(row, name) != value}
    for name, value in differing.items():
        setattr(row, name, value)
    return bool(differing)


class PackNoun(Noun[Pack]):
    """Packs, with springs, readings and friction coefficients in rows of their own."""

    kind = "pack"
    table = packs.Pack
    model = Pack

    @override
    def documents(self, session: Session, rows: Sequence[Row]) -> list[Pack]:
        return [pack_document(parts) for parts in pack_parts(session, rows)]

    @override
    def find(self, session: Session, public_id: str) -> Named | None:
        return pack_object(session, public_id)

    @override
    def complete(self, document: Pack, _doubts: Doubts) -> Pack:
        """A tester's readings without a stated limit get the usual one of a spring tester."""
        clamp = document.clamp
        if clamp is None or clamp.kind != "coil":
            return document
        limit = default_doubt("force", "measured", 1.0, _doubts)
        springs = [
            group.model_copy(update={"tester_limit": limit})
            if group.load_points and group.tester_limit is None
            else group
            for group in clamp.springs
        ]
        if springs == clamp.springs:
            return document
        return document.model_copy(update={"clamp": clamp.model_copy(update={"springs": springs})})

    @override
    def keep(self, session: WriteSession, row: Named, document: Pack, by: str) -> None:
        pack: Any = row
        facing = _facing_key(session, document.facing, pack.facing_id)
        set_values(pack, pack_values(document, facing))
        clamp = document.clamp
        groups = clamp.springs if clamp is not None and clamp.kind == "coil" else []
        keep_springs(pack, groups, by)
        session.add(pack)
        session.flush()
        table: sa.Table = table_of(sources.FrictionValue)
        session.execute(sa.delete(table).where(table.c.pack_id == pack.id))
        own = [{**values, "pack_id": pack.id} for values in friction_values(document)]
        if own:
            session.execute(sa.insert(table), own)


def keep_springs(pack: Any, groups: Sequence[SpringGroup], by: str) -> None:
    """A pack's spring sets as the document has them, place by place.

    A set that the document no longer has is put aside, not taken out.
    """
    fitted = [spring for spring in pack.springs if spring.put_aside_at is None]
    for i, group in enumerate(groups):
        if i < len(fitted):
            spring = fitted[i]
        else:
            spring = packs.Spring(created_by=by, changed_by=by)
            pack.springs.append(spring)
        changed = set_values(spring, spring_values(group, i))
        if keep_load_points(spring, group) or changed:
            spring.changed_at, spring.changed_by = now(), by
    for spring in fitted[len(groups) :]:
        pack.springs.remove(spring)
        spring.put_aside_at, spring.put_aside_by = now(), by


def keep_load_points(spring: Any, group: SpringGroup) -> bool:
    """A set's readings as the document has them, place by place; whether any differed."""
    wanted = load_point_values(group)
    standing = len(spring.load_points)
    changed = False
    for point, values in zip(spring.load_points, wanted, strict=False):
        changed = set_values(point, values) or changed
    for values in wanted[standing:]:
        spring.load_points.append(packs.LoadPoint(**values))
    del spring.load_points[len(wanted) :]
    return changed or standing != len(wanted)


def _facing_key(session: Session, name: str | None, standing: int | None) -> int | None:
    """Key of the facing that a pack names.

    Raises:
        BadInput: the table has no such facing in use; the sentence lists those it has.
    """
    if name is None:
        return None
    rows = active_facings(session)
    for row in rows:
        if normalised(row["name"]) == normalised(name):
            return int(row["id"])
    kept = {} if standing is None else facing_names(session, {standing})
    if normalised(kept.get(standing, "")) == normalised(name):
        return standing  # it was put aside while this pack was; the pack may keep it
    listed = ", ".join(row["name"] for row in rows) or "none yet"
    told = f"There is no facing called “{name}” in the table. It has: {listed}."
    raise BadInput([Problem("facing", told)])


class EngineNoun(Noun[Engine]):
    """Engines."""

    kind = "engine"
    table = engines.Engine
    model = Engine

    @override
    def documents(self, session: Session, rows: Sequence[Row]) -> list[Engine]:
        return [engine_document(row) for row in rows]

    @override
    def keep(self, session: WriteSession, row: Named, document: Engine, by: str) -> None:
        set_values(row, engine_values(document))
        session.add(row)
        session.flush()


class FacingNoun(Noun[Facing]):
    """Facings with their friction values."""

    kind = "facing"
    table = sources.Facing
    model = Facing

    @override
    def documents(self, session: Session, rows: Sequence[Row]) -> list[Facing]:
        values = facing_friction_rows(session, [row["id"] for row in rows])
        return [facing_document(row, values.get(row["id"], ())) for row in rows]

    @override
    def find(self, session: Session, public_id: str) -> Named | None:
        return facing_object(session, public_id)

    @override
    def keep(self, session: WriteSession, row: Named, document: Facing, by: str) -> None:
        facing: Any = row
        set_values(facing, facing_values(document))
        wanted = facing_friction_values(document)
        for value, values in zip(facing.values, wanted, strict=False):
            set_values(value, values)
        for values in wanted[len(facing.values) :]:
            facing.values.append(sources.FrictionValue(**values))
        del facing.values[len(wanted) :]
        session.add(facing)
        session.flush()

    @override
    def before_put_aside(self, session: Session, row: Named) -> None:
        users = packs_with_facing(session, row.id or 0)
        if users:
            raise InUse(self.kind, row.name, users)


class OfferNoun(Noun[Offer]):
    """Sellers' offers."""

    kind = "offer"
    table = sources.Offer
    model = Offer

    @override
    def documents(self, session: Session, rows: Sequence[Row]) -> list[Offer]:
        ids = pack_public_ids(session, {row["pack_id"] for row in rows} - {None})
        return [offer_document(row, ids.get(row["pack_id"])) for row in rows]

    @override
    def keep(self, session: WriteSession, row: Named, document: Offer, by: str) -> None:
        key = None if document.pack is None else pack_key(session, document.pack)
        if document.pack is not None and key is None:
            told = "There is no pack with this id. Copy the id from the pack's address."
            raise BadInput([Problem("pack", told)])
        set_values(row, offer_values(document, key))
        session.add(row)
        session.flush()
