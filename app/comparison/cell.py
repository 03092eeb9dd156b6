"""One pack against one engine, with everything that a page or a script wants to know of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from app.comparison.engine_working import engine_working
from app.comparison.inputs_list import InputLine, list_inputs
from app.comparison.pack_working import pack_working
from app.comparison.run import Side, Sides, compare, speed_cell, work_out_sides
from app.comparison.spring_working import agreement_cautions
from app.comparison.verdict import HEAVY_ABOVE, VERDICTS, Verdict
from app.comparison.working_lines import WorkingLine
from app.mechanics import doubt
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import (
    MOUNTINGS,
    CentrifugalClamp,
    EngineInputs,
    Mounting,
    PackInputs,
    State,
)
from app.mechanics.missing import missing_in_engine, missing_in_pack
from app.mechanics.monte_carlo import USUAL_SEED, Draws, draw_sheet, in_blocks
from app.mechanics.sides import engine_side, pack_figures, pack_side
from app.mechanics.traced import Column, Traced
from app.mechanics.validity import (
    Caution,
    doubt_cautions,
    engine_cautions,
    figure_cautions,
    pack_cautions,
)

# An end of the drawn interval further off than this part of the half-width is said.
ENDS_TOLERANCE = 0.1


@dataclass(frozen=True, slots=True)
class Reading:
    """A figure: value, standard uncertainty, 95 % interval, all in one unit."""

    value: float
    std: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Drawn:
    """The Monte Carlo's answer: torques [N·m] and ratio [1] over the draws, and its agreement."""

    draws: int
    seed: int
    capacity: Draws | None
    required: Draws | None
    ratio: Draws | None
    p_slip: float | None
    agrees: bool | None


@dataclass(frozen=True)
class CellResult:
    """The whole answer; a figure that can't be known is None and its lack stands in `missing`."""

    verdict: Verdict = "unknown"
    heavy: bool = False
    capacity: Reading | None = None
    required: Reading | None = None
    ratio: Reading | None = None
    ratio_without_factor: Reading | None = None
    p_slip: float | None = None
    missing: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    working: tuple[WorkingLine, ...] = ()
    shares: tuple[tuple[str, float], ...] = ()
    inputs: tuple[InputLine, ...] = ()
    drawn: Drawn | None = None
    mounting: Mounting | None = None
    facts: Mapping[str, str] = field(default_factory=dict)

    @property
    def measure_next(self) -> InputLine | None:
        """The input with the largest share of the doubt that is not yet measured."""
        lines = {line.path: line for line in self.inputs}
        for path, share in self.shares:
            line = lines.get(path)
            if share > 0.0 and line is not None and line.quantity.how != "measured":
                return line
        return None


