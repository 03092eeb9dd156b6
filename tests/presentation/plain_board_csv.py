"""The board's CSV written plainly, one cell after the other: what the quick way is held against."""

from collections.abc import Callable, Iterator
from datetime import datetime

from app.comparison.board import Board, Cells
from app.comparison.board_view import wear_text
from app.comparison.cell import Reading
from app.presentation.board_failed import chip_of
from app.presentation.columns import COLUMNS, RUN_COLUMNS
from app.presentation.csv_guard import Variant
from app.presentation.csv_text import csv_text
from app.presentation.facts import CellFacts, facts_of

CellsOf = Callable[[Board, int, int], Cells]


def plain_csv(
    board: Board, cells_of: CellsOf, at: datetime, version: str, variant: Variant = "comma"
) -> str:
    """The whole file."""
    names = [*(column.csv_name for column in COLUMNS), *RUN_COLUMNS]
    return csv_text(names, plain_rows(board, cells_of, at, version), variant=variant)


def plain_rows(
    board: Board, cells_of: CellsOf, at: datetime, version: str
) -> Iterator[list[object]]:
    """One row for each cell, worked out all at once."""
    view = board.view
    wear = view.wear if view.wear in ("new", "worn") else "stated"
    run = [
        "worst" if "lubrication" in view.worst else view.lubrication,
        "worst" if "friction" in view.worst else view.friction,
        "worst" if "wear" in view.worst else wear,
        None if "wear" in view.worst else view.wear_mm,
        view.radius,
        view.speed_rpm,
        view.spline_friction,
        board.heavy_above,
        at.isoformat(),
        version,
    ]
    cells = cells_of(board, 0, len(board.packs))
    for row in facts_of(board.packs, board.engines, cells, board.heavy_above):
        for cell in row:
            yield [*_of_cell(cell), *run]


def _of_cell(cell: CellFacts) -> Iterator[object]:
    yield from (cell.pack.public_id, cell.pack.version, cell.pack.name)
    yield from (cell.engine.public_id, cell.engine.version, cell.engine.name)
    yield from (cell.pack.inputs.mounting, cell.verdict)
    for reading in (cell.available, cell.required, cell.ratio):
        yield from _of_reading(reading)
    yield from (cell.ratio_without_factor, cell.p_slip, cell.heavy)
    state = cell.state
    yield (
        None if state is None
        else f"{state.lubrication} {state.friction} {wear_text(state.wear_mm)}"
    )
    yield " ".join(cell.failed)
    yield " ".join(cell.missing)
    yield " ".join(line.path for line in cell.rests_on)
    quantity = cell.friction.quantity
    yield None if quantity is None else quantity.value
    yield None if quantity is None else quantity.standard_uncertainty
    yield None if quantity is None else quantity.how
    yield cell.friction.source
    yield chip_of(cell.verdict, cell.failed).word


def _of_reading(reading: Reading | None) -> tuple[float | None, ...]:
    if reading is None:
        return (None,) * 4
    return reading.value, reading.std, reading.low, reading.high
