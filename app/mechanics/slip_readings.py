"""Readings of slip tests: values, spans and bounds, and how they enter a likelihood."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.errors import BadInput, Problem
from app.mechanics.censored import Responses
from app.mechanics.traced import Array


@dataclass(frozen=True, slots=True)
class SlipReading:
    """A torque [N·m]: low = high for a value, 0 and inf for the open end of a bound."""

    low_nm: float
    high_nm: float

    @property
    def exact(self) -> bool:
        """Whether it is a value."""
        return self.low_nm == self.high_nm

    @property
    def middle_nm(self) -> float | None:
        """The value, or the geometric middle of a span; None for a bound."""
        if self.low_nm <= 0.0 or math.isinf(self.high_nm):
            return None
        return math.sqrt(self.low_nm * self.high_nm)


@dataclass(frozen=True, slots=True)
class SlipRun:
    """One run: clamp load [N], faces, effective radius [mm] and its readings."""

    clamp_n: float
    surfaces: int
    effective_radius_mm: float
    readings: tuple[SlipReading, ...]

    @property
    def torque_per_friction(self) -> float:
        """Z F Re/1000: the torque at μ = 1 [N·m]."""
        return self.surfaces * self.clamp_n * self.effective_radius_mm / 1000.0


@dataclass(frozen=True, eq=False)
class SlipData:
    """Readings of all runs: ln T as responses, ln(z F Re/1000), ln(F/F_ref), run index."""

    responses: Responses
    offset: Array
    log_clamp: Array
    clamp: Array
    run: NDArray[np.intp]
    reference: float

    @property
    def count(self) -> int:
        """Number of readings."""
        return int(self.responses.weight.sum())


def collect(runs: Sequence[SlipRun]) -> SlipData:
    """All readings as responses; the values of one run become two points that say as much.

    n values with mean m and deviation s have the likelihood of n/2 at m − s and n/2 at m + s, so a
    long log costs no more than a short one. Spans and bounds alike count by weight.

    Args:
        runs: the runs, torques in N·m, loads in N, radii in mm.

    Returns:
        SlipData; logarithms [1].

    Errors: BadInput without a single reading.
    Range: positive loads and torques.
    Source: mean and deviation are sufficient for a normal sample.
    """
    seen: dict[tuple[int, float, float], float] = {}
    for i, run in enumerate(runs):
        values = np.log([r.low_nm for r in run.readings if r.exact])
        if values.size > 2 and (spread := float(values.std())) > 0.0:
            for y in (float(values.mean()) - spread, float(values.mean()) + spread):
                seen[i, y, y] = seen.get((i, y, y), 0.0) + values.size / 2.0
        else:
            for y in map(float, values):
                seen[i, y, y] = seen.get((i, y, y), 0.0) + 1.0
        for reading in run.readings:
            if not reading.exact:
                key = (i, _log(reading.low_nm), _log(reading.high_nm))
                seen[key] = seen.get(key, 0.0) + 1.0
    if not seen:
        raise BadInput([Problem("runs", "Give at least one run with a reading.")])
    index = np.array([key[0] for key in seen])
    weight = np.array(list(seen.values()))
    low, high = (np.array([key[n] for key in seen]) for n in (1, 2))
    clamp = np.array([runs[i].clamp_n for i in index])
    reference = float(np.exp(np.average(np.log(clamp), weights=weight)))
    return SlipData(
        Responses(low, high, weight),
        np.log(np.array([runs[i].torque_per_friction for i in index])),
        np.log(clamp / reference), clamp, index, reference,
    )


def _log(torque_nm: float) -> float:
    return -math.inf if torque_nm <= 0.0 else math.log(torque_nm)
