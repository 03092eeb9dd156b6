"""The columns of a cell in their order: the tables on pages take theirs from the CSV's list."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.comparison.board_view import BoardView
from app.comparison.cell import Reading
from app.presentation.facts import CellFacts
from app.presentation.input_words import input_label
from app.presentation.numbers import NOT_KNOWN, probability_text
from app.presentation.torques import (
    UNIT_LABEL,
    fast_ratio,
    ratio_span,
    torque_number,
    torque_span,
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its CSV heading with the unit, and how a page shows it.

    A column without a heading is in the CSV only.
    """

    csv_name: str
    heading: str = ""
    unit: str = ""
    text: Callable[[CellFacts, BoardView], str] | None = None


def _available(cell: CellFacts) -> Reading | None:
    return cell.available


def _required(cell: CellFacts) -> Reading | None:
    return cell.required


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


COLUMNS: tuple[Column, ...] = (
    Column("pack_id"),
    Column("pack_version"),
    Column("pack_name", "Pack", text=lambda c, _v: c.pack.name),
    Column("engine_id"),
    Column("engine_version"),
    Column("engine_name", "Engine", text=lambda c, _v: c.engine.name),
    Column("mounting"),
    Column("verdict"),
    Column("torque_available_N_m", "Available", "torque", _torque_text(_available)),
    Column("torque_available_std_N_m"),
    Column(
        "torque_available_low_N_m", "Available, 95 % interval", "torque", _torque_span(_available)
    ),
    Column("torque_available_high_N_m"),
    Column("torque_required_N_m", "Required", "torque", _torque_text(_required)),
    Column("torque_required_std_N_m"),
    Column("torque_required_low_N_m", "Required, 95 % interval", "torque", _torque_span(_required)),
    Column("torque_required_high_N_m"),
    Column(
        "ratio",
        "Ratio",
        text=lambda c, _v: NOT_KNOWN if c.ratio is None else fast_ratio(c.ratio.value),
    ),
    Column("ratio_std"),
    Column(
        "ratio_low",
        "Ratio, 95 % interval",
        text=lambda c, _v: NOT_KNOWN if c.ratio is None else ratio_span(c.ratio),
    ),
    Column("ratio_high"),
    Column(
        "ratio_without_factor",
        "Ratio without factor",
        text=lambda c, _v: (
            NOT_KNOWN if c.ratio_without_factor is None else fast_ratio(c.ratio_without_factor)
        ),
    ),
    Column("p_slip", "Chance of falling short", text=lambda c, _v: probability_text(c.p_slip)),
    Column("heavy"),
    Column("state"),
    Column("failed_checks"),
    Column("missing"),
    Column("rests_on_assumed"),
    Column("mu"),
    Column("mu_u"),
    Column("mu_how"),
    Column("mu_source"),
    Column("shown_as"),
)
"""Every column of a cell, in the order of the CSV."""

BY_NAME = {column.csv_name: column for column in COLUMNS}

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


def missing_words(paths: Sequence[str]) -> str:
    """What is not known, in words.

    >>> missing_words(("pack.facing_od_mm", "engine.primary_ratio"))
    'facing outside diameter; primary ratio'
    """
    return "; ".join(dict.fromkeys(_small(input_label(path)) for path in paths))


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]
