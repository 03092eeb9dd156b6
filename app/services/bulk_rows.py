"""Many records of one kind as rows: columns for Core inserts, objects for changes in one go."""

from collections.abc import Mapping, Sequence
from typing import Any, Generic, Protocol, TypeVar

import sqlalchemy as sa
from sqlalchemy.orm import selectinload
from sqlmodel import Session, col, select

from app.documents import Document, Engine, Offer, Pack, SpringGroup
from app.errors import BadInput, Problem
from app.mechanics.table_files import normalised
from app.records import engines, packs, sources
from app.records.base import Named, now, public_id, table_of
from app.records.database import WriteSession
from app.records.engine_rows import engine_values
from app.records.pack_queries import facing_names
from app.records.pack_rows import friction_values, load_point_values, pack_values, spring_values
from app.records.source_queries import active_facings, pack_keys
from app.records.source_rows import offer_values
from app.services.nouns import keep_springs

D = TypeVar("D", bound=Document)
D_in = TypeVar("D_in", bound=Document, contravariant=True)
N = TypeVar("N", bound=Named)
Values = dict[str, Any]

_SPRING: sa.Table = table_of(packs.Spring)
_POINT: sa.Table = table_of(packs.LoadPoint)
_FRICTION: sa.Table = table_of(sources.FrictionValue)


def stamps(by: str) -> Values:
    """The columns that every new record has."""
    at = now()
    return {
        "public_id": public_id(),
        "version": 1,
        "created_at": at,
        "created_by": by,
        "changed_at": at,
        "changed_by": by,
        "put_aside_at": None,
        "put_aside_by": None,
    }


class BulkRows(Protocol[D_in]):
    """How records of one kind are written many at a time."""

    def values(
        self, session: Session, documents: Sequence[D_in], standing: Sequence[int | None]
    ) -> list[Values]:
        """The columns of each document's own row; `standing` has the keys of changed records.

        Raises:
            BadInput: a document names something that is not there; the path begins with its place.
        """

    def objects(self, session: Session, ids: Sequence[str]) -> Mapping[str, Any]:
        """The records to be changed, by public id, with all that belongs to them."""

    def add_parts(
        self, session: WriteSession, keys: Sequence[int], documents: Sequence[D_in], by: str
    ) -> None:
        """Write the rows that belong to new records."""

    def change_parts(
        self, session: WriteSession, rows: Sequence[Any], documents: Sequence[D_in], by: str
    ) -> None:
        """Write the rows that belong to changed records, and flush."""


class Plain(Generic[D]):
    """Records without rows of their own."""

    table: type[Named]

    def objects(self, session: Session, ids: Sequence[str]) -> Mapping[str, Any]:
        """As `BulkRows.objects`."""
        query = select(self.table).where(col(self.table.public_id).in_(ids))
        found = session.exec(query.execution_options(populate_existing=True))
        return {row.public_id: row for row in found}

    def add_parts(
        self, _session: WriteSession, _keys: Sequence[int], _documents: Sequence[D], _by: str
    ) -> None:
        """Nothing belongs to them."""

    def change_parts(
        self, session: WriteSession, _rows: Sequence[Any], _documents: Sequence[D], _by: str
    ) -> None:
        """Nothing belongs to them but themselves."""
        session.flush()


class EngineRows(Plain[Engine]):
    """Engines."""

    table = engines.Engine

    def values(
        self, _session: Session, documents: Sequence[Engine], _standing: Sequence[int | None]
    ) -> list[Values]:
        """As `BulkRows.values`."""
        return [engine_values(document) for document in documents]


class OfferRows(Plain[Offer]):
    """Offers."""

    table = sources.Offer

    def values(
        self, session: Session, documents: Sequence[Offer], _standing: Sequence[int | None]
    ) -> list[Values]:
        """As `BulkRows.values`."""
        keys = pack_keys(session, {d.pack for d in documents if d.pack is not None})
        problems = [
            Problem(f"{i}.pack", "There is no pack with this id. Copy it from the pack's address.")
            for i, document in enumerate(documents)
            if document.pack is not None and document.pack not in keys
        ]
        if problems:
            raise BadInput(problems)
        return [offer_values(d, None if d.pack is None else keys[d.pack]) for d in documents]


