"""Clamp load, radius and slip torque of a pack as it is tested, with some of its springs fitted."""

import math
from dataclasses import dataclass, replace

import numpy as np

from app.comparison.cell import Reading
from app.comparison.run import Side
from app.mechanics import doubt
from app.mechanics.inputs import CoilClamp, PackInputs, State
from app.mechanics.sides import pack_side
from app.mechanics.stack import stack_packs
from app.mechanics.traced import Traced

# Positions of a ring that a bench is ever asked about; the search for balance grows fast.
MOST_POSITIONS = 16


@dataclass(frozen=True, slots=True)
class SlipLoad:
    """Clamp load [N], working faces [count], effective radius [mm], slip torque [N·m].

    A figure that lacks an input is None; the torque also where the friction is not known.
    """

    clamp_n: float | None
    surfaces: int | None
    effective_radius_mm: float | None
    predicted: Reading | None


def ring_positions(pack: PackInputs) -> int | None:
    """Positions of the ring of springs [count], where every group has one spring in each.

    Args:
        pack: the pack.

    Returns:
        The positions [count]; None where springs can't be left out one position at a time.

    Range: up to 16 positions.
    Source: our rule; nested springs share their position.
    """
    if not isinstance(pack.clamp, CoilClamp):
        return None
    counts = {group.count for group in pack.clamp.springs if group.count}
    if len(counts) != 1:
        return None
    (count,) = counts
    return count if count is not None and count <= MOST_POSITIONS else None


def with_springs(pack: PackInputs, springs: int) -> PackInputs:
    """The pack with so many springs fitted in each group.

    Args:
        pack: the pack.
        springs: springs fitted [count].

    Returns:
        The pack; unchanged where its clamp has no coil springs.

    Range: at least one spring.
    Source: definition.
    """
    if not isinstance(pack.clamp, CoilClamp):
        return pack
    fitted = tuple(replace(group, count=springs) for group in pack.clamp.springs)
    return replace(pack, clamp=CoilClamp(fitted))


def slip_load(pack: PackInputs, state: State, weights_rpm: float | None = None) -> SlipLoad:
    """What a pack does on the bench in one state: F, z, R and T = μ z F R with its 95 % interval.

    Args:
        pack: the pack with the springs that are fitted, its friction filled in from the table.
        state: the state of the test.
        weights_rpm: speed of the shaft that carries weights [r/min]; None: not known.

    Returns:
        SlipLoad in N, mm and N·m; None in it for what is not known.

    Range: that of the functions it calls.
    Source: app.mechanics.sides, app.mechanics.doubt.
    """
    speed = None if weights_rpm is None else Traced([[weights_rpm]])
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        sheet = stack_packs([pack], state)
        side = pack_side(sheet, state, speed)
        torque = Side.of(side.capacity, sheet.columns)
        low, high = doubt.interval(torque.value, torque.cumulants)
    surfaces = _known(float(sheet.surfaces[0, 0]))
    value = _known(float(torque.value[0]))
    predicted = None
    if value is not None:
        std = value * math.sqrt(float(torque.relative_variance[0]))
        predicted = Reading(value, std, float(low[0]), float(high[0]))
    return SlipLoad(
        _known(float(side.clamp.value[0, 0])),
        None if surfaces is None else round(surfaces),
        _known(float(side.radius.value[0, 0])),
        predicted,
    )


def _known(figure: float) -> float | None:
    return figure if math.isfinite(figure) else None
