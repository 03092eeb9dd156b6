"""Three laws of slip torque over clamp load, each fitted by maximum likelihood."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from app.mechanics.censored import (
    CHI_95,
    CensoredFit,
    Responses,
    edge,
    fit_censored,
    profile_interval,
)
from app.mechanics.slip_readings import SlipData
from app.mechanics.traced import Array

LawName = Literal["proportional", "power", "lost_load"]
LAWS: tuple[LawName, ...] = ("proportional", "power", "lost_load")
PARAMETERS: dict[LawName, int] = {"proportional": 2, "power": 3, "lost_load": 3}


@dataclass(frozen=True, slots=True)
class Estimate:
    """A fitted figure with its standard error and 95 % interval; None where none can be known."""

    value: float
    std: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class LawFit:
    """One law fitted: μ [1], exponent [1] or lost load [N], scatter σ of ln T [1]."""

    law: LawName
    mu: Estimate
    exponent: Estimate | None
    lost_load_n: Estimate | None
    sigma: float | None
    log_likelihood: float | None
    aicc: float | None


def _aicc(law: LawName, level: float, count: int) -> float | None:
    k = PARAMETERS[law]
    if count <= k + 1:
        return None
    return 2.0 * k - 2.0 * level + 2.0 * k * (k + 1) / (count - k - 1)


def _mu(fit: CensoredFit, design: Array, responses: Responses) -> Estimate:
    value = math.exp(float(fit.beta[0]))
    if not fit.scatter:
        return Estimate(value, None, None, None)
    low, high = profile_interval(design, responses, 0, fit)
    std = value * math.sqrt(float(fit.covariance[0, 0]))
    return Estimate(value, std, math.exp(low), math.exp(high) if high < 700.0 else None)


def _law(
    name: LawName, fit: CensoredFit, mu: Estimate, count: int,
    exponent: Estimate | None = None, lost: Estimate | None = None,
) -> LawFit:
    if not fit.scatter:
        return LawFit(name, mu, exponent, lost, None, None, None)
    level = fit.log_likelihood
    return LawFit(name, mu, exponent, lost, float(fit.sigma), level, _aicc(name, level, count))


def proportional(data: SlipData) -> LawFit:
    """T = μ z F Re.

    Args:
        data: the readings.

    Returns:
        LawFit with μ [1].

    Range: at least one value.
    Source: app.mechanics.censored.
    """
    responses = data.responses.shifted(data.offset)
    design = np.ones((data.offset.size, 1))
    fit = fit_censored(design, responses)
    return _law("proportional", fit, _mu(fit, design, responses), data.count)


def power(data: SlipData) -> LawFit:
    """T = μ z Re F_ref (F/F_ref)^p.

    Args:
        data: the readings.

    Returns:
        LawFit with μ [1] and the exponent p [1].

    Range: values at two clamp loads or more.
    Source: app.mechanics.censored.
    """
    # ln T − ln(z F Re) = ln μ + (p − 1) ln(F/F_ref)
    responses = data.responses.shifted(data.offset)
    design = np.column_stack([np.ones(data.offset.size), data.log_clamp])
    fit = fit_censored(design, responses)
    excess = float(fit.beta[1])
    if not fit.scatter:
        mu = _mu(fit, design, responses)
        return _law("power", fit, mu, data.count, Estimate(1.0 + excess, None, None, None))
    low, high = profile_interval(design, responses, 1, fit)
    std = math.sqrt(float(fit.covariance[1, 1]))
    exponent = Estimate(1.0 + excess, std, 1.0 + low, 1.0 + high)
    return _law("power", fit, _mu(fit, design, responses), data.count, exponent)


def lost_load(data: SlipData) -> LawFit | None:
    """T = μ z Re (F − F_loss): at any given loss the law is proportional to what is left.

    Args:
        data: the readings.

    Returns:
        LawFit with μ [1] and the lost load [N], which may be negative; None when the likelihood
        has no top below the least clamp load.

    Range: values at two clamp loads or more.
    Source: app.mechanics.censored, profiled over the loss.
    """
    from scipy.optimize import minimize_scalar

    least = float(data.clamp.min())
    design = np.ones((data.offset.size, 1))

    def left(lost: float) -> Responses:
        return data.responses.shifted(data.offset + np.log1p(-lost / data.clamp))

    def level(room: float) -> float:
        # room = ln((F_min − F_loss)/F_min) keeps the loss below the least clamp load.
        return fit_censored(design, left(least * (1.0 - math.exp(room)))).log_likelihood

    rooms = np.linspace(-6.0, 4.0, 41)
    best = rooms[int(np.argmax([level(r) for r in rooms]))]
    if best in (rooms[0], rooms[-1]):
        return None
    found = minimize_scalar(lambda r: -level(r), bounds=(best - 0.25, best + 0.25),
                            method="bounded", options={"xatol": 1e-9})
    room = float(found.x)
    lost = least * (1.0 - math.exp(room))
    fit = fit_censored(design, left(lost))
    if not fit.scatter:
        return None

    def drop(r: float) -> float:
        return 2.0 * (fit.log_likelihood - level(r)) - CHI_95

    ends = [edge(drop, room, step) for step in (0.1, -0.1)]
    low, high = (None if math.isinf(r) or abs(r) > 30.0 else least * (1.0 - math.exp(r))
                 for r in ends)
    spread = None if low is None or high is None else (high - low) / (2.0 * math.sqrt(CHI_95))
    mu = _mu_with_loss(fit, data, left, room, least)
    return _law("lost_load", fit, mu, data.count, None, Estimate(lost, spread, low, high))


def _mu_with_loss(
    fit: CensoredFit, data: SlipData, left: Callable[[float], Responses], room: float, least: float
) -> Estimate:
    """Profile interval of μ with the lost load free."""
    from scipy.optimize import minimize_scalar

    none = np.ones((data.offset.size, 0))
    best = float(fit.beta[0])

    def drop(log_mu: float) -> float:
        def held(r: float) -> float:
            responses = left(least * (1.0 - math.exp(r))).shifted(np.full(data.offset.size, log_mu))
            return -fit_censored(none, responses).log_likelihood

        found = minimize_scalar(held, bounds=(room - 6.0, room + 6.0), method="bounded",
                                options={"xatol": 1e-7})
        return 2.0 * (fit.log_likelihood + float(found.fun)) - CHI_95

    step = max(math.sqrt(float(fit.covariance[0, 0])), 1e-6)
    low, high = edge(drop, best, -step), edge(drop, best, step)
    value = math.exp(best)
    if math.isinf(low) or math.isinf(high) or max(abs(low), abs(high)) > 700.0:
        return Estimate(value, None, None, None)
    std = value * (high - low) / (2.0 * math.sqrt(CHI_95))
    return Estimate(value, std, math.exp(low), math.exp(high))
