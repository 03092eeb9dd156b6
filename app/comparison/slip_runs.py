"""A team's own slip tests of one pack: the load of each run, measured against predicted, the fit.

A run on fewer than three springs, or on a number that can't sit evenly, is left out unless it is
asked for: its pressure plate can tilt, and then the reading tells little of the friction.
"""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from app.comparison.cell import Reading
from app.comparison.slip_load import SlipLoad, ring_positions, slip_load, with_springs
from app.errors import BadInput
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import CentrifugalClamp, CoilClamp, PackInputs, State
from app.mechanics.missing import missing_in_pack
from app.mechanics.slip_laws import LawFit, LawName
from app.mechanics.slip_readings import SlipReading, SlipRun
from app.mechanics.slip_test import FrictionFit, fit_friction
from app.mechanics.spring_checks import balanced_counts

LEAST_SPRINGS = 3
_NO_RUN = SlipRun(1.0, 1, 1.0, ())


@dataclass(frozen=True, slots=True)
class BenchRun:
    """One run as it was logged: readings [N·m], springs fitted, the instrument's limits."""

    key: str
    readings: tuple[SlipReading, ...]
    springs_fitted: int | None = None
    speed_rpm: float | None = None
    wear_mm: float = 0.0
    excluded_reason: str | None = None
    relative_accuracy: float | None = None
    resolution_nm: float | None = None
    instrument: str = ""


@dataclass(frozen=True, slots=True)
class RunLoad:
    """One run with its load; `why_out` says why it is left out unless it is asked for.

    Attributes:
        run: as it was logged.
        springs: fitted [count]; None for a clamp without springs to leave out.
        load: clamp load, faces, radius and predicted torque.
        lacking: paths of what the pack lacks for the clamp load.
        why_out: "" for a run that is taken.
        possible: whether it can be taken in at all.
    """

    run: BenchRun
    springs: int | None
    load: SlipLoad
    lacking: tuple[str, ...]
    why_out: str
    possible: bool

    @property
    def excluded(self) -> bool:
        """Whether the tester left it out, with a reason."""
        return self.run.excluded_reason is not None


@dataclass(frozen=True, slots=True)
class Measured:
    """Mean of a run's values and spans [N·m] with its standard uncertainty.

    Attributes:
        value: mean of the values, spans by their middle.
        std: from their scatter, the spans' widths and the instrument's limits.
        spread: standard deviation of the values; None for fewer than two.
        values: how many.
        bounds: readings that are bounds and not in the mean.
    """

    value: float
    std: float
    spread: float | None
    values: int
    bounds: int


@dataclass(frozen=True, slots=True)
class Compared:
    """Measured less predicted [N·m], and in combined standard uncertainties [1]."""

    difference_nm: float
    combined_std_nm: float
    in_uncertainties: float | None


@dataclass(frozen=True)
class PackFit:
    """The fit of the runs that are taken, and the one of every run that has a clamp load.

    A fit that the readings do not allow is None, with the reason in words.
    """

    loads: tuple[RunLoad, ...]
    taken: tuple[bool, ...]
    fit: FrictionFit | None
    refusal: str
    whole: FrictionFit | None
    whole_refusal: str


def run_load(pack: PackInputs, state: State, run: BenchRun) -> RunLoad:
    """The load of one run, F = springs fitted / positions of the pack's, and its prediction.

    Args:
        pack: the pack; its friction is filled in from the table where it has none of its own.
        state: lubrication, kind of friction and radius model; wear and speed are the run's.
        run: the run; its speed [r/min] is taken as that of a shaft that carries weights.

    Returns:
        RunLoad with loads [N], lengths [mm] and torques [N·m].

    Range: springs of one ring, 16 positions at most.
    Source: springs in parallel; balance: app.mechanics.spring_checks.
    """
    state = replace(state, wear_mm=run.wear_mm, speed_rpm=run.speed_rpm)
    pack = with_friction(pack, state.lubrication, state.friction)
    own = f"pack.friction.{state.lubrication}.{state.friction}"
    lacking = tuple(path for path in missing_in_pack(pack, state) if path != own)
    positions = ring_positions(pack)
    springs = run.springs_fitted or positions if positions is not None else None
    impossible = _impossible(pack, run, positions, lacking)
    if springs is not None and not impossible:
        pack = with_springs(pack, springs)
    weights = run.speed_rpm or None if isinstance(pack.clamp, CentrifugalClamp) else None
    load = slip_load(pack, state, weights)
    if not impossible and not load.clamp_n:
        impossible = "The clamp load of this run can't be worked out."
    if impossible:
        load = SlipLoad(None, None, None, None)
    why = impossible or _why_out(run, springs, positions)
    return RunLoad(run, springs, load, lacking, why, not impossible)


def _impossible(
    pack: PackInputs, run: BenchRun, positions: int | None, lacking: Sequence[str]
) -> str:
    if lacking:
        return "The pack lacks figures for its clamp load."
    if positions is not None and (run.springs_fitted or 0) > positions:
        return f"{run.springs_fitted} springs were fitted, but the pack has {positions} positions."
    if positions is None and isinstance(pack.clamp, CoilClamp) and run.springs_fitted is not None:
        whole = sum(group.count or 0 for group in pack.clamp.springs)
        if run.springs_fitted != whole:
            return ("Its groups have different numbers of springs, so which ones were left out "
                    "is not known.")
    if isinstance(pack.clamp, CentrifugalClamp) and not run.speed_rpm:
        return "Weights do not press at rest: the run needs its speed."
    return ""


