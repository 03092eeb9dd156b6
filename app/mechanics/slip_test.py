"""Friction from a team's own slip tests: values, spans and bounds under three laws.

ln T = ln(μ z Re) + p ln(F/F_ref) + ln F_ref + ε, ε ~ N(0, σ²), T in N·m, F in N, Re in mm with
the factor 1000 between N·mm and N·m. F_ref is the geometric mean of the clamp loads.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from app.errors import BadInput, Problem
from app.mechanics.slip_doubt import MuDoubt, mu_doubt, mu_for_comparison
from app.mechanics.slip_laws import (
    LAWS,
    Estimate,
    LawFit,
    LawName,
    aicc_penalty,
    lost_load,
    power,
    proportional,
)
from app.mechanics.slip_readings import SlipData, SlipRun, collect
from app.mechanics.traced import Array

# Intervals by likelihood hold 95 % of the time only with many readings: 85 % with 3, 92 % with 8.
FEW_READINGS = 10
UNLIKELY = 0.05
"""From so small a chance on, a departure from the proportional law is told."""

_OTHER_LAWS: tuple[tuple[LawName, Callable[[SlipData], LawFit | None], str], ...] = (
    ("power", power, "the values lie at clamp loads too close together"),
    ("lost_load", lost_load, "no one lost load below the least clamp load fits best"),
)


@dataclass(frozen=True, slots=True)
class Residual:
    """ln of a reading over its prediction [1], by run and place; None in it for a bound."""

    run: int
    place: int
    value: float | None


@dataclass(frozen=True)
class FrictionFit:
    """The answer: the law taken, all laws tried, what they say in words.

    mu_for_comparison is that of the proportional law with the spread between runs and the gauges'
    own error added; `doubt` has the parts of its doubt.
    """

    fit: LawFit
    compared: tuple[LawFit, ...]
    not_fitted: tuple[tuple[LawName, str], ...]
    p_proportional: float | None
    mu_for_comparison: Estimate | None
    doubt: MuDoubt | None
    residuals: tuple[Residual, ...]
    readings: int
    exact: int
    levels: int
    reference_clamp_n: float
    words: tuple[str, ...]


def fit_friction(
    runs: Sequence[SlipRun], law: LawName | Literal["auto"] = "auto"
) -> FrictionFit:
    """Fit the friction coefficient to slip tests.

    Proportional T = μ z F Re; power T = μ z Re F_ref (F/F_ref)^p; lost load
    T = μ z Re (F − F_loss). Maximum likelihood, 95 % intervals by profile likelihood, laws
    compared by AICc and by a likelihood-ratio test of p = 1.

    Args:
        runs: the runs, torques in N·m, loads in N, radii in mm.
        law: the law asked for; "auto" takes the one with the least AICc.

    Returns:
        FrictionFit; μ is [1], a lost load in N.

    Errors: BadInput when no reading is exact, or when the law asked for can't be told from these
        readings; the sentence says what to measure.
    Range: positive loads and torques.
    Source: maximum likelihood for values, spans and bounds: app.mechanics.censored; AICc: Burnham
        & Anderson, Model Selection and Multimodel Inference, 2nd ed., 2.4.
    """
    data = collect(runs)
    exact = int(data.responses.weight[data.responses.exact].sum())
    if exact == 0:
        raise BadInput([Problem("runs", _only_bounds(runs))])
    levels = len({round(run.clamp_n, 9) for run in runs if run.readings})
    fits: dict[LawName, LawFit] = {"proportional": proportional(data)}
    refused: dict[LawName, str] = {}
    reason = _why_one_law(data, fits["proportional"], levels, exact)
    for name, fit_law, no_top in _OTHER_LAWS:
        fitted = fit_law(data) if reason is None else None
        if fitted is None:
            refused[name] = reason or no_top
        else:
            fits[name] = fitted
    if law != "auto" and law not in fits:
        raise BadInput([Problem("law", f"The {law.replace('_', '-')} law can't be fitted here: "
                                f"{refused[law]}.")])
    chosen = fits[law] if law != "auto" else _best(fits, data.count)
    p = _p_proportional(fits)
    predicted = _prediction(chosen, data)
    doubt = mu_doubt(fits["proportional"], runs, data)
    return FrictionFit(
        fit=chosen,
        compared=tuple(fits[name] for name in LAWS if name in fits),
        not_fitted=tuple(refused.items()),
        p_proportional=p,
        mu_for_comparison=mu_for_comparison(fits["proportional"], doubt),
        doubt=doubt,
        residuals=_residuals(runs, predicted, data),
        readings=data.count, exact=exact, levels=levels, reference_clamp_n=data.reference,
        words=tuple(_words(chosen, fits, p, refused, data.count, exact)),
    )


def _only_bounds(runs: Sequence[SlipRun]) -> str:
    """What readings without a single value still say of μ."""
    least = max((r.low_nm / run.torque_per_friction for run in runs for r in run.readings),
                default=0.0)
    most = min((r.high_nm / run.torque_per_friction for run in runs for r in run.readings),
               default=math.inf)
    said = []
    if least > 0.0:
        said.append(f"at least {least:.3g}")
    if not math.isinf(most):
        said.append(f"at most {most:.3g}")
    if least > most:
        return (f"No reading is a value, and the bounds contradict each other (μ {said[0]} and "
                f"{said[1]}). Check the gauge, and add a reading that is a value.")
    return (f"No reading is a value: they only say that μ is {' and '.join(said)}. Add at least "
            "one reading that the gauge could show.")


def _why_one_law(data: SlipData, first: LawFit, levels: int, exact: int) -> str | None:
    """Why only the proportional law can be fitted, or None when the others can be too."""
    if levels < 2:
        return ("all readings are at one clamp load; only a second one tells whether torque goes "
                "with it")
    held = data.responses.exact
    if len({round(float(c), 9) for c in data.clamp[held]}) < 2:
        return "values were read at one clamp load only; get a value at a second one"
    if exact < 3:
        return "two values always lie on some such curve; take a third"
    if first.sigma is None:
        return "the readings show no scatter, so no law can be told from another"
    return None


def _best(fits: dict[LawName, LawFit], count: int) -> LawFit:
    """The law of least AICc; one that leaves no scatter has, in the limit, the least of all."""
    if any(aicc_penalty(name, count) is None for name in fits):
        return fits["proportional"]
    return min(fits.values(), key=lambda f: -math.inf if f.aicc is None else f.aicc)


def _p_proportional(fits: dict[LawName, LawFit]) -> float | None:
    """Chance of so large a gain in likelihood if p were 1 (Wilks)."""
    if "power" not in fits:
        return None
    one, two = fits["proportional"].log_likelihood, fits["power"].log_likelihood
    if one is None or two is None:
        return None
    # Survival of χ² with one degree of freedom.
    return math.erfc(math.sqrt(max(two - one, 0.0)))


def _prediction(law: LawFit, data: SlipData) -> Array:
    """Ln T of the law at every distinct reading."""
    level = math.log(law.mu.value) + data.offset
    if law.exponent is not None:
        return np.asarray(level + (law.exponent.value - 1.0) * data.log_clamp)
    if law.lost_load_n is not None:
        return np.asarray(level + np.log1p(-law.lost_load_n.value / data.clamp))
    return level


def _residuals(
    runs: Sequence[SlipRun], predicted: Array, data: SlipData
) -> tuple[Residual, ...]:
    by_run = {int(r): float(p) for r, p in zip(data.run, predicted, strict=True)}
    found = []
    for i, run in enumerate(runs):
        for place, reading in enumerate(run.readings):
            middle = reading.middle_nm
            value = None if middle is None else math.log(middle) - by_run[i]
            found.append(Residual(i, place, value))
    return tuple(found)


def _words(
    chosen: LawFit, fits: dict[LawName, LawFit], p: float | None, refused: dict[LawName, str],
    count: int, exact: int,
) -> list[str]:
    others = count - exact
    bounds = f" and {others} {'span or bound' if others == 1 else 'spans or bounds'}"
    words = [f"μ = {chosen.mu.value:.3g} by the {chosen.law.replace('_', '-')} law, from {exact} "
             f"{'value' if exact == 1 else 'values'}{bounds if others else ''}."]
    smooth = next((f.law for f in fits.values() if f.sigma is None), None)
    if smooth is not None:
        words.append(f"The {smooth.replace('_', '-')} law passes through every value without "
                     "scatter, so there is too little to tell a doubt from: repeat the run.")
    if refused:
        words.append("Only some laws can be told apart: " + next(iter(refused.values())) + ".")
    if count < FEW_READINGS and chosen.sigma is not None:
        words.append(f"Fewer than {FEW_READINGS} readings make the interval too narrow and this "
                     "fit too quick to see a departure: take more.")
    if p is not None and p < UNLIKELY:
        power = fits["power"].exponent
        words.append("Torque is not proportional to clamp load.")
        if power is not None and power.value > 1.0:
            words.append("It grows faster than the clamp. Usual causes (common practice): facings "
                         "not run in, plates rocking on too few springs, a load lost in the "
                         "splines, or an oil film that carries part of a light load.")
        else:
            words.append("It grows slower than the clamp. Usual causes (common practice): springs "
                         "near bind, facings glazed or hot at the higher load, or a gauge that "
                         "lags at its end.")
    elif p is not None:
        words.append("Nothing speaks against torque proportional to clamp load.")
    return words
