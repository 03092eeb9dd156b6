"""Three laws of slip torque over clamp load, each fitted by maximum likelihood."""

import math
from dataclasses import dataclass, replace
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

# Where a lost load is looked for: from all but 1/400 of the least clamp load to 54 times it, with
# the other sign. Its interval and that of μ end, or are open, within a factor of e³⁰.
_ROOMS = tuple(float(r) for r in np.linspace(-6.0, 4.0, 41))
_MOST_ROOM = 30.0
_LARGEST_LOG = 700.0


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


def aicc_penalty(law: LawName, count: int) -> float | None:
    """What AICc adds to −2ℓ, 2k + 2k(k + 1)/(n − k − 1).

    Args:
        law: its k counts σ as a parameter.
        count: readings n [count].

    Returns:
        The penalty [1]; None for n ≤ k + 1 readings.

    Range: n ≥ 0.
    Source: K. P. Burnham & D. R. Anderson, Model Selection and Multimodel Inference, 2.4.
    """
    k = PARAMETERS[law]
    if count <= k + 1:
        return None
    return 2.0 * k + 2.0 * k * (k + 1) / (count - k - 1)


def exponential(logarithm: float) -> float | None:
    """Exponential, or nothing where it is too large for any figure.

    Args:
        logarithm: the power [1].

    Returns:
        Its exponential [1]; None, which is no upper end, where it would overflow.

    Range: any.
    Source: definition.
    """
    return math.exp(logarithm) if logarithm < _LARGEST_LOG else None


def _mu(fit: CensoredFit, design: Array, responses: Responses) -> Estimate:
    value = math.exp(float(fit.beta[0]))
    if not fit.scatter:
        return Estimate(value, None, None, None)
    low, high = profile_interval(design, responses, 0, fit)
    std = value * math.sqrt(float(fit.covariance[0, 0]))
    return Estimate(value, std, math.exp(low), exponential(high))


def _law(
    name: LawName, fit: CensoredFit, mu: Estimate, count: int,
    exponent: Estimate | None = None, lost: Estimate | None = None,
) -> LawFit:
    if not fit.scatter:
        return LawFit(name, mu, exponent, lost, None, None, None)
    level, penalty = fit.log_likelihood, aicc_penalty(name, count)
    aicc = None if penalty is None else penalty - 2.0 * level
    return LawFit(name, mu, exponent, lost, fit.sigma, level, aicc)


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


def power(data: SlipData) -> LawFit | None:
    """T = μ z Re F_ref (F/F_ref)^p.

    Args:
        data: the readings.

    Returns:
        LawFit with μ [1] and the exponent p [1]; None when the exponent is so steep that μ at
        F_ref is no figure.

    Range: values at two clamp loads or more.
    Source: app.mechanics.censored.
    """
    # ln T − ln(z F Re) = ln μ + (p − 1) ln(F/F_ref)
    responses = data.responses.shifted(data.offset)
    design = np.column_stack([np.ones(data.offset.size), data.log_clamp])
    fit = fit_censored(design, responses)
    excess = float(fit.beta[1])
    if abs(float(fit.beta[0])) > _LARGEST_LOG:
        return None
    if not fit.scatter:
        mu = _mu(fit, design, responses)
        return _law("power", fit, mu, data.count, Estimate(1.0 + excess, None, None, None))
    low, high = profile_interval(design, responses, 1, fit)
    std = math.sqrt(float(fit.covariance[1, 1]))
    exponent = Estimate(1.0 + excess, std, *(
        1.0 + end if math.isfinite(end) else None for end in (low, high)))
    return _law("power", fit, _mu(fit, design, responses), data.count, exponent)


