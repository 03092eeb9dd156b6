"""Slip tests of known laws for the tests; all made up."""

import math
from collections.abc import Callable, Sequence

import numpy as np

from app.mechanics.slip_readings import SlipReading, SlipRun

INFINITE = math.inf
FACES, RADIUS = 12, 50.0
PER_FRICTION = FACES * RADIUS / 1000.0
"""Torque at μ = 1 per newton of clamp [N·m/N]."""


def value(torque: float) -> SlipReading:
    return SlipReading(torque, torque)


def at_least(torque: float) -> SlipReading:
    return SlipReading(torque, INFINITE)


def at_most(torque: float) -> SlipReading:
    return SlipReading(0.0, torque)


def run(clamp: float, *readings: SlipReading | float) -> SlipRun:
    """A run; a bare number is a value."""
    return SlipRun(clamp, FACES, RADIUS, tuple(
        r if isinstance(r, SlipReading) else value(r) for r in readings))


def simulated(
    law: Callable[[float], float], clamps: Sequence[float], each: int, scatter: float, seed: int
) -> list[SlipRun]:
    """Runs whose ln T is normal about that of a law, one run a clamp load."""
    random = np.random.default_rng(seed)
    return [run(f, *(law(f) * np.exp(scatter * random.standard_normal(each)))) for f in clamps]