@np.errstate(divide="ignore", invalid="ignore", over="ignore")  # such figures are not known
def evaluate(
    pack: PackInputs | None,
    engine: EngineInputs | None,
    state: State | None,
    draws: int | None = None,
    seed: int | None = None,
    heavy_above: float = HEAVY_ABOVE,
) -> CellResult:
    """Work one cell out: torques, ratio, verdict, working, shares, cautions.

    Args:
        pack: the pack, or None to ask for the engine's side alone.
        engine: the engine, or None to ask for the pack's side alone.
        state: the state; without one the capacity is not known.
        draws: number of Monte Carlo draws [count]; None: none.
        seed: of the draws; None: the usual one.
        heavy_above: ratio without the service factor above which a pack is called heavy [1].

    Returns:
        CellResult, torques in N·m.

    Range: any records; what is missing is said, never filled in.
    Source: app.mechanics.
    """
    asked = state or State()
    if pack is not None:
        pack = with_friction(pack, asked.lubrication, asked.friction)
    mounting = _mounting(pack, engine)
    missing = list(missing_in_pack(pack, state)) if pack is not None else []
    if pack is not None and engine is not None and mounting is None:
        missing.append("pack.mounting")
    if engine is not None:
        missing += missing_in_engine(engine, mounting)
    # Without a mounting nothing is known behind the primary gear, so no demand is either.
    placed = engine if mounting is not None else None
    # A side that isn't asked for is a record of which nothing is known.
    sides = work_out_sides([pack or PackInputs()], [engine or EngineInputs()], asked)
    number = MOUNTINGS.index(mounting) if mounting else 0
    capacity = required = ratio = without = None
    p_slip: float | None = None
    verdict: Verdict = "unknown"
    if placed is not None:
        required = _reading(sides.engines[number])
    if pack is not None and state is not None:
        capacity = _reading(sides.packs)
    if pack is not None and engine is not None and state is not None:
        board = compare([pack], [engine], asked)
        if not np.isnan(board.ratio[0, 0]):
            verdict = VERDICTS[board.verdict[0, 0]]
            ratio = Reading(*(float(a[0, 0]) for a in (
                board.ratio, board.ratio_std, board.low, board.high)))
            p_slip = float(board.p_slip[0, 0])
    traced, columns = _traced_answer(pack, placed, state, sides, number)
    if ratio is not None and engine is not None:
        without = _without_factor(traced, sides, columns)
        if isinstance(pack.clamp if pack else None, CentrifugalClamp):
            capacity = _capacity_at_speed(sides, asked, number)
    if pack is not None and isinstance(pack.clamp, CentrifugalClamp):
        missing += _missing_speed(sides, asked, number, engine)
    found = _shares(traced, columns)
    inputs = list_inputs(pack, engine, state)
    working, cautions = _explain(pack, engine, state, sides, number, mounting)
    relative = ratio.std / ratio.value if ratio and ratio.value > 0.0 else 0.0
    cautions += doubt_cautions(found, {i.path: i.quantity for i in inputs}, relative)
    drawn = None
    if draws:
        chosen = USUAL_SEED if seed is None else seed
        drawn = _draw(pack, placed, state, sides, number, draws, chosen, ratio)
        if drawn.agrees is False:
            cautions.append(Caution(
                "intervals_differ",
                "the drawn interval and the computed one differ by more than a tenth of the "
                "half-width; the verdict is from the computed one, everywhere alike"))
        if capacity is not None and drawn.capacity is None:
            cautions.append(Caution(
                "draws_outside_table",
                "the doubt of the deflection reaches beyond the measured load points, so no "
                "interval is drawn; take readings further out", "pack.clamp.points"))
    return CellResult(
        verdict=verdict,
        heavy=without is not None and without.value > heavy_above,
        capacity=capacity, required=required, ratio=ratio, ratio_without_factor=without,
        p_slip=p_slip, missing=tuple(missing), cautions=tuple(cautions), working=tuple(working),
        shares=tuple(found), inputs=tuple(inputs), drawn=drawn, mounting=mounting,
    )


def _mounting(pack: PackInputs | None, engine: EngineInputs | None) -> Mounting | None:
    if pack is not None:
        return pack.mounting
    if engine is None:
        return None
    geared = engine.primary_ratio is not None or engine.primary_teeth is not None
    return "geared" if geared else "crankshaft"


def _reading(side: Side) -> Reading | None:
    value = side.value
    if np.isnan(value[0]):
        return None
    low, high = doubt.interval(value, side.cumulants)
    std = value[0] * np.sqrt(side.relative_variance[0])
    return Reading(float(value[0]), float(std), float(low[0]), float(high[0]))


def _reading_of(figure: Traced, columns: Mapping[str, Column]) -> Reading | None:
    return _reading(Side.of(figure, columns))


def _traced_answer(
    pack: PackInputs | None, engine: EngineInputs | None, state: State | None, sides: Sides,
    number: int,
) -> tuple[Traced | None, Mapping[str, Column]]:
    """The ratio, or the one side that is asked for, with all inputs it rests on."""
    columns = {**sides.pack_sheet.columns, **sides.engine_sheet.columns}
    if pack is not None and engine is not None and state is not None:
        if isinstance(pack.clamp, CentrifugalClamp):
            cell = speed_cell(sides.pack_sheet, sides, state, number, 0)
            return cell.ratio, cell.columns
        with np.errstate(divide="ignore", invalid="ignore"):
            capacity = pack_side(sides.pack_sheet, state).capacity
            return capacity / sides.traced_engines.required[number], columns
    if pack is not None and state is not None:
        return pack_side(sides.pack_sheet, state).capacity, columns
    if engine is not None:
        return sides.traced_engines.required[number], columns
    return None, columns


