"""Many packs against many engines in one pass: sides once, then outer sums in blocks.

Axis order is (pack, engine) everywhere. The logarithm of a ratio is a pack term less an engine
term, so each side is worked out once, and a cell costs only sums and a polynomial.
"""

import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.comparison.verdict import verdict_codes
from app.mechanics import doubt
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import CentrifugalClamp, EngineInputs, PackInputs, State
from app.mechanics.ratio_cells import Bench, LogSide
from app.mechanics.sides import EngineSide, engine_side, pack_side
from app.mechanics.stack import EngineSheet, PackSheet, stack_engines, stack_packs
from app.mechanics.traced import Array, Column, Traced, variance

BLOCK_CELLS = 32768
"""Cells worked on at a time: enough that a block's passes cost more than their calls, and few
enough that its arrays stay in the processor's cache."""


@dataclass(frozen=True, eq=False)
class Side:
    """One side's torque [N·m] with the cumulants of its logarithm and its relative variance.

    Shapes (records,), (4, records), (records,).
    """

    value: Array
    cumulants: Array
    relative_variance: Array

    @classmethod
    def of(cls, figure: Traced, columns: Mapping[str, Column]) -> "Side":
        """The side of a traced torque, shape (records, 1)."""
        value = np.ascontiguousarray(figure.value[:, 0])
        with np.errstate(divide="ignore", invalid="ignore"):
            relative = variance(figure, columns)[:, 0] / value**2
        return cls(value, doubt.log_cumulants(figure, columns), np.where(value > 0, relative, 0.0))

    def rows(self, index: NDArray[np.intp] | slice) -> "Side":
        """The side of some records only."""
        return Side(self.value[index], self.cumulants[:, index], self.relative_variance[index])


@dataclass(frozen=True, eq=False)
class Comparison:
    """A board: every figure (packs, engines), torques [N·m], ratios and probabilities [1].

    `required` is what each engine asks at each pack's own mounting. The arrays are to be read:
    what is the same in a whole row may lie there once.
    """

    capacity: Array
    required: Array
    ratio: Array
    ratio_std: Array
    low: Array
    high: Array
    p_slip: Array
    verdict: NDArray[np.uint8]
    ratio_without_factor: Array


_WORKED_OUT = (
    "ratio", "ratio_std", "low", "high", "p_slip", "verdict", "ratio_without_factor",
)


@dataclass(frozen=True, eq=False)
class Sides:
    """Everything worked out once for a board."""

    packs: Side
    engines: tuple[Side, Side]
    factors: Array
    mounting: NDArray[np.intp]
    pack_sheet: PackSheet
    engine_sheet: EngineSheet
    traced_engines: EngineSide
    by_engine: NDArray[np.bool_]


def work_out_sides(
    packs: Sequence[PackInputs], engines: Sequence[EngineInputs], state: State
) -> Sides:
    """Both sides of a board, each record once.

    Args:
        packs: the pack records.
        engines: the engine records.
        state: the state of the comparison.

    Returns:
        Sides; packs whose clamp depends on speed are marked, to be worked out per engine.

    Range: any number of records.
    Source: see app.mechanics.
    """
    known = [with_friction(p, state.lubrication, state.friction) for p in packs]
    return sides_of(stack_packs(known, state), stack_engines(engines), state)


def carried(packs: Sequence[PackInputs], state: State) -> Array:
    """What packs carry, without an engine and without their doubts.

    Args:
        packs: the pack records.
        state: the state of the comparison.

    Returns:
        Torques [N·m], (packs,), bit for bit those of `work_out_sides`; NaN where not known.

    Range: any number of records; a clamp that depends on speed is not known here.
    Source: see app.mechanics.
    """
    known = [with_friction(p, state.lubrication, state.friction) for p in packs]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        capacity = pack_side(stack_packs(known, state).nominal(), state).capacity
    return np.ascontiguousarray(capacity.value[:, 0])


