"""The board: cells against other ways to work them out, memory, growth; sides from records."""

import tracemalloc
from collections.abc import Iterator
from dataclasses import fields, replace

import numpy as np
import sqlalchemy as sa

from app.comparison.run import Comparison, Sides, compare_sides, sides_of
from app.mechanics.inputs import State
from app.mechanics.stack import stack_engines
from app.records.database import read_session
from app.records.pack_columns import columns_of_table, pack_columns
from app.records.packs import Pack, Spring
from app.services.board_inputs import engines_of
from app.services.starting import open_engine
from app.settings import Settings
from tests.benchmarks.references import Both, blocked, by_pint, by_uncertainties, loop
from tests.benchmarks.table import Line, side_by_side

STATE = State()
SIZES = ((1_000, 100), (10_000, 100), (10_000, 1_000))


def read_sides(settings: Settings) -> Sides:
    """Both sides of a catalogue."""
    engine = open_engine(settings)
    with read_session(engine) as session:
        packs, engines = pack_columns(session), engines_of(session)
    engine.dispose()
    return sides_of(packs.for_state(STATE), stack_engines([e.inputs for e in engines]), STATE)


def cells(sides: Sides) -> Iterator[Line]:
    """Nanoseconds a cell at each size, with value, ends, chance and verdict."""
    of_engines = sides.engines[1].value.size
    steady = np.flatnonzero(~sides.by_engine & np.isfinite(sides.packs.value))
    for rows, columns in SIZES:
        row, column = steady[np.arange(rows) % steady.size], np.arange(columns) % of_engines
        both = Both.of(sides.packs.rows(row), sides.engines[1].rows(column))
        reference = blocked(both)

        def ours(row: np.ndarray = row, column: np.ndarray = column) -> Comparison:
            return compare_sides(sides, STATE, row, column)

        mine, theirs = (t / rows / columns * 1e9 for t in side_by_side(ours, reference, rounds=9))
        yield Line(f"board {rows} × {columns}, a cell", mine, "ns",
                   "log-normal, numpy in blocks", theirs, most=4.0)
        yield Line(f"board {rows} × {columns}, memory", _peak(ours) / 1e6, "MB", "its output",
                   _size(ours()) / 1e6, most=3.0)
    row, column = steady[np.arange(1_000) % steady.size], np.arange(100) % of_engines
    both, small = (
        Both.of(sides.packs.rows(row[:n]), sides.engines[1].rows(column)) for n in (1_000, 100)
    )
    mine, plain, library, units = side_by_side(
        lambda: compare_sides(sides, STATE, row, column), loop(both), by_uncertainties(both),
        by_pint(small), rounds=3)
    for name, taken, least in (("plain loop, first order", plain, 40.0),
                               ("uncertainties", library, 150.0),
                               ("pint, the ratio alone", units * 10.0, 150.0)):
        yield Line("board 1000 × 100, a cell", mine * 1e4, "ns", name, taken * 1e4, least=least)


GROWING = ((100, 100), (1_000, 100), (10_000, 100), (10_000, 1_000))


def growth(sides: Sides) -> Iterator[Line]:
    """Time of a board from ten thousand cells to ten million, and how steeply it grows.

    The bar is the time on a scale of logarithms, eight signs for a power of ten: where each is
    eight longer than the one above it, ten times the cells take ten times the time.
    """
    of_engines = sides.engines[1].value.size
    steady = np.flatnonzero(~sides.by_engine & np.isfinite(sides.packs.value))
    cells, taken = [], []
    for rows, columns in GROWING:
        row, column = steady[np.arange(rows) % steady.size], np.arange(columns) % of_engines

        def board(row: np.ndarray = row, column: np.ndarray = column) -> Comparison:
            return compare_sides(sides, STATE, row, column)

        board()
        cells.append(rows * columns)
        # A small board is over too soon for the processor's clock.
        again = max(1, 200_000 // cells[-1])
        (time,) = side_by_side(lambda: [board() for _ in range(again)], rounds=7)  # noqa: B023  # called here
        taken.append(time / again)
        bar = "▪" * round(8.0 * np.log10(taken[-1] / 1e-4))
        yield Line(f"board of {cells[-1]:.0e} cells", taken[-1] * 1e3, "ms", note=bar)
    slope = float(np.polyfit(np.log(cells), np.log(taken), 1)[0])
    yield Line("growth of its time, log–log", slope, "", "in proportion", 1.0, most=1.1)


def _peak(job: object) -> int:
    tracemalloc.start()
    job()  # type: ignore[operator]  # a call without arguments
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def _size(board: Comparison) -> int:
    """Bytes of all figures, were each written out."""
    return sum(getattr(board, f.name).dtype.itemsize for f in fields(Comparison)) * board.ratio.size


def from_records(settings: Settings) -> Iterator[Line]:
    """From the database to the board, against the arithmetic and against the rows alone."""
    engine = open_engine(settings)
    with read_session(engine) as session:
        packs = pack_columns(session)
        sheet = stack_engines([e.inputs for e in engines_of(session)])
        numbers = iter(range(10_000))
        rows, columns = np.arange(len(packs.names)), np.arange(sheet.records)

        def arithmetic() -> Comparison:
            # Another wear each time: nothing that was worked out for a state is found again.
            state = replace(STATE, wear_mm=0.0001 * next(numbers))
            return compare_sides(
                sides_of(packs.for_state(state), sheet, state), state, rows, columns)

        def whole() -> Comparison:
            nonlocal packs
            packs = pack_columns(session)
            return arithmetic()

        def core() -> None:
            for table in (Pack, Spring):
                session.connection().execute(sa.select(columns_of_table(table))).all()

        mine, sums, read, select = side_by_side(
            whole, arithmetic, lambda: pack_columns(session), core, rounds=5)
    engine.dispose()
    size = f"{rows.size} × {columns.size}"
    yield Line(f"records to board {size}", mine, "s", "its arithmetic", sums, most=4.0)
    yield Line(f"read {rows.size} packs by columns", read, "s", "their Core rows", select, most=1.3)
