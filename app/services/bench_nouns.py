"""What the catalogue must know of the bench: instruments, slip tests, findings of teardowns."""

from collections.abc import Sequence
from datetime import date
from typing import Any, TypeVar

import sqlalchemy as sa
from sqlmodel import Session
from typing_extensions import override

from app.documents import Document, Finding, Instrument, SlipTest, beyond_range
from app.documents.text import LONGEST_NAME
from app.errors import BadInput, InUse, Problem
from app.records import slip_tests as tables
from app.records.base import Named, Row, table_of
from app.records.database import WriteSession
from app.records.slip_test_queries import (
    instrument_public_ids,
    instrument_row,
    last_number,
    pack_names,
    reading_rows,
    runs_with_instrument,
)
from app.records.slip_test_rows import (
    finding_document,
    finding_values,
    instrument_document,
    instrument_values,
    reading_values,
    slip_test_document,
    slip_test_values,
)
from app.records.source_queries import pack_key, pack_public_ids
from app.services.nouns import Noun, set_values

B = TypeVar("B", SlipTest, Finding)


class InstrumentNoun(Noun[Instrument]):
    """Gauges and torque wrenches."""

    kind = "instrument"
    table = tables.Instrument
    model = Instrument

    @override
    def documents(self, session: Session, rows: Sequence[Row]) -> list[Instrument]:
        return [instrument_document(row) for row in rows]

    @override
    def keep(self, session: WriteSession, row: Named, document: Instrument, by: str) -> None:
        set_values(row, instrument_values(document))
        session.add(row)
        session.flush()

    @override
    def before_put_aside(self, session: Session, row: Named) -> None:
        users = list(runs_with_instrument(session, row.id or 0).values())
        if users:
            raise InUse(self.kind, row.name, users)


class SlipTestNoun(Noun[SlipTest]):
    """Runs on the bench, their readings in rows of their own."""

    kind = "slip test"
    table = tables.SlipTest
    model = SlipTest

    @override
    def documents(self, session: Session, rows: Sequence[Row]) -> list[SlipTest]:
        packs = pack_public_ids(session, {row["pack_id"] for row in rows})
        used = {row["instrument_id"] for row in rows} - {None}
        instruments = instrument_public_ids(session, used)
        readings = reading_rows(session, [row["id"] for row in rows])
        return [
            slip_test_document(
                row,
                readings.get(row["id"], ()),
                packs.get(row["pack_id"]),
                instruments.get(row["instrument_id"]),
            )
            for row in rows
        ]

    @override
    def named(self, session: Session, document: SlipTest, standing: SlipTest | None) -> SlipTest:
        return _named(session, document, standing, self.table, "run")

    @override
    def keep(self, session: WriteSession, row: Named, document: SlipTest, by: str) -> None:
        pack = _pack_key(session, document.pack)
        test: Any = row
        set_values(test, slip_test_values(document, pack, _instrument_key(session, document)))
        session.add(test)
        session.flush()
        table: sa.Table = table_of(tables.SlipReading)
        session.execute(sa.delete(table).where(table.c.slip_test_id == test.id))
        session.execute(
            sa.insert(table), [{**one, "slip_test_id": test.id} for one in reading_values(document)]
        )


class FindingNoun(Noun[Finding]):
    """What teardowns found."""

    kind = "finding"
    table = tables.Finding
    model = Finding

    @override
    def documents(self, session: Session, rows: Sequence[Row]) -> list[Finding]:
        packs = pack_public_ids(session, {row["pack_id"] for row in rows})
        return [finding_document(row, packs.get(row["pack_id"])) for row in rows]

    @override
    def named(self, session: Session, document: Finding, standing: Finding | None) -> Finding:
        return _named(session, document, standing, self.table, document.check.replace("_", " "))

    @override
    def keep(self, session: WriteSession, row: Named, document: Finding, by: str) -> None:
        set_values(row, finding_values(document, _pack_key(session, document.pack)))
        session.add(row)
        session.flush()


def _named(
    session: Session, document: B, standing: B | None, table: type[Named], what: str
) -> B:
    """The document with a name: day first, so that names in order are days in order.

    A number that was ever used is not used again, so that a record put aside can come back.
    """
    if document.name is not None:
        return document
    if standing is not None:
        return document.model_copy(update={"name": standing.name})
    known = pack_names(session, [document.pack or ""])
    pack = known[document.pack or ""][0] if known else "pack not known"
    day = (document.date or date.today().isoformat())[:10]
    stem = f"{day} {pack}"[: LONGEST_NAME - len(what) - 10].rstrip() + f", {what}"
    name = f"{stem} {last_number(session, table, stem) + 1:02d}"
    return document.model_copy(update={"name": name})


def _pack_key(session: Session, public_id: str | None) -> int:
    key = None if public_id is None else pack_key(session, public_id)
    if key is None:
        told = "There is no pack with this id. Copy the id from the pack's address."
        raise BadInput([Problem("pack", told)])
    return key


def _instrument_key(session: Session, test: SlipTest) -> int | None:
    """Key of the instrument; a reading outside its range is asked about first.

    Raises:
        BadInput: there is no such instrument, or a reading lies outside its range and the tester
            has not said that it was read so.
    """
    if test.instrument is None:
        return None
    row = instrument_row(session, test.instrument)
    if row is None:
        told = "There is no instrument with this id. Copy the id from the instrument's address."
        raise BadInput([Problem("instrument", told)])
    asked = [
        Problem(f"readings.{place}.as_read", found.question)
        for place, reading in enumerate(test.readings)
        if (found := beyond_range(reading, row["range_low_nm"], row["range_high_nm"]))
    ]
    if asked:
        raise BadInput(asked)
    return int(row["id"])


def same_but_name(one: Document, other: Document) -> bool:
    """Whether two records say the same, their names aside."""
    blank = {"name": None}
    return one.model_copy(update=blank) == other.model_copy(update=blank)