def sides_of(pack_sheet: PackSheet, engine_sheet: EngineSheet, state: State) -> Sides:
    """Both sides of a board whose records were laid side by side before.

    Args:
        pack_sheet: the packs, stacked for the state, their friction filled in.
        engine_sheet: the engines.
        state: the state of the comparison.

    Returns:
        As `work_out_sides`.

    Range: any number of records.
    Source: see app.mechanics.
    """
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        asked = engine_side(engine_sheet, state.speed_rpm)
        side = pack_side(pack_sheet, state)
        crankshaft, geared = (Side.of(r, engine_sheet.columns) for r in asked.required)
        carried = Side.of(side.capacity, pack_sheet.columns)
    return Sides(
        packs=carried,
        engines=(crankshaft, geared),
        factors=np.ascontiguousarray(asked.service_factor.value[:, 0]),
        mounting=pack_sheet.mounting,
        pack_sheet=pack_sheet,
        engine_sheet=engine_sheet,
        traced_engines=asked,
        by_engine=pack_sheet.has(CentrifugalClamp)[:, 0],
    )


@np.errstate(divide="ignore", invalid="ignore", over="ignore")  # such figures are not known
def compare(
    packs: Sequence[PackInputs], engines: Sequence[EngineInputs], state: State
) -> Comparison:
    """Compare every pack with every engine in one state.

    ln R = ln T_available − ln T_required; κ_r(ln R) = κ_r(pack) + (−1)^r κ_r(engine).

    Args:
        packs: the pack records, N of them.
        engines: the engine records, M of them.
        state: the state of the comparison.

    Returns:
        Comparison with arrays of shape (N, M); NaN and "unknown" where an input is missing.

    Range: a pack without a known mounting is compared with no engine.
    Source: see app.mechanics.doubt.
    """
    if not packs or not engines:
        nothing = np.empty((len(packs), len(engines)))
        none: tuple[Array, ...] = (nothing,) * 7
        capacity, required, ratio, std, low, high, p_slip = none
        return Comparison(capacity, required, ratio, std, low, high, p_slip,
                          nothing.astype(np.uint8), nothing)
    rows, columns = np.arange(len(packs)), np.arange(len(engines))
    return compare_sides(work_out_sides(packs, engines, state), state, rows, columns)