def _why_out(run: BenchRun, springs: int | None, positions: int | None) -> str:
    if run.excluded_reason is not None:
        return run.excluded_reason
    if springs is None or positions is None or springs in balanced_counts(positions):
        return ""
    if springs < LEAST_SPRINGS:
        return f"{_springs(springs)}: fewer than three let the pressure plate tilt."
    return f"{_springs(springs)} of {positions} can't sit evenly, so the pressure plate can tilt."


def _springs(count: int) -> str:
    return "1 spring" if count == 1 else f"{count} springs"


def measured(run: BenchRun) -> Measured | None:
    """Mean of a run's values with u² = s²/n + Σ(w²/3)/n² + (a T)²/3 + r²/12.

    s is the scatter of n values, w the half-width of a span, a the instrument's limit as a share,
    r its resolution.

    Args:
        run: the run, torques in N·m.

    Returns:
        Measured [N·m]; None where every reading is a bound.

    Range: a bound says nothing of a mean and stays out of it.
    Source: JCGM 100:2008, 4.2.3 and 4.3.7.
    """
    known = [r for r in run.readings if r.middle_nm is not None]
    if not known:
        return None
    n = len(known)
    middles = [0.5 * (r.low_nm + r.high_nm) for r in known]
    mean = math.fsum(middles) / n
    spread = None
    if n > 1:
        spread = math.sqrt(math.fsum((m - mean) ** 2 for m in middles) / (n - 1))
    widths = math.fsum((0.5 * (r.high_nm - r.low_nm)) ** 2 / 3.0 for r in known) / (n * n)
    scale = ((run.relative_accuracy or 0.0) * mean) ** 2 / 3.0
    step = (run.resolution_nm or 0.0) ** 2 / 12.0
    std = math.sqrt((spread or 0.0) ** 2 / n + widths + scale + step)
    return Measured(mean, std, spread, n, len(run.readings) - n)


def against_prediction(found: Measured | None, predicted: Reading | None) -> Compared | None:
    """Measured less predicted, d = T_m − T_p, and d/√(u_m² + u_p²).

    Args:
        found: the run's mean [N·m].
        predicted: the computed torque [N·m].

    Returns:
        Compared [N·m]; None where one of the two is not known.

    Range: the two must be independent; a prediction fitted to the same run is not.
    Source: JCGM 100:2008, 5.1.2.
    """
    if found is None or predicted is None:
        return None
    difference = found.value - predicted.value
    combined = math.hypot(found.std, predicted.std)
    return Compared(difference, combined, difference / combined if combined > 0.0 else None)


def law_torque(
    law: LawFit, clamp_n: float, torque_per_newton: float, reference_clamp_n: float
) -> float:
    """Slip torque of a fitted law at one clamp load.

    T = μ c F; T = μ c F_ref (F/F_ref)^p; T = μ c (F − F_loss), with c = z Re/1000.

    Args:
        law: the fitted law.
        clamp_n: clamp load F [N].
        torque_per_newton: c, torque at μ = 1 and F = 1 N [N·m/N].
        reference_clamp_n: F_ref of the fit [N].

    Returns:
        T [N·m], 0 below a lost load.

    Range: F ≥ 0.
    Source: app.mechanics.slip_test.
    """
    level = law.mu.value * torque_per_newton
    if law.exponent is not None:
        share = clamp_n / reference_clamp_n
        return level * reference_clamp_n * float(share**law.exponent.value)
    if law.lost_load_n is not None:
        return level * max(clamp_n - law.lost_load_n.value, 0.0)
    return level * clamp_n


def fit_pack(
    loads: Sequence[RunLoad], taken_in: Collection[str], law: LawName | Literal["auto"]
) -> PackFit:
    """Fit the friction to the runs of one pack, with and without those that are left out.

    Args:
        loads: every run of one lubrication state and kind of friction [N, mm, N·m].
        taken_in: keys of runs to take although they would be left out.
        law: the law to fit.

    Returns:
        PackFit; both fits keep every run's place.

    Range: as `fit_friction`.
    Source: `fit_friction`.
    """
    taken = tuple(
        load.possible and (not load.why_out or load.run.key in taken_in) for load in loads
    )
    fit, refusal = _fitted([_slip_run(x, t) for x, t in zip(loads, taken, strict=True)], law)
    whole, whole_refusal = _fitted([_slip_run(x, x.possible) for x in loads], law)
    return PackFit(tuple(loads), taken, fit, refusal, whole, whole_refusal)


def _slip_run(load: RunLoad, taken: bool) -> SlipRun:
    f = load.load
    if f.clamp_n is None or f.surfaces is None or f.effective_radius_mm is None:
        return _NO_RUN
    readings = load.run.readings if taken else ()
    return SlipRun(f.clamp_n, f.surfaces, f.effective_radius_mm, readings,
                   load.run.instrument, load.run.relative_accuracy)


def _fitted(
    runs: Sequence[SlipRun], law: LawName | Literal["auto"]
) -> tuple[FrictionFit | None, str]:
    if not any(run.readings for run in runs):
        return None, "No run is taken, so there is nothing to fit."
    try:
        return fit_friction(runs, law), ""
    except BadInput as refusal:
        return None, refusal.message
