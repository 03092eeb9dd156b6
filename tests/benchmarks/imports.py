"""A file of packs taken in: read, checked and kept, against its parsing and the bare insert."""

import csv
import io
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from app.presentation.csv_reading import CsvLimits, read_csv
from app.presentation.csv_text import csv_text
from app.presentation.records_csv import record_sheet
from app.records import bookkeeping, packs, sources
from app.records.base import table_of
from app.records.database import read_session, writing
from app.services import importing
from app.services.catalogue import packs as catalogue
from app.services.readable import every
from app.services.starting import open_engine, prepare
from app.settings import Settings
from tests.benchmarks.table import Line

TABLES = (packs.Pack, packs.Spring, packs.LoadPoint, sources.FrictionValue, bookkeeping.Change)
"""Tables that an import writes, those that others refer to first."""


def lines(folder: Path, room: Path) -> Iterator[Line]:
    """Seconds to take in a file of packs.

    Args:
        folder: data folder of the catalogue whose packs are taken.
        room: folder for two empty catalogues.
    """
    text = _file(folder)
    ours, bare = _empty(room / "ours"), _empty(room / "bare")
    count = text.count("\n") - 1
    whole = _timed(lambda: _taken_in(ours, text))
    begun = {table: {row["id"] for row in rows} for table, rows in _rows_kept(bare).items()}
    rows = {
        table: [row for row in found if row["id"] not in begun[table]]
        for table, found in _rows_kept(ours).items()
    }
    parsing = _timed(lambda: _parsed(text))
    insert = _timed(lambda: _inserted(bare, rows))
    for engine in (ours, bare):
        engine.dispose()
    yield Line(f"import of {count} packs", whole, "s", "parsing and Core insert",
               parsing + insert, most=4.0)
    yield Line("import, of that the parsing of the file", parsing, "s")
    yield Line("import, of that the Core insert", insert, "s",
               note=f"{sum(map(len, rows.values()))} rows")


def _timed(job: Callable[[], object]) -> float:
    start = time.process_time()
    job()
    return time.process_time() - start


def _empty(folder: Path) -> sa.Engine:
    settings = Settings(data_dir=folder)
    prepare(settings)
    return open_engine(settings)


def _file(folder: Path) -> str:
    """Every pack as a new one, as it would be sent."""
    engine = open_engine(Settings(data_dir=folder))
    with read_session(engine) as session:
        records = [("", "", stored.document) for stored in every(session, catalogue)]
    engine.dispose()
    sheet = record_sheet(catalogue.noun.model, records)
    return csv_text(sheet.headings, sheet.rows, variant="comma")


def _taken_in(engine: sa.Engine, text: str) -> None:
    table = read_csv(text.encode(), CsvLimits(10**9, 10**6, 6000, 50_000))
    job = importing.take_in(engine, table.columns, table.rows, kind="pack",
                            variant=table.variant, by="benchmark")
    importing.check(engine, job)
    importing.begin_save(engine, job)
    importing.save(engine, job, importing.ALL, by="benchmark")


def _parsed(text: str) -> list[list[float | str | None]]:
    """The cells of the file, numbers as numbers: the least that any reader does."""
    def value(cell: str) -> float | str | None:
        try:
            return float(cell) if cell else None
        except ValueError:
            return cell

    return [[value(cell) for cell in row] for row in csv.reader(io.StringIO(text))]


def _rows_kept(engine: sa.Engine) -> Mapping[sa.Table, list[dict[str, Any]]]:
    with read_session(engine) as session:
        return {
            table: [dict(row._mapping) for row in session.connection().execute(sa.select(table))]
            for table in map(table_of, TABLES)
        }


def _inserted(engine: sa.Engine, rows: Mapping[sa.Table, list[dict[str, Any]]]) -> None:
    with writing(engine) as session:
        for table, values in rows.items():
            session.connection().execute(sa.insert(table), values)
