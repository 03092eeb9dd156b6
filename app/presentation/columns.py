"""The columns of a cell, one list for the tables on pages and for the CSV."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from app.comparison.board import Board, Cells
from app.comparison.board_view import BoardView, wear_text
from app.comparison.cell import Reading
from app.presentation.facts import CellFacts, facts_of
from app.presentation.input_words import input_label
from app.presentation.numbers import NOT_KNOWN, probability_text
from app.presentation.torques import (
    UNIT_LABEL,
    fast_ratio,
    ratio_span,
    torque_number,
    torque_span,
)

BLOCK_CELLS = 4096
"""Cells that are worked out and written at a time."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its CSV heading with the unit, its value, and how a page shows it.

    A column without a heading is in the CSV only.
    """

    csv_name: str
    get: Callable[[CellFacts], object]
    heading: str = ""
    unit: str = ""
    text: Callable[[CellFacts, BoardView], str] | None = None


def _part(
    of: Callable[[CellFacts], Reading | None], name: str
) -> Callable[[CellFacts], float | None]:
    def get(cell: CellFacts) -> float | None:
        figure = of(cell)
        return None if figure is None else float(getattr(figure, name))

    return get


def _available(cell: CellFacts) -> Reading | None:
    return cell.available


def _required(cell: CellFacts) -> Reading | None:
    return cell.required


def _ratio(cell: CellFacts) -> Reading | None:
    return cell.ratio


def _torque_text(of: Callable[[CellFacts], Reading | None]) -> Callable[..., str]:
    def text(cell: CellFacts, view: BoardView) -> str:
        figure = of(cell)
        return NOT_KNOWN if figure is None else torque_number(figure.value, view.unit)

    return text


def _torque_span(of: Callable[[CellFacts], Reading | None]) -> Callable[..., str]:
    def text(cell: CellFacts, view: BoardView) -> str:
        figure = of(cell)
        return NOT_KNOWN if figure is None else torque_span(figure, view.unit)

    return text


def _mu(name: str) -> Callable[[CellFacts], object]:
    def get(cell: CellFacts) -> object:
        quantity = cell.friction.quantity
        return None if quantity is None else getattr(quantity, name)

    return get


def _state(cell: CellFacts) -> str | None:
    """The worst state that the figures are of; None where the run's columns say it."""
    if cell.state is None:
        return None
    return f"{cell.state.lubrication} {cell.state.friction} {wear_text(cell.state.wear_mm)}"


COLUMNS: tuple[Column, ...] = (
    Column("pack_id", lambda c: c.pack.public_id),
    Column("pack_version", lambda c: c.pack.version),
    Column("pack_name", lambda c: c.pack.name, "Pack", text=lambda c, _v: c.pack.name),
    Column("engine_id", lambda c: c.engine.public_id),
    Column("engine_version", lambda c: c.engine.version),
    Column("engine_name", lambda c: c.engine.name, "Engine", text=lambda c, _v: c.engine.name),
    Column("mounting", lambda c: c.pack.inputs.mounting),
    Column("verdict", lambda c: c.verdict),
    Column(
        "torque_available_N_m",
        _part(_available, "value"),
        "Available",
        "torque",
        _torque_text(_available),
    ),
    Column("torque_available_std_N_m", _part(_available, "std")),
    Column(
        "torque_available_low_N_m",
        _part(_available, "low"),
        "Available, 95 % interval",
        "torque",
        _torque_span(_available),
    ),
    Column("torque_available_high_N_m", _part(_available, "high")),
    Column(
        "torque_required_N_m",
        _part(_required, "value"),
        "Required",
        "torque",
        _torque_text(_required),
    ),
    Column("torque_required_std_N_m", _part(_required, "std")),
    Column(
        "torque_required_low_N_m",
        _part(_required, "low"),
        "Required, 95 % interval",
        "torque",
        _torque_span(_required),
    ),
    Column("torque_required_high_N_m", _part(_required, "high")),
    Column(
        "ratio",
        _part(_ratio, "value"),
        "Ratio",
        text=lambda c, _v: NOT_KNOWN if c.ratio is None else fast_ratio(c.ratio.value),
    ),
    Column("ratio_std", _part(_ratio, "std")),
    Column(
        "ratio_low",
        _part(_ratio, "low"),
        "Ratio, 95 % interval",
        text=lambda c, _v: NOT_KNOWN if c.ratio is None else ratio_span(c.ratio),
    ),
    Column("ratio_high", _part(_ratio, "high")),
    Column(
        "ratio_without_factor",
        lambda c: c.ratio_without_factor,
        "Ratio without factor",
        text=lambda c, _v: (
            NOT_KNOWN if c.ratio_without_factor is None else fast_ratio(c.ratio_without_factor)
        ),
    ),
    Column(
        "p_slip",
        lambda c: c.p_slip,
        "Chance of falling short",
        text=lambda c, _v: probability_text(c.p_slip),
    ),
    Column("heavy", lambda c: c.heavy),
    Column("state", _state),
    Column("failed_checks", lambda c: " ".join(c.failed)),
    Column("missing", lambda c: " ".join(c.missing)),
    Column("rests_on_assumed", lambda c: " ".join(line.path for line in c.rests_on)),
    Column("mu", _mu("value")),
    Column(
        "mu_u",
        lambda c: None if c.friction.quantity is None else c.friction.quantity.standard_uncertainty,
    ),
    Column("mu_how", _mu("how")),
    Column("mu_source", lambda c: c.friction.source),
)
"""Every column of a cell, in the order of the CSV."""

