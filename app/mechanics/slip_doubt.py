"""The doubt of a fitted μ: what the readings scatter, and what is common to all of one gauge.

A gauge that reads 2 % high reads so every time. That error does not shrink with the number of
readings and can't be seen in their scatter, so it is added to the μ that a board goes on with.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.errors import BadInput, Problem
from app.mechanics.censored import fit_censored
from app.mechanics.slip_laws import Estimate, LawFit, exponential
from app.mechanics.slip_readings import SlipData, SlipRun

RUNS_FOR_SPREAD = 3
"""Run means tell of the spread between runs from this many runs on; before, σ stands in."""

MOST_GAUGES = 100
"""Gauges of one fit: each costs two fits more."""

_Z_95 = 1.959964


@dataclass(frozen=True, slots=True)
class GaugeShare:
    """One instrument of a fit.

    Attributes:
        instrument: its name; "" where none was said.
        relative_accuracy: limit of its error as a share of the reading [1]; None: not known.
        weight: by how much ln μ moves with ln of all its readings [1]; all gauges' add to 1.
    """

    instrument: str
    relative_accuracy: float | None
    weight: float


@dataclass(frozen=True, slots=True)
class MuDoubt:
    """Relative standard uncertainties of the μ for the comparison [1].

    Attributes:
        scatter: of the readings and between the runs.
        gauge: of the gauges' own errors, common to all readings of each.
        gauges: the instruments, in the order of the runs.
    """

    scatter: float
    gauge: float
    gauges: tuple[GaugeShare, ...]

    @property
    def together(self) -> float:
        """Both in quadrature."""
        return math.hypot(self.scatter, self.gauge)


def mu_doubt(law: LawFit, runs: Sequence[SlipRun], data: SlipData) -> MuDoubt | None:
    """Doubt of the proportional law's μ: u(ln μ)² = s_fit² + s_run² + Σ (w_k a_k/√3)².

    s_fit is the fit's standard error, s_run the deviation of the run means (σ before there are
    three), a_k the limit of gauge k's error as a share of its reading, w_k the change of ln μ
    with ln of all that gauge's readings. One gauge for all has w = 1. Between gauges the errors
    show in s_run a second time, which errs on the safe side.

    Args:
        law: the proportional law as it was fitted.
        runs: the runs, torques in N·m.
        data: the same runs as responses.

    Returns:
        MuDoubt [1]; None where the readings show no scatter.

    Errors: BadInput for over 100 gauges.
    Range: 0 ≤ a < 1. A gauge whose accuracy is not known adds nothing, and has None in its share.
    Source: JCGM 100:2008, 4.3.7 (limits) and 5.1.3, note 2 (weights by trying); the split into
        readings, runs and gauge is ours.
    """
    if law.sigma is None or law.mu.std is None:
        return None
    gauges = _gauges(runs, data)
    terms = [g.weight * (g.relative_accuracy or 0.0) / math.sqrt(3.0) for g in gauges]
    scatter = math.hypot(law.mu.std / law.mu.value, _spread(law.sigma, runs))
    return MuDoubt(scatter, math.hypot(*terms), gauges)


def mu_for_comparison(law: LawFit, doubt: MuDoubt | None) -> Estimate | None:
    """μ of the proportional law with its whole doubt; 95 % interval μ exp(±1.96 u).

    Args:
        law: the proportional law as it was fitted.
        doubt: its doubt.

    Returns:
        Estimate of μ [1]; None without a doubt.

    Range: u small enough that ln μ is near normal.
    Source: JCGM 100:2008, 6.3.
    """
    if doubt is None:
        return None
    mu, u = law.mu.value, doubt.together
    reach, log_mu = _Z_95 * u, math.log(mu)
    return Estimate(mu, mu * u, math.exp(log_mu - reach), exponential(log_mu + reach))


def _spread(sigma: float, runs: Sequence[SlipRun]) -> float:
    means = []
    for run in runs:
        middles = [m for r in run.readings if (m := r.middle_nm) is not None]
        if middles:
            logs = [math.log(m / run.torque_per_friction) for m in middles]
            means.append(sum(logs) / len(logs))
    return sigma if len(means) < RUNS_FOR_SPREAD else float(np.std(means, ddof=1))


def _gauges(runs: Sequence[SlipRun], data: SlipData) -> tuple[GaugeShare, ...]:
    """The instruments whose readings are in the fit, with their weights."""
    known: dict[object, list[int]] = {}
    for i in sorted({int(i) for i in data.run}):
        # Runs of no named gauge share one where they have the same accuracy.
        key = runs[i].instrument or ("", runs[i].relative_accuracy)
        known.setdefault(key, []).append(i)
    if len(known) > MOST_GAUGES:
        told = f"These runs name {len(known)} instruments; fit {MOST_GAUGES} at most at once."
        raise BadInput([Problem("runs", told)])
    found = []
    for own in known.values():
        limits = [a for i in own if (a := runs[i].relative_accuracy) is not None]
        accuracy = max(limits, default=None)
        weight = 1.0 if len(known) == 1 else _weight(data, own, accuracy)
        found.append(GaugeShare(runs[own[0]].instrument, accuracy, weight))
    return tuple(found)


def _weight(data: SlipData, runs: Sequence[int], accuracy: float | None) -> float:
    """Change of ln μ with ln of the readings of some runs, by a step of their own doubt."""
    step = max((accuracy or 0.0) / math.sqrt(3.0), 1e-3)
    moved = np.where(np.isin(data.run, list(runs)), step, 0.0)
    design = np.ones((data.offset.size, 1))
    up, down = (
        float(fit_censored(design, data.responses.shifted(data.offset - way * moved)).beta[0])
        for way in (1.0, -1.0)
    )
    return (up - down) / (2.0 * step)
