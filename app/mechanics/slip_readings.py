"""Readings of slip tests: values, spans and bounds, and how they enter a likelihood."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.errors import BadInput, Problem
from app.mechanics.censored import Responses
from app.mechanics.traced import Array

MOST_DISTINCT = 5_000
"""Readings that differ, most in one fit: some seconds of work. Values of one run count as two."""

LEAST_TORQUE_NM = 1e-9
"""A smaller torque is a slip of the pen, and its logarithm leads nowhere."""

# No gauge shows a span that narrow; it is a value.
_NARROW = 1e-9


@dataclass(frozen=True, slots=True)
class SlipReading:
    """A torque [N·m]: low = high for a value, 0 and inf for the open end of a bound."""

    low_nm: float
    high_nm: float

    @property
    def exact(self) -> bool:
        """Whether it is a value."""
        return self.low_nm > 0.0 and self.high_nm <= self.low_nm * (1.0 + _NARROW)

    @property
    def middle_nm(self) -> float | None:
        """The value, or the geometric middle of a span; None for a bound."""
        if self.low_nm <= 0.0 or math.isinf(self.high_nm):
            return None
        return math.sqrt(self.low_nm * self.high_nm)


@dataclass(frozen=True, slots=True)
class SlipRun:
    """One run: clamp load [N], faces, effective radius [mm], its readings, their instrument.

    A run that is left out of a fit keeps its place, without its readings. `relative_accuracy` is
    the limit of the instrument's error as a share of its reading [1]; None: not known.
    """

    clamp_n: float
    surfaces: int
    effective_radius_mm: float
    readings: tuple[SlipReading, ...]
    instrument: str = ""
    relative_accuracy: float | None = None

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

    Errors: BadInput without a single reading, with over 5000 that differ, or with a torque or
        a torque at μ = 1 below 1e-9 N·m.
    Range: positive loads and torques.
    Source: mean and deviation are sufficient for a normal sample.
    """
    problems = list(_too_small(runs))
    if problems:
        raise BadInput(problems)
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
    if len(seen) > MOST_DISTINCT:
        raise BadInput([Problem("runs", f"Of these readings {len(seen)} differ; fit {MOST_DISTINCT}"
                                " at most at once. Leave runs out, or round the spans and bounds "
                                "as the gauge shows them.")])
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


def _too_small(runs: Sequence[SlipRun]) -> Iterator[Problem]:
    for i, run in enumerate(runs):
        if run.readings and not run.torque_per_friction >= LEAST_TORQUE_NM:
            yield Problem(f"runs.{i}.clamp_n", "Write the clamp load in N and the radius in mm: "
                          "with these the torque is next to nothing at any friction.")
        for place, reading in enumerate(run.readings):
            if reading.high_nm < LEAST_TORQUE_NM or 0.0 < reading.low_nm < LEAST_TORQUE_NM:
                yield Problem(f"runs.{i}.readings.{place}",
                              f"Write a torque of {LEAST_TORQUE_NM:g} N·m or above.")


def _log(torque_nm: float) -> float:
    return -math.inf if torque_nm <= 0.0 else math.log(torque_nm)