BY_NAME = {column.csv_name: column for column in COLUMNS}

WORST = "worst"
"""In the columns of the run: each row's own state stands in its column `state`."""
RUN_COLUMNS = (
    "lubrication",
    "friction",
    "wear",
    "wear_mm",
    "radius",
    "speed_rpm_r_min",
    "spline_friction",
    "heavy_above",
    "exported_at_utc",
    "app_version",
)
"""Facts of the run, the same in every row, after the columns of the cell."""


@dataclass(frozen=True)
class CellTable:
    """A table of cells with ready text: headings (text, unit, is a number) and rows."""

    heads: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, ...], ...]


def cell_table(cells: Sequence[CellFacts], names: Sequence[str], view: BoardView) -> CellTable:
    """Some columns of some cells as a page shows them.

    Args:
        cells: the rows.
        names: CSV names of the columns that have a heading.
        view: for the unit of torques.
    """
    columns = [BY_NAME[name] for name in names]
    heads = tuple(
        (c.heading, UNIT_LABEL[view.unit] if c.unit == "torque" else c.unit) for c in columns
    )
    rows = tuple(tuple(c.text(cell, view) if c.text else "" for c in columns) for cell in cells)
    return CellTable(heads, rows)


def csv_columns() -> list[str]:
    """Headings of the board's CSV, units in the names."""
    return [*(column.csv_name for column in COLUMNS), *RUN_COLUMNS]


def csv_rows(
    board: Board, cells_of: Callable[[Board, int, int], Cells], at: datetime, version: str
) -> Iterator[list[object]]:
    """One row for each cell of a board, worked out a block of packs at a time.

    Args:
        board: packs and engines in their order; its own cells are not used.
        cells_of: gives the cells of a block of its packs.
        at: when the file was asked for, in UTC.
        version: the program's version.
    """
    view = board.view
    run = [
        WORST if "lubrication" in view.worst else view.lubrication,
        WORST if "friction" in view.worst else view.friction,
        *(
            (WORST, None)
            if "wear" in view.worst
            else (view.wear if view.wear in ("new", "worn") else "stated", view.wear_mm)
        ),
        view.radius,
        view.speed_rpm,
        view.spline_friction,
        board.heavy_above,
        at.isoformat(),
        version,
    ]
    step = max(1, BLOCK_CELLS // max(1, len(board.engines)))
    # One pack first, so that the first rows go out while the others are worked out.
    starts = (0, *range(1, len(board.packs), step))
    for first, last in zip(starts, (*starts[1:], len(board.packs)), strict=True):
        block = facts_of(
            board.packs[first:last], board.engines, cells_of(board, first, last), board.heavy_above
        )
        for row in block:
            for cell in row:
                yield [column.get(cell) for column in COLUMNS] + run


def missing_words(paths: Sequence[str]) -> str:
    """What is not known, in words.

    >>> missing_words(("pack.facing_od_mm", "engine.primary_ratio"))
    'facing outside diameter; primary ratio'
    """
    return "; ".join(dict.fromkeys(_small(input_label(path)) for path in paths))


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]
