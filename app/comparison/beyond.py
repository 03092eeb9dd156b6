"""What a cell's torque figure leaves open, worked out together: checks, wear, speed, changes."""

import math
from dataclasses import dataclass

import numpy as np

from app.comparison.changes import Option, changes
from app.comparison.check import Check
from app.comparison.checks import checks
from app.comparison.disc_curve import DiscCurve, disc_curve
from app.comparison.run import Comparison, compare
from app.comparison.speed_curve import Bite, SpeedCurve, bite, speed_curve
from app.comparison.wear import WearCurve, WearReserve, wear_curve, wear_reserve
from app.mechanics.derived import peak_speed
from app.mechanics.inputs import (
    CentrifugalClamp,
    CurveTorque,
    EngineInputs,
    PackInputs,
    PowerTorque,
    State,
)

USUAL_TARGET = 1.2
"""Least ratio that changes are solved for unless another is asked for; our choice."""

HEAVY_TARGET = 1.5
"""The same where a pack is far stronger than it need be; our choice."""

USUAL_WEAR_MM, USUAL_TOP_RPM = 1.5, 10_000.0


@dataclass(frozen=True)
class Beyond:
    """Everything beside the torque of one cell; None where it can't be told or has no meaning."""

    checks: tuple[Check, ...]
    curve: WearCurve | None
    reserve: WearReserve
    required_nm: float | None
    limit_mm: float | None
    speed: SpeedCurve | None
    bite: Bite | None
    disc: DiscCurve | None
    ratio: float | None
    target: float
    options: tuple[Option, ...]


def beyond(
    pack: PackInputs, engine: EngineInputs, state: State, target_ratio: float | None = None,
    heavy: bool = False,
) -> Beyond:
    """Work out what a cell's torque leaves open.

    Args:
        pack: the pack.
        engine: the engine.
        state: the state of the comparison.
        target_ratio: wanted ratio of the changes [1]; None: the usual one.
        heavy: whether the pack is called heavy, which asks for less.

    Returns:
        Beyond, lengths in mm, torques in N·m, speeds in r/min.

    Errors: BadInput when the wanted ratio is not positive.
    Range: any records.
    Source: app.comparison.checks, wear, speed_curve, disc_curve, changes.
    """
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        board = compare([pack], [engine], state)
        required = float(board.required[0, 0])
    limit = None if pack.stack_wear_limit_mm is None else pack.stack_wear_limit_mm.value
    reserve = wear_reserve(pack, engine, state)
    curve = wear_curve(pack, state, _last_wear(limit, reserve), engine=engine)
    target = target_ratio or (HEAVY_TARGET if heavy else _holding_target(board))
    speed = found = None
    if isinstance(pack.clamp, CentrifugalClamp):
        top = _top_speed(engine)
        speed, found = speed_curve(pack, engine, state, top), bite(pack, engine, state, top)
    return Beyond(
        checks=tuple(checks(pack, engine, state)),
        curve=curve if np.any(np.isfinite(curve.capacity)) else None,
        reserve=reserve,
        required_nm=None if math.isnan(required) else required,
        limit_mm=limit,
        speed=speed,
        bite=found,
        disc=disc_curve(pack),
        ratio=None if math.isnan(board.ratio[0, 0]) else float(board.ratio[0, 0]),
        target=target,
        options=tuple(changes(pack, engine, state, target)),
    )


def _holding_target(board: Comparison) -> float:
    """The ratio whose interval would begin at 1, as wide in proportion as it is now.

    Rounded up to hundredths: a nominal ratio of 1 would only be tight.
    """
    ratio, low = float(board.ratio[0, 0]), float(board.low[0, 0])
    if not (math.isfinite(ratio) and math.isfinite(low) and low > 0.0):
        return USUAL_TARGET
    return max(USUAL_TARGET, math.ceil(100.0 * ratio / low) / 100.0)


def _last_wear(limit: float | None, reserve: WearReserve) -> float:
    """How far the wear is drawn: past the limit and the wear that uses up the margin."""
    ends = [w for w in (limit, reserve.at_margin_gone) if w]
    return 1.25 * max(ends) if ends else USUAL_WEAR_MM


def _top_speed(engine: EngineInputs) -> float:
    """How far speed is drawn: a fifth beyond the last speed that the record names."""
    torque = engine.torque
    if isinstance(torque, CurveTorque) and torque.points:
        return 1.2 * max(speed for speed, _ in torque.points)
    speed = peak_speed(engine)
    if not math.isnan(speed):
        return 1.2 * speed
    stated = getattr(torque, "speed_rpm", None)
    if stated is not None:
        return (1.2 if isinstance(torque, PowerTorque) else 1.5) * float(stated.value)
    return USUAL_TOP_RPM
