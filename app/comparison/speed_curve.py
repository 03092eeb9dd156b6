"""An automatic pack over crank speed: where it bites, where it holds, where it stalls."""

import math
from dataclasses import dataclass

import numpy as np

from app.comparison.run import Side
from app.mechanics import doubt
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import CentrifugalClamp, CurveTorque, EngineInputs, PackInputs, State
from app.mechanics.sides import engine_side, pack_side
from app.mechanics.stack import stack_engines, stack_packs
from app.mechanics.traced import Array, Traced

POINTS = 61


@dataclass(frozen=True, eq=False)
class SpeedCurve:
    """Over the crank speed [r/min]: capacity with its 95 % interval and required torque [N·m]."""

    speed: Array
    capacity: Array
    low: Array
    high: Array
    required: Array


@dataclass(frozen=True, slots=True)
class Bite:
    """Crank speeds [r/min]: where the weights beat the return force, and where the pack holds.

    stall_rpm is the least speed from which the capacity covers the required torque: below it a
    full throttle slips the pack. None: not within the speeds asked for.
    """

    engagement_rpm: float | None
    stall_rpm: float | None
    words: str


def speed_curve(
    pack: PackInputs, engine: EngineInputs, state: State, up_to_rpm: float, points: int = POINTS
) -> SpeedCurve | None:
    """Capacity of a centrifugal pack against what the engine delivers, over crank speed.

    Args:
        pack: a pack with a centrifugal clamp.
        engine: the engine; a torque curve is followed, one figure is taken as constant.
        state: lubrication, friction, wear and radius; its speed is not used.
        up_to_rpm: last crank speed [r/min].
        points: number of points [count].

    Returns:
        SpeedCurve of shape (points,), torques at the clutch; None for another kind of clamp or
        when a figure is missing.

    Range: speeds above 0; outside the engine's curve its end values hold.
    Source: app.mechanics.clamp.centrifugal_load.
    """
    if not isinstance(pack.clamp, CentrifugalClamp) or pack.mounting is None:
        return None
    known = with_friction(pack, state.lubrication, state.friction)
    number = 1 if pack.mounting == "geared" else 0
    speeds = np.linspace(up_to_rpm / points, up_to_rpm, points)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        sheet, asked = stack_packs([known] * points, state), stack_engines([engine])
        crank = Traced(speeds[:, None])
        shaft = crank / asked.get("engine.primary_ratio") if number else crank
        columns = {**sheet.columns, **asked.columns}
        side = Side.of(pack_side(sheet, state, shaft).capacity, columns)
        low, high = doubt.interval(side.value, side.cumulants)
        required = float(engine_side(asked).required[number].value[0, 0])
    if np.any(np.isnan(side.value)) or math.isnan(required):
        return None
    return SpeedCurve(speeds, side.value, low, high, required * _shape(engine, speeds))


def _shape(engine: EngineInputs, speeds: Array) -> Array:
    """Torque at each speed over the engine's largest torque [1]."""
    torque = engine.torque
    if not isinstance(torque, CurveTorque) or len(torque.points) < 2:
        return np.ones_like(speeds)
    x, y = np.array(sorted(torque.points)).T
    return np.asarray(np.interp(speeds, x, y) / y.max())


def bite(pack: PackInputs, engine: EngineInputs, state: State, up_to_rpm: float) -> Bite:
    """Engagement and stall speed of a centrifugal pack on an engine.

    Both are found on the curve: capacity leaves 0, and capacity first covers the required torque.

    Args:
        pack: a pack with a centrifugal clamp.
        engine: the engine.
        state: lubrication, friction, wear and radius.
        up_to_rpm: last crank speed looked at [r/min].

    Returns:
        Bite in r/min at the crank.

    Range: as `speed_curve`; the engagement speed to a thousandth of the range.
    Source: n m r ω²/tan α = F_return.
    """
    curve = speed_curve(pack, engine, state, up_to_rpm, 1001)
    if curve is None:
        return Bite(None, None, "Not known: a figure of the pack or the engine is missing.")
    biting = np.flatnonzero(curve.capacity > 0.0)
    if biting.size == 0:
        return Bite(
            None, None, f"The weights never beat the return force up to {up_to_rpm:.0f} r/min."
        )
    start = float(curve.speed[biting[0]])
    holding = np.flatnonzero(curve.capacity >= curve.required)
    if holding.size == 0:
        return Bite(
            start,
            None,
            f"It bites at {start:.0f} r/min and slips at full throttle up to "
            f"{up_to_rpm:.0f} r/min.",
        )
    first = int(holding[0])
    stall = float(curve.speed[first])
    if first > 0:
        # Both curves are close to straight over one step.
        gap = curve.capacity - curve.required
        part = -gap[first - 1] / (gap[first] - gap[first - 1])
        stall = float(curve.speed[first - 1] + part * (curve.speed[first] - curve.speed[first - 1]))
    return Bite(
        start,
        stall,
        f"It bites at {start:.0f} r/min and holds full throttle from "
        f"{stall:.0f} r/min on, the speed at which it stalls the engine.",
    )