@np.errstate(divide="ignore", invalid="ignore", over="ignore")  # such figures are not known
def compare_sides(
    sides: Sides, state: State, rows: NDArray[np.intp], columns: NDArray[np.intp]
) -> Comparison:
    """Compare some of the packs with some of the engines whose sides were worked out before.

    Args:
        sides: of all packs and engines, worked out for this state.
        state: the state of the comparison.
        rows: indices of N packs, in the order wanted.
        columns: indices of M engines, likewise.

    Returns:
        Comparison with arrays of shape (N, M), bit for bit that of `compare`.

    Range: as `compare`.
    Source: as `compare`.
    """
    mounting, by_engine = sides.mounting[rows], sides.by_engine[rows]
    board = _empty(sides, rows, columns)
    step = max(1, BLOCK_CELLS // max(1, columns.size))
    bench = _bench(min(step, rows.size) * columns.size)
    factors = sides.factors[columns]
    carried = _log_side(sides.packs.rows(rows))
    for number, every in enumerate(sides.engines):
        asked = _log_side(every.rows(columns))
        at = np.flatnonzero((mounting == number) & ~by_engine)
        for start in range(0, at.size, step):
            block = at[start : start + step]
            one = carried.rows(block)
            _finish(board, _run_of(block), slice(None), bench, one, asked, factors)
    if np.any(by_engine):
        _fill_by_engine(board, sides, state, rows, columns, bench)
    if np.any(mounting < 0):
        _leave_unknown(board, mounting < 0)
    return board


_OWN = threading.local()


def _bench(cells: int) -> Bench:
    """One bench for each thread, kept: fresh memory costs more than what is done in it."""
    held: Bench | None = getattr(_OWN, "bench", None)
    if held is None or held.cells < cells:
        held = Bench(cells)
        if cells <= BLOCK_CELLS:
            _OWN.bench = held
    return held


def _log_side(side: Side) -> LogSide:
    return LogSide.of(side.value, side.cumulants, side.relative_variance)


def _run_of(block: NDArray[np.intp]) -> NDArray[np.intp] | slice:
    """Rows as a slice where they follow each other: it is written to without a list of places."""
    first, last = int(block[0]), int(block[-1])
    return slice(first, last + 1) if last - first + 1 == block.size else block


def _empty(sides: Sides, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> Comparison:
    """A board whose torques are there and whose figures are to be written."""
    shape = (rows.size, columns.size)
    mounting, by_engine = sides.mounting[rows], bool(np.any(sides.by_engine[rows]))
    placed = np.where(mounting >= 0, sides.packs.value[rows], np.nan)
    capacity = np.broadcast_to(placed[:, None], shape)
    nothing = np.full(columns.size, np.nan)
    # A pack whose mounting is not known has −1, the last row: nothing is asked of it.
    required = np.stack([*(side.value[columns] for side in sides.engines), nothing])[mounting]
    ratio, std, low, high, p_slip, without = (np.empty(shape) for _ in range(6))
    return Comparison(
        capacity.copy() if by_engine else capacity, required, ratio, std, low, high, p_slip,
        np.empty(shape, np.uint8), without,
    )


def _leave_unknown(board: Comparison, rows: NDArray[np.bool_]) -> None:
    for name in _WORKED_OUT:
        getattr(board, name)[rows] = 0 if name == "verdict" else np.nan


def _finish(
    board: Comparison, rows: NDArray[np.intp] | slice, column: slice | int, bench: Bench,
    packs: LogSide, engines: LogSide, factors: Array,
) -> None:
    found = bench.block(packs, engines)
    figures: tuple[NDArray[Any], ...] = (
        found.ratio, found.std, found.low, found.high, found.p_slip,
        verdict_codes(found.ratio, found.low), found.without(factors),
    )
    for name, values in zip(_WORKED_OUT, figures, strict=True):
        getattr(board, name)[rows, column] = values if isinstance(column, slice) else values[:, 0]


_ALONE = LogSide(np.ones(1), np.zeros(1), np.zeros((4, 1)), np.zeros(1))
"""What a ratio is compared with that holds both sides already."""


def _fill_by_engine(
    board: Comparison, sides: Sides, state: State, rows: NDArray[np.intp],
    columns: NDArray[np.intp], bench: Bench,
) -> None:
    """Packs whose clamp grows with speed: the engine's gear enters both sides of the ratio."""
    for mounting in (0, 1):
        at = np.flatnonzero((sides.mounting[rows] == mounting) & sides.by_engine[rows])
        if at.size == 0:
            continue
        sheet = sides.pack_sheet.rows(rows[at])
        for j, engine in enumerate(columns.tolist()):
            cell = speed_cell(sheet, sides, state, mounting, engine)
            both = _log_side(Side.of(cell.ratio, cell.columns))
            _finish(board, at, j, bench, both, _ALONE, sides.factors[engine : engine + 1])
            board.capacity[at, j] = cell.capacity.value[:, 0]
            board.required[at, j] = cell.required.value[:, 0]


@dataclass(frozen=True, eq=False)
class SpeedCell:
    """Packs with a speed-dependent clamp against one engine, (packs, 1), with all inputs."""

    capacity: Traced
    required: Traced
    ratio: Traced
    shaft_speed: Traced
    columns: Mapping[str, Column]


def speed_cell(
    sheet: PackSheet, sides: Sides, state: State, mounting: int, engine: int
) -> SpeedCell:
    """Capacity against one engine's demand where the clamp depends on the shaft's speed.

    Args:
        sheet: packs with centrifugal clamps, stacked for the state.
        sides: the board's sides.
        state: the state of the comparison.
        mounting: 0 crankshaft, 1 geared.
        engine: index of the engine.

    Returns:
        SpeedCell with torques [N·m] and speed [r/min].

    Range: NaN where the engine's speed is not known.
    Source: see app.mechanics.clamp.
    """
    asked = sides.traced_engines
    columns = dict(sheet.columns)
    for name, column in sides.engine_sheet.columns.items():
        one = slice(engine, engine + 1)
        columns[name] = Column(column.value[one], column.limit[one], column.std[one])
    speed = _row(asked.clutch_speed[mounting], engine)
    required = _row(asked.required[mounting], engine)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):  # others call this too
        capacity = pack_side(sheet, state, speed).capacity
        return SpeedCell(capacity, required, capacity / required, speed, columns)


def _row(figure: Traced, row: int) -> Traced:
    one = slice(row, row + 1)
    return Traced(figure.value[one], {n: p[one] for n, p in figure.partials.items()})
