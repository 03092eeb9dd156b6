"""The board itself: shown packs and engines with every figure that a cell tells."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from app.comparison.board_view import BoardView, ChartKind, Order
from app.comparison.cell import evaluate
from app.comparison.failed_checks import FailedCheck, failed_checks
from app.comparison.inputs_list import InputLine
from app.comparison.rests_on import engine_rests_on, pack_rests_on
from app.comparison.run import (
    Comparison,
    Side,
    Sides,
    compare,
    compare_sides,
    speed_cell,
    work_out_sides,
)
from app.mechanics import doubt
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import (
    MOUNTINGS,
    CentrifugalClamp,
    EngineInputs,
    Mounting,
    PackInputs,
    Quantity,
    State,
)
from app.mechanics.missing import missing_in_engine, missing_in_pack
from app.mechanics.sides import engine_side
from app.mechanics.stack import stack_engines
from app.mechanics.traced import Array


@dataclass(frozen=True)
class PackEntry:
    """A pack in the catalogue: its public id, version, name, and what the mechanics take.

    `checked` names who looked its figures over, and when; "" for nobody.
    """

    public_id: str
    version: int
    name: str
    inputs: PackInputs
    checked: str = ""


class UnreadPack(PackEntry):
    """A pack whose inputs are made when asked for: a page shows few of a large catalogue."""

    def __init__(
        self, public_id: str, version: int, name: str, checked: str, read: Callable[[], PackInputs]
    ) -> None:
        self.__dict__.update(
            public_id=public_id, version=version, name=name, checked=checked, _read=read
        )

    @cached_property
    def inputs(self) -> PackInputs:
        """What the mechanics take."""
        made: PackInputs = self.__dict__["_read"]()
        return made


@dataclass(frozen=True, slots=True)
class EngineEntry:
    """An engine in the catalogue, with what `PackEntry` has."""

    public_id: str
    version: int
    name: str
    inputs: EngineInputs
    checked: str = ""


@dataclass(frozen=True, eq=False)
class Spread:
    """Torques [N·m] with standard uncertainty and 95 % interval, each (packs, engines)."""

    value: Array
    std: Array
    low: Array
    high: Array


@dataclass(frozen=True, slots=True)
class FrictionUsed:
    """The friction coefficient [1] that a pack uses in a state, and where it is from."""

    quantity: Quantity | None
    source: str | None


@dataclass(frozen=True, eq=False)
class Cells:
    """Every figure of a block of cells; axis order (pack, engine).

    Attributes:
        figures: ratios, intervals, probabilities and verdicts.
        available: what each pack carries against each engine.
        required: what each engine asks at each pack's mounting.
        missing: paths of what is not known, of every unknown cell.
        rests_on: assumed and estimated inputs that each known cell rests on, of those with any.
        friction: the coefficient that each pack uses.
        failed: names of the checks that each cell fails, of those that fail any.
        states: those that the worst was taken of; `state_of` is the index of each cell's, and
            `frictions` the coefficients in each. Nothing where the cells have one state.
    """

    figures: Comparison
    available: Spread
    required: Spread
    missing: Mapping[tuple[int, int], tuple[str, ...]]
    rests_on: Mapping[tuple[int, int], tuple[InputLine, ...]]
    friction: tuple[FrictionUsed, ...]
    failed: Mapping[tuple[int, int], tuple[FailedCheck, ...]]
    states: tuple[State, ...] = ()
    state_of: NDArray[np.intp] | None = None
    frictions: tuple[tuple[FrictionUsed, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class PackPrice:
    """The lowest price of a pack, with its offer: price in `currency`, ISO 4217 or ""."""

    price: float
    currency: str
    seller: str
    offer: str
    name: str


@dataclass(frozen=True, eq=False)
class Board:
    """What a view shows.

    Attributes:
        view: the view, as it was asked for.
        order: in which the packs stand, settled where none was asked for.
        heavy_above: ratio without the service factor [1] above which a pack is called heavy.
        revision: of the catalogue that it was made from.
        packs: shown packs in their order; `engines` likewise.
        cells: the figures of the shown packs and engines.
        found: packs that the filters keep, on all pages.
        all_engines: every engine of the catalogue in order of names, `all_packs` counts the packs.
        first: place of the first shown pack among those found, from 0.
        engines_found: engines that the view asks for, whether shown or not.
        prices: lowest price by pack, of the shown ones that have an offer with a price.
    """

    view: BoardView
    order: Order
    heavy_above: float
    revision: int
    packs: tuple[PackEntry, ...]
    engines: tuple[EngineEntry, ...]
    cells: Cells
    found: int
    all_packs: int
    all_engines: tuple[EngineEntry, ...]
    first: int
    engines_found: int
    prices: Mapping[str, PackPrice] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Charted:
    """What a chart draws: one engine with the shown packs, or one pack with the shown engines."""

    kind: ChartKind
    packs: tuple[PackEntry, ...]
    engines: tuple[EngineEntry, ...]
    cells: Cells


@np.errstate(divide="ignore", invalid="ignore", over="ignore")  # such figures are not known
def work_out_cells(
    packs: Sequence[PackInputs], engines: Sequence[EngineInputs], state: State
) -> Cells:
    """Every figure of a block of cells.

    Args:
        packs: N records.
        engines: M records.
        state: the state of the comparison.

    Returns:
        Cells with arrays of shape (N, M), torques in N·m, bit for bit those of `evaluate`.

    Range: any records.
    Source: app.comparison.run.
    """
    known = [with_friction(p, state.lubrication, state.friction) for p in packs]
    key = (state.lubrication, state.friction)
    sides = None
    if packs and engines:
        sides = work_out_sides(known, engines, state)
        figures = compare_sides(sides, state, np.arange(len(packs)), np.arange(len(engines)))
        available, required = _spreads(sides, state)
    else:
        figures = compare(packs, engines, state)
        available = required = _blank((len(packs), len(engines)))
    return Cells(
        figures=figures,
        available=available,
        required=required,
        missing=_missing(figures, known, engines, state),
        rests_on=_rests_on(figures, known, engines, state, sides),
        friction=tuple(
            FrictionUsed(p.friction.get(key), p.friction_source.get(key)) for p in known
        ),
        failed=failed_checks(
            known, engines, state, available.value, None if sides is None else sides.pack_sheet
        ),
    )


def crank_speeds(engines: Sequence[EngineInputs], state: State) -> tuple[float | None, ...]:
    """Crank speed at which clamps by weights are judged with each engine.

    Args:
        engines: M records.
        state: its own speed goes before an engine's [r/min].

    Returns:
        n [r/min] of each engine: the state's, else that of its torque; None where not known.

    Range: any records.
    Source: app.mechanics.sides.engine_side.
    """
    if not engines:
        return ()
    found = engine_side(stack_engines(engines), state.speed_rpm).crank_speed.value[:, 0]
    return tuple(None if np.isnan(speed) else float(speed) for speed in found)


def _spreads(sides: Sides, state: State) -> tuple[Spread, Spread]:
    shape = sides.pack_sheet.records, sides.engine_sheet.records
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        carried = _figures(sides.packs)
        available = Spread(*(np.broadcast_to(a[:, None], shape) for a in carried))
        if np.any(sides.by_engine):
            available = _by_engine(available, sides, state)
        asked = [_figures(side) for side in sides.engines]
        nothing = np.full(shape[1], np.nan)
        rows = np.array([[asked[0][i], asked[1][i], nothing] for i in range(4)])
        # A pack whose mounting is not known has −1, the last row: nothing is known.
        required = Spread(*(rows[i][sides.mounting] for i in range(4)))
    return available, required


def _blank(shape: tuple[int, int]) -> Spread:
    nothing = np.full(shape, np.nan)
    return Spread(nothing, nothing, nothing, nothing)


def _figures(side: Side) -> tuple[Array, Array, Array, Array]:
    low, high = doubt.interval(side.value, side.cumulants)
    return side.value, side.value * np.sqrt(side.relative_variance), low, high


def _by_engine(available: Spread, sides: Sides, state: State) -> Spread:
    """Packs whose clamp grows with speed carry something else with each engine."""
    parts = [np.array(a) for a in (available.value, available.std, available.low, available.high)]
    for number in range(len(MOUNTINGS)):
        at = np.flatnonzero((sides.mounting == number) & sides.by_engine)
        if at.size == 0:
            continue
        sheet = sides.pack_sheet.rows(at)
        for j in range(parts[0].shape[1]):
            cell = speed_cell(sheet, sides, state, number, j)
            for part, values in zip(
                parts, _figures(Side.of(cell.capacity, cell.columns)), strict=True
            ):
                part[at, j] = values
    return Spread(*parts)


def _missing(
    figures: Comparison,
    packs: Sequence[PackInputs],
    engines: Sequence[EngineInputs],
    state: State,
) -> dict[tuple[int, int], tuple[str, ...]]:
    """What is not known of every unknown cell, as `evaluate` says it."""
    found = {}
    by_pack: dict[int, list[str]] = {}
    by_engine: dict[tuple[int, Mounting | None], list[str]] = {}
    for i, j in np.argwhere(np.isnan(figures.ratio)).tolist():
        pack, engine = packs[i], engines[j]
        if isinstance(pack.clamp, CentrifugalClamp):
            found[i, j] = evaluate(pack, engine, state).missing
            continue
        if i not in by_pack:
            by_pack[i] = missing_in_pack(pack, state)
        asked = (j, pack.mounting)
        if asked not in by_engine:
            by_engine[asked] = missing_in_engine(engine, pack.mounting)
        unplaced = ["pack.mounting"] if pack.mounting is None else []
        found[i, j] = (*by_pack[i], *unplaced, *by_engine[asked])
    return found


def _rests_on(
    figures: Comparison,
    packs: Sequence[PackInputs],
    engines: Sequence[EngineInputs],
    state: State,
    sides: Sides | None,
) -> dict[tuple[int, int], tuple[InputLine, ...]]:
    """Assumed and estimated inputs of every known cell that has any."""
    laid = (None, None) if sides is None else (sides.pack_sheet, sides.engine_sheet)
    carried = pack_rests_on(packs, state, laid[0])
    asked = engine_rests_on(engines, state, sheet=laid[1])
    by_speed = [isinstance(p.clamp, CentrifugalClamp) for p in packs]
    turning = engine_rests_on(engines, state, True, laid[1]) if any(by_speed) else ()
    found = {}
    for i, pack in enumerate(packs):
        if pack.mounting is None:
            continue
        for j in range(len(engines)):
            lines = carried[i] + asked[j][pack.mounting]
            if by_speed[i]:
                lines += tuple(x for x in turning[j][pack.mounting] if x not in lines)
            if lines and not np.isnan(figures.ratio[i, j]):
                found[i, j] = lines
    return found
