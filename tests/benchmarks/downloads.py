"""The board as CSV: time a cell, the first rows, and memory, against the same rows by others."""

import csv
import io
import time
import tracemalloc
from collections.abc import Iterator
from datetime import UTC, datetime

from app.comparison.board_query import read_view
from app.presentation.board_csv import board_csv
from app.records.database import read_session
from app.services import comparing
from app.services.starting import open_engine
from app.settings import Settings
from tests.benchmarks.table import Line, side_by_side
from tests.presentation.plain_board_csv import plain_rows


def lines(settings: Settings) -> Iterator[Line]:
    """Seconds for a million cells, from the packs of one page and every engine."""
    engine = open_engine(settings)
    with read_session(engine) as session:
        board = comparing.whole_board(session, read_view([("per", "200"), ("page", "1")]))
    engine.dispose()
    cells = len(board.packs) * len(board.engines)
    at = datetime.now(UTC)

    def blocks() -> Iterator[str]:
        return board_csv(board, comparing.cells_of, at, "1")

    ready = [tuple(row) for row in plain_rows(board, comparing.cells_of, at, "1")]

    def by_module() -> None:
        csv.writer(io.StringIO()).writerows(ready)

    def by_percent() -> None:
        line = ",".join(["%s"] * len(ready[0])) + "\r\n"
        for row in ready:
            line % row

    mine, module, percent = side_by_side(lambda: [*map(len, blocks())], by_module, by_percent,
                                         rounds=3)
    for name, taken in (("csv module, rows ready", module), ("% formatting, rows ready", percent)):
        yield Line("CSV of a million cells", mine / cells * 1e6, "s", name, taken / cells * 1e6,
                   most=1.5)
    start = time.perf_counter()
    sent = blocks()
    next(sent)  # the headings
    next(sent)
    yield Line("CSV, first rows", (time.perf_counter() - start) * 1e3, "ms", "the limit", 20.0,
               most=1.0)
    tracemalloc.start()
    for _ in blocks():
        pass
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    yield Line("CSV, memory while it is sent", peak / 1e6, "MB", note=f"{cells} cells, any number")
