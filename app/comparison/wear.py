"""Clamp and margin over the wear of the stack, and the wear at which the margin is gone."""

import math
from dataclasses import dataclass, replace

import numpy as np

from app.comparison.clamp_changes import clearing_wear
from app.comparison.run import Side, compare, speed_cell, work_out_sides
from app.mechanics import doubt
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import (
    CentrifugalClamp,
    DiscTableClamp,
    EngineInputs,
    LoadClamp,
    PackInputs,
    State,
)
from app.mechanics.sides import pack_side
from app.mechanics.stack import stack_packs
from app.mechanics.traced import Array, Traced

POINTS = 41


@dataclass(frozen=True, eq=False)
class WearCurve:
    """Over the wear [mm]: clamp [N], capacity [N·m] with the ends of its 95 % interval."""

    wear: Array
    clamp: Array
    capacity: Array
    low: Array
    high: Array


@dataclass(frozen=True, slots=True)
class WearReserve:
    """Wear [mm] at which the ratio falls to 1 and the stack's limit; None: never, or not known."""

    at_margin_gone: float | None
    at_limit: float | None
    first: str
    words: str


def wear_curve(
    pack: PackInputs, state: State, up_to_mm: float, points: int = POINTS,
    engine: EngineInputs | None = None,
) -> WearCurve:
    """Clamp and capacity from new to a wear, each with its doubt.

    Args:
        pack: the record.
        state: lubrication, friction and radius; its wear is not used.
        up_to_mm: last wear [mm].
        points: number of points [count].
        engine: gives the speed of a centrifugal clamp; None: none.

    Returns:
        WearCurve, arrays of shape (points,).

    Range: wear ≥ 0; a measured disc table gives NaN outside its points.
    Source: app.mechanics.clamp.
    """
    known = with_friction(pack, state.lubrication, state.friction)
    wear = np.linspace(0.0, up_to_mm, points)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        sheet = stack_packs([known] * points, state)
        speed, columns = None, dict(sheet.columns)
        if engine is not None and isinstance(pack.clamp, CentrifugalClamp):
            sides = work_out_sides([known], [engine], state)
            number = 1 if pack.mounting == "geared" else 0
            cell = speed_cell(stack_packs([known], state), sides, state, number, 0)
            speed = cell.shaft_speed
            columns |= {n: c for n, c in cell.columns.items() if n.startswith("engine.")}
        side = pack_side(sheet, state, speed, Traced(wear[:, None]))
        carried = Side.of(side.capacity, columns)
        low, high = doubt.interval(carried.value, carried.cumulants)
    return WearCurve(wear, side.clamp.value[:, 0].copy(), carried.value, low, high)


def wear_reserve(pack: PackInputs, engine: EngineInputs, state: State) -> WearReserve:
    """Stack wear until the ratio falls to 1, against the wear to the facing's limit.

    Args:
        pack: the record.
        engine: the engine it is to hold.
        state: lubrication, friction and radius; its wear is not used.

    Returns:
        WearReserve in mm; "margin", "limit" or "not known" comes first.

    Range: nominal values.
    Source: F(w) of app.mechanics.clamp solved for T = T_req.
    """
    fresh = replace(state, wear_mm=0.0)
    known = with_friction(pack, state.lubrication, state.friction)
    board = compare([known], [engine], fresh)
    ratio, limit = float(board.ratio[0, 0]), pack.stack_wear_limit_mm
    at_limit = None if limit is None else limit.value
    if math.isnan(ratio):
        return WearReserve(None, at_limit, "not known", "the margin is not known")
    if ratio < 1.0:
        return WearReserve(0.0, at_limit, "margin", "there is no margin even when new")
    if isinstance(pack.clamp, LoadClamp) and pack.clamp.rate_n_per_mm is None:
        return WearReserve(None, at_limit, "not known",
                           "needs a rate: how the measured clamp load falls with wear is not known")
    at_gone = clearing_wear(known, fresh, ratio)
    if at_gone is None:
        return _never(known, at_limit)
    if at_limit is None:
        return WearReserve(at_gone, None, "not known",
                           f"the margin is gone at {at_gone:.2f} mm of stack wear; the facings' "
                           "limit is not recorded")
    first = "margin" if at_gone < at_limit else "limit"
    words = (f"the margin is gone at {at_gone:.2f} mm of stack wear, "
             f"{'before' if first == 'margin' else 'after'} the facings' limit of "
             f"{at_limit:.2f} mm")
    return WearReserve(at_gone, at_limit, first, words)


def _never(pack: PackInputs, at_limit: float | None) -> WearReserve:
    """No wear was found that uses up the margin."""
    clamp = pack.clamp
    if isinstance(clamp, DiscTableClamp) and clamp.installed_deflection_mm is not None:
        known = clamp.installed_deflection_mm.value - min(p.deflection_mm for p in clamp.points)
        if at_limit is None or at_limit > known:
            return WearReserve(
                None, at_limit, "not known",
                f"there is margin up to {known:.2f} mm of stack wear, where the measured points "
                "end; beyond them the load is not known")
    return WearReserve(None, at_limit, "limit" if at_limit is not None else "not known",
                       "wear alone does not use up the margin")
