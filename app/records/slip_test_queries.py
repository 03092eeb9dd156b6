"""Every select on slip tests, instruments and findings: session in, rows out."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from typing import Any

import sqlalchemy as sa
from sqlmodel import Session

from app.records.base import Named, Row, folded, table_of
from app.records.bookkeeping import Change
from app.records.listing import columns
from app.records.packs import Pack
from app.records.slip_tests import Finding, Instrument, SlipReading, SlipTest

_TEST = columns(SlipTest)
_READING: sa.Table = table_of(SlipReading)
_INSTRUMENT = columns(Instrument)
_FINDING = columns(Finding)
_PACK = columns(Pack)
_CHANGE: sa.Table = table_of(Change)


def reading_rows(session: Session, test_ids: Collection[int]) -> dict[int, list[Row]]:
    """Readings of these runs, by run, in order."""
    found: dict[int, list[Row]] = defaultdict(list)
    if test_ids:
        query = sa.select(_READING).where(_READING.c.slip_test_id.in_(list(test_ids)))
        ordered = query.order_by(_READING.c.slip_test_id, _READING.c.position)
        for row in session.connection().execute(ordered).mappings():
            found[row["slip_test_id"]].append(row)
    return found


def instrument_public_ids(session: Session, ids: Collection[int]) -> dict[int | None, str]:
    """Public ids of instruments by key."""
    if not ids:
        return {}
    query = sa.select(_INSTRUMENT.c.id, _INSTRUMENT.c.public_id)
    found = session.connection().execute(query.where(_INSTRUMENT.c.id.in_(list(ids))))
    return {row.id: row.public_id for row in found}


def instrument_row(session: Session, public_id: str) -> Row | None:
    """An instrument by its public id, in use or put aside."""
    query = sa.select(_INSTRUMENT).where(_INSTRUMENT.c.public_id == public_id)
    return session.connection().execute(query).mappings().first()


def instruments_by_public_id(session: Session, public_ids: Collection[str]) -> dict[str, Row]:
    """Instruments by public id, in use or put aside."""
    if not public_ids:
        return {}
    query = sa.select(_INSTRUMENT).where(_INSTRUMENT.c.public_id.in_(list(public_ids)))
    return {row["public_id"]: row for row in session.connection().execute(query).mappings()}


def active_instruments(session: Session) -> list[Row]:
    """Every instrument in use, by name."""
    query = sa.select(_INSTRUMENT).where(_INSTRUMENT.c.put_aside_at.is_(None))
    ordered = query.order_by(_INSTRUMENT.c.name_key, _INSTRUMENT.c.id)
    return list(session.connection().execute(ordered).mappings())


def runs_with_instrument(session: Session, instrument_id: int) -> dict[str, str]:
    """Runs in use that were read with this instrument, name by id, the first twenty by name."""
    query = sa.select(_TEST.c.public_id, _TEST.c.name).where(
        _TEST.c.instrument_id == instrument_id, _TEST.c.put_aside_at.is_(None)
    )
    ordered = query.order_by(_TEST.c.name_key).limit(20)
    found = session.connection().execute(ordered)
    return {row.public_id: row.name for row in found}


def pack_names(session: Session, public_ids: Collection[str]) -> dict[str, tuple[str, bool]]:
    """Name of each pack by its public id, and whether it is in use."""
    if not public_ids:
        return {}
    query = sa.select(_PACK.c.public_id, _PACK.c.name, _PACK.c.put_aside_at)
    found = session.connection().execute(query.where(_PACK.c.public_id.in_(list(public_ids))))
    return {row.public_id: (row.name, row.put_aside_at is None) for row in found}


def active_packs(session: Session) -> list[Row]:
    """Key, public id and name of every pack in use, by name."""
    query = sa.select(_PACK.c.id, _PACK.c.public_id, _PACK.c.name)
    query = query.where(_PACK.c.put_aside_at.is_(None)).order_by(_PACK.c.name_key)
    return list(session.connection().execute(query).mappings())


def runs_of_pack(session: Session, pack_id: int) -> list[Row]:
    """The runs in use of one pack, in the order of their days, then as they were entered."""
    query = sa.select(_TEST).where(_TEST.c.pack_id == pack_id, _TEST.c.put_aside_at.is_(None))
    ordered = query.order_by(sa.func.coalesce(_TEST.c.date, ""), _TEST.c.id)
    return list(session.connection().execute(ordered).mappings())


def findings_of_pack(session: Session, pack_id: int) -> list[Row]:
    """The findings in use of one pack, the newest first."""
    query = sa.select(_FINDING)
    query = query.where(_FINDING.c.pack_id == pack_id, _FINDING.c.put_aside_at.is_(None))
    ordered = query.order_by(sa.func.coalesce(_FINDING.c.date, "").desc(), _FINDING.c.id)
    return list(session.connection().execute(ordered).mappings())


def last_number(session: Session, table: type[Named], stem: str) -> int:
    """The largest number that any record's name has after this stem, put aside or not; else 0."""
    t, key = columns(table), folded(stem)
    query = sa.select(t.c.name_key).where(t.c.name_key.startswith(f"{key} ", autoescape=True))
    ends = (str(name)[len(key) + 1 :] for name in session.connection().execute(query).scalars())
    return max((int(end) for end in ends if end.isascii() and end.isdecimal()), default=0)


def change_rows(session: Session, noun: str, record: str, version: int) -> Sequence[Any]:
    """What the history has of the change that made this version of a record."""
    query = sa.select(_CHANGE).where(
        _CHANGE.c.noun == noun, _CHANGE.c.record == record, _CHANGE.c.version == version
    )
    return session.connection().execute(query.order_by(_CHANGE.c.id.desc())).mappings().all()