class PackRows:
    """Packs with their springs, readings and friction coefficients."""

    def values(
        self, session: Session, documents: Sequence[Pack], standing: Sequence[int | None]
    ) -> list[Values]:
        """As `BulkRows.values`; a changed pack may keep a facing that was put aside."""
        rows = active_facings(session)
        known = {normalised(row["name"]): int(row["id"]) for row in rows}
        kept = facing_names(session, {key for key in standing if key is not None})
        found, problems = [], []
        for i, (document, own) in enumerate(zip(documents, standing, strict=True)):
            asked = normalised(document.facing or "")
            key = known.get(asked)
            if key is None and asked and asked == normalised(kept.get(own, "")):
                key = own
            if key is None and asked:
                listed = ", ".join(row["name"] for row in rows) or "none yet"
                told = f"There is no facing called “{document.facing}”. The table has: {listed}."
                problems.append(Problem(f"{i}.facing", told))
            found.append(pack_values(document, key))
        if problems:
            raise BadInput(problems)
        return found

    def objects(self, session: Session, ids: Sequence[str]) -> Mapping[str, Any]:
        """As `BulkRows.objects`."""
        query = (
            select(packs.Pack)
            .where(col(packs.Pack.public_id).in_(ids))
            .options(
                selectinload(packs.Pack.springs).selectinload(packs.Spring.load_points)  # type: ignore[arg-type]  # SQLModel types a relationship as its value
            )
        )
        found = session.exec(query.execution_options(populate_existing=True))
        return {row.public_id: row for row in found}

    def add_parts(
        self, session: WriteSession, keys: Sequence[int], documents: Sequence[Pack], by: str
    ) -> None:
        """As `BulkRows.add_parts`."""
        springs: list[Values] = []
        points: dict[str, list[Values]] = {}
        for key, document in zip(keys, documents, strict=True):
            for place, group in enumerate(_groups(document)):
                spring = {**spring_values(group, place), **stamps(by), "pack_id": key}
                springs.append(spring)
                if group.load_points:
                    points[spring["public_id"]] = load_point_values(group)
        connection = session.connection()
        if springs:
            connection.execute(sa.insert(_SPRING), springs)
        if points:
            query = sa.select(_SPRING.c.public_id, _SPRING.c.id)
            query = query.where(_SPRING.c.public_id.in_(list(points)))
            own = [
                {**values, "spring_id": row.id}
                for row in connection.execute(query)
                for values in points[row.public_id]
            ]
            connection.execute(sa.insert(_POINT), own)
        _add_friction(session, keys, documents)

    def change_parts(
        self, session: WriteSession, rows: Sequence[Any], documents: Sequence[Pack], by: str
    ) -> None:
        """As `BulkRows.change_parts`."""
        for row, document in zip(rows, documents, strict=True):
            keep_springs(row, _groups(document), by)
        session.flush()
        keys = [row.id for row in rows]
        session.connection().execute(sa.delete(_FRICTION).where(_FRICTION.c.pack_id.in_(keys)))
        _add_friction(session, keys, documents)


def _groups(document: Pack) -> Sequence[SpringGroup]:
    clamp = document.clamp
    return clamp.springs if clamp is not None and clamp.kind == "coil" else []


def _add_friction(session: WriteSession, keys: Sequence[int], documents: Sequence[Pack]) -> None:
    own = [
        {**values, "pack_id": key}
        for key, document in zip(keys, documents, strict=True)
        for values in friction_values(document)
    ]
    if own:
        session.connection().execute(sa.insert(_FRICTION), own)


BULK: Mapping[str, BulkRows[Any]] = {
    "pack": PackRows(),
    "engine": EngineRows(),
    "offer": OfferRows(),
}
"""Kinds of record that are written many at a time; others go one by one."""
