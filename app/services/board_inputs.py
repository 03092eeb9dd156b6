"""Packs and engines as the comparison takes them, read by columns in a fixed number of queries."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from sqlmodel import Session

from app.mechanics.inputs import EngineInputs, PackInputs
from app.records import engines, packs
from app.records.base import Named, Row
from app.records.engine_rows import engine_inputs
from app.records.listing import Search, all_rows, rows_by_public_id
from app.records.pack_queries import pack_parts, with_facing_friction
from app.records.pack_rows import pack_inputs

T = TypeVar("T")
Which = Search | Sequence[str]
"""Which records: those a search finds, or those with these ids, in this order."""


@dataclass(frozen=True, slots=True)
class Recorded(Generic[T]):
    """A record's inputs with its id, name and version, and who checked its figures when."""

    id: str
    name: str
    version: int
    inputs: T
    checked: str = ""


@dataclass(frozen=True, slots=True)
class BoardInputs:
    """The two sides of a board."""

    packs: tuple[Recorded[PackInputs], ...]
    engines: tuple[Recorded[EngineInputs], ...]


ALL = Search()


def board_inputs(session: Session, packs: Which = ALL, engines: Which = ALL) -> BoardInputs:
    """Both sides of a board, in eight queries or fewer however many records there are.

    Records put aside, and ids that are not there, are left out.
    """
    return BoardInputs(tuple(packs_of(session, packs)), tuple(engines_of(session, engines)))


def packs_of(session: Session, which: Which = ALL) -> list[Recorded[PackInputs]]:
    """Packs as the mechanics take them, their facings' friction filled in from the table."""
    parts = with_facing_friction(session, pack_parts(session, _rows(session, packs.Pack, which)))
    return [_recorded(p.row, pack_inputs(p)) for p in parts]


def engines_of(session: Session, which: Which = ALL) -> list[Recorded[EngineInputs]]:
    """Engines as the mechanics take them."""
    return [_recorded(row, engine_inputs(row)) for row in _rows(session, engines.Engine, which)]


def checked_words(by: str | None, at: str | None) -> str:
    """Who looked a record's figures over, and when; "" for nobody."""
    return "" if by is None else f"{by}, {at}" if at else by


def _recorded(row: Row, inputs: T) -> Recorded[T]:
    checked = checked_words(row["checked_by"], row["checked_at"])
    return Recorded(row["public_id"], row["name"], row["version"], inputs, checked)


def _rows(session: Session, table: type[Named], which: Which) -> Sequence[Row]:
    if isinstance(which, Search):
        return all_rows(session, table, which)
    found = rows_by_public_id(session, table, which)
    return [found[i] for i in which if i in found and found[i]["put_aside_at"] is None]