def _without_factor(
    traced: Traced | None, sides: Sides, columns: Mapping[str, Column]
) -> Reading | None:
    if traced is None:
        return None
    return _reading_of(traced * sides.traced_engines.service_factor, columns)


def _capacity_at_speed(sides: Sides, state: State, number: int) -> Reading | None:
    cell = speed_cell(sides.pack_sheet, sides, state, number, 0)
    return _reading_of(cell.capacity, cell.columns)


def _missing_speed(
    sides: Sides, state: State, number: int, engine: EngineInputs | None
) -> list[str]:
    if engine is None:
        return ["engine"]
    speed = sides.traced_engines.clutch_speed[number].value[0, 0]
    return ["state.speed_rpm"] if np.isnan(speed) and state.speed_rpm is None else []


def _shares(traced: Traced | None, columns: Mapping[str, Column]) -> list[tuple[str, float]]:
    if traced is None or np.isnan(traced.value[0, 0]):
        return []
    with np.errstate(divide="ignore", invalid="ignore"):
        rows = doubt.shares(traced, columns)
    return [(name.replace("*", str(group)), share) for name, group, share in rows]


def _explain(
    pack: PackInputs | None, engine: EngineInputs | None, state: State | None, sides: Sides,
    number: int, mounting: Mounting | None,
) -> tuple[list[WorkingLine], list[Caution]]:
    lines: list[WorkingLine] = []
    cautions: list[Caution] = []
    asked = state or State()
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        if pack is not None:
            sheet, speed = sides.pack_sheet, None
            columns = dict(sheet.columns)
            if engine is not None and mounting and isinstance(pack.clamp, CentrifugalClamp):
                cell = speed_cell(sheet, sides, asked, number, 0)
                speed, columns = cell.shaft_speed, dict(cell.columns)
            side = pack_side(sheet, asked, speed)
            figures = pack_figures(sheet, side, speed)
            # Without a state the clamp is that of new facings, but no friction may be assumed.
            lines += [line for line in pack_working(pack, asked, sheet, side, figures, columns)
                      if state is not None or line.name != "capacity_nm"]
            cautions += pack_cautions(pack, state) + figure_cautions(pack, side, figures)
        if engine is not None:
            lines += engine_working(
                engine, sides.traced_engines, sides.engine_sheet.columns,
                number if mounting else None,
            )
            cautions += engine_cautions(engine, mounting)
    cautions += agreement_cautions(lines)
    return lines, cautions


def _draw(
    pack: PackInputs | None, engine: EngineInputs | None, state: State | None, sides: Sides,
    number: int, draws: int, seed: int, ratio: Reading | None,
) -> Drawn:
    generator = np.random.default_rng(seed)
    capacity = required = speed = None
    asked = state or State()
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        pack_sheet = draw_sheet(sides.pack_sheet, generator, draws) if pack else None
        if engine is not None:
            required, speed = np.empty(draws), np.empty((draws, 1))
            for place, sheet in in_blocks(draw_sheet(sides.engine_sheet, generator, draws)):
                side = engine_side(sheet, asked.speed_rpm)
                required[place] = side.required[number].value[:, 0]
                speed[place] = side.clutch_speed[number].value
        if pack_sheet is not None and state is not None:
            capacity = np.empty(draws)
            for place, some in in_blocks(pack_sheet):
                turning = None if speed is None else Traced(speed[place])
                capacity[place] = pack_side(some, asked, turning).capacity.value[:, 0]
        ratios = capacity / required if capacity is not None and required is not None else None
    summary = _summary(ratios)
    agrees = None
    if summary is not None and ratio is not None:
        room = ENDS_TOLERANCE * (summary.high - summary.low) / 2.0
        off = max(abs(summary.low - ratio.low), abs(summary.high - ratio.high))
        agrees = bool(off <= room + 1e-12 * summary.mean)
    slips = None if ratios is None or summary is None else float(np.mean(ratios < 1.0))
    return Drawn(draws, seed, _summary(capacity), _summary(required), summary, slips, agrees)


def _summary(values: NDArray[np.float64] | None) -> Draws | None:
    if values is None or np.any(np.isnan(values)):
        return None
    return Draws.of(values)