def lost_load(data: SlipData) -> LawFit | None:
    """T = μ z Re (F − F_loss): at any given loss the law is proportional to what is left.

    Args:
        data: the readings.

    Returns:
        LawFit with μ [1] and the lost load [N], which may be negative; None when the likelihood
        has no top below the least clamp load. An interval's end that the readings leave open is
        None.

    Range: values at two clamp loads or more.
    Source: app.mechanics.censored, profiled over the loss.
    """
    from scipy.optimize import minimize_scalar

    held = _Losses(data)
    fits = [held.fit(_ROOMS[0])]
    for room in _ROOMS[1:]:
        fits.append(held.fit(room, fits[-1]))
    place = int(np.argmax([fit.log_likelihood for fit in fits]))
    if place in (0, len(_ROOMS) - 1):
        return None
    best, around = fits[place], (_ROOMS[place - 1], _ROOMS[place + 1])
    found = minimize_scalar(lambda r: -held.fit(r, best).log_likelihood, bounds=around,
                            method="bounded", options={"xatol": 1e-9})
    room = float(found.x)
    fit = held.fit(room, best)
    mu = math.exp(float(fit.beta[0]))
    if not fit.scatter:
        return _law("lost_load", fit, Estimate(mu, None, None, None), data.count, None,
                    Estimate(held.lost(room), None, None, None))

    def drop(r: float) -> float:
        return 2.0 * (fit.log_likelihood - held.fit(r, fit).log_likelihood) - CHI_95

    # The more room, the less is lost.
    low, high = (None if math.isinf(r) else held.lost(r)
                 for r in (edge(drop, room, step, _MOST_ROOM) for step in (0.1, -0.1)))
    spread = None if low is None or high is None else (high - low) / (2.0 * math.sqrt(CHI_95))
    return _law("lost_load", fit, _mu_with_loss(fit, held, room), data.count, None,
                Estimate(held.lost(room), spread, low, high))


@dataclass(frozen=True, eq=False)
class _Losses:
    """The proportional law at a held loss, by its room = ln((F_min − F_loss)/F_min).

    Any room keeps the loss below the least clamp load.
    """

    data: SlipData

    @property
    def least(self) -> float:
        return float(self.data.clamp.min())

    def lost(self, room: float) -> float:
        """F_loss [N]."""
        return -self.least * math.expm1(room)

    def responses(self, room: float) -> Responses:
        """Ln T less ln(z Re (F − F_loss)/1000)."""
        clamp = self.data.clamp
        part_left = (clamp - self.least + self.least * math.exp(room)) / clamp
        return self.data.responses.shifted(self.data.offset + np.log(part_left))

    def fit(self, room: float, near: CensoredFit | None = None) -> CensoredFit:
        """Fit of ln μ."""
        return fit_censored(np.ones((self.data.offset.size, 1)), self.responses(room), near)


def _mu_with_loss(fit: CensoredFit, held: _Losses, room: float) -> Estimate:
    """Profile interval of μ with the lost load free."""
    from scipy.optimize import minimize_scalar

    best = float(fit.beta[0])
    size = held.data.offset.size
    none = np.ones((size, 0))
    near = replace(fit, beta=np.zeros(0))

    def drop(log_mu: float) -> float:
        def shortfall(r: float) -> float:
            responses = held.responses(r).shifted(np.full(size, log_mu))
            return -fit_censored(none, responses, near).log_likelihood

        # A smaller μ asks for more room by as much again.
        most = room + 6.0 + max(best - log_mu, 0.0)
        found = minimize_scalar(shortfall, bounds=(room - 6.0, most), method="bounded",
                                options={"xatol": 1e-6})
        return 2.0 * (fit.log_likelihood + float(found.fun)) - CHI_95

    step = max(math.sqrt(float(fit.covariance[0, 0])), 1e-6)
    low = edge(drop, best, -step, _MOST_ROOM)
    high = edge(drop, best, step, _MOST_ROOM)
    value = math.exp(best)
    open_end = math.isinf(low) or math.isinf(high)
    std = None if open_end else value * (high - low) / (2.0 * math.sqrt(CHI_95))
    return Estimate(value, std, math.exp(low), exponential(high))
