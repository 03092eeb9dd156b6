"""Normal linear regression whose responses are values, spans or bounds, by maximum likelihood.

y_i = x_i β + ε, ε ~ N(0, σ²). An exact response adds the density of y, a span the probability
between its ends, a bound that of the tail. In γ = β/σ and θ = 1/σ the likelihood is concave, so
Newton's steps find its one maximum.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from app.mechanics.traced import Array

CHI_95 = 3.841458820694124
"""95 % point of χ² with one degree of freedom."""

# A σ below this part of the responses' own size is rounding, and tells of no scatter at all.
_NO_SCATTER = 1e-7
# In standard units: a span narrower than this is the density at its middle times its width, to
# 1e-11; the difference of two tails would lose as many digits there.
_NARROW = 1e-5
_STEPS = 200
_HALF_LOG_2PI = 0.5 * math.log(2.0 * math.pi)


@dataclass(frozen=True, eq=False)
class Responses:
    """What was read: low = high for a value, ±inf for the open end of a bound, shape (n,).

    `weight` counts equal readings, so that many alike cost no more than one.
    """

    low: Array
    high: Array
    weight: Array

    @property
    def exact(self) -> NDArray[np.bool_]:
        """Which responses are values."""
        return np.asarray(self.low == self.high)

    def shifted(self, by: Array) -> "Responses":
        """Every response less an amount of its own."""
        return Responses(self.low - by, self.high - by, self.weight)

    def standardised(self, centre: Array, unit: float) -> "Responses":
        """Every response as its distance from a centre of its own, in a common unit."""
        return Responses((self.low - centre) / unit, (self.high - centre) / unit, self.weight)


@dataclass(frozen=True, eq=False)
class CensoredFit:
    """The maximum: β, σ, log-likelihood, covariance of (β, ln σ); `scatter` False where σ → 0."""

    beta: Array
    sigma: float
    log_likelihood: float
    covariance: Array
    scatter: bool


def fit_censored(
    design: Array, responses: Responses, near: CensoredFit | None = None
) -> CensoredFit:
    """Maximum-likelihood fit of values, spans and bounds.

    ℓ = Σ_values [ln θ − ½(θ y − x γ)² − ½ ln 2π] + Σ_spans ln[Φ(θ b − x γ) − Φ(θ a − x γ)].

    Args:
        design: x, one row a response [any unit], shape (n, k), k may be 0.
        responses: y as values, spans or bounds [any unit], shape (n,).
        near: a fit to begin from; it saves steps and changes nothing else.

    Returns:
        CensoredFit; β in units of y/x.

    Range: at least one exact response; with none the scatter may vanish without a limit.
    Source: J. Tobin, Econometrica 26 (1958); R. J. Olsen, Econometrica 46 (1978) for γ and θ;
        checked against published censored regressions.
    """
    least = _NO_SCATTER * _size(responses)
    centre, unit = _start(design, responses, least) if near is None else (near.beta, near.sigma)
    # About a first line and in units of its scatter, so that neither a far origin nor a small
    # scatter costs digits of the curvature.
    standard = responses.standardised(design @ centre, unit)
    at = np.append(np.zeros(centre.size), 1.0)
    level, gradient, hessian = _terms(design, standard, at)
    for _ in range(_STEPS):
        step: Array = np.asarray(np.linalg.lstsq(-hessian, gradient, rcond=None)[0], np.float64)
        at, level, gradient, hessian, moved = _climb(design, standard, at, step, level)
        if unit < least * at[-1] or not moved:
            break
    theta = float(at[-1])
    departure, sigma = at[:-1] / theta * unit, unit / theta
    level -= float(responses.weight[responses.exact].sum()) * math.log(unit)
    return CensoredFit(
        centre + departure, sigma, level, _covariance(hessian, departure, sigma, theta),
        sigma > least,
    )


def _size(responses: Responses) -> float:
    """The largest finite end, or 1 where all are 0: what a scatter is small against."""
    ends = np.abs(np.concatenate([responses.low, responses.high]))
    return float(np.max(ends[np.isfinite(ends)], initial=0.0)) or 1.0


def _start(design: Array, responses: Responses, least: float) -> tuple[Array, float]:
    """Least squares through the values, and their scatter, or a large one where they show none."""
    x, y = design[responses.exact], responses.low[responses.exact]
    line = np.zeros(design.shape[1])
    if line.size:
        line = np.asarray(np.linalg.lstsq(x, y, rcond=None)[0], dtype=np.float64)
    scatter = float(np.sqrt(np.mean((y - x @ line) ** 2)))
    return line, scatter if scatter > least else 0.1 * least / _NO_SCATTER


def _climb(
    design: Array, responses: Responses, at: Array, step: Array, level: float
) -> tuple[Array, float, Array, Array, bool]:
    """Newton's step, halved until the likelihood rises and θ stays positive."""
    size = 1.0
    for _ in range(60):
        trial = at + size * step
        if trial[-1] > 0.0:
            found, gradient, hessian = _terms(design, responses, trial)
            if found >= level:
                gained = found - level > 1e-13 * (1.0 + abs(level))
                return trial, found, gradient, hessian, gained
        size /= 2.0
    _, gradient, hessian = _terms(design, responses, at)
    return at, level, gradient, hessian, False


def _terms(design: Array, responses: Responses, at: Array) -> tuple[float, Array, Array]:
    """Log-likelihood, gradient and Hessian in (γ, θ)."""
    # Imported here: scipy takes a quarter of a second that a plain start need not pay.
    from scipy.special import log_ndtr

    gamma, theta = at[:-1], at[-1]
    mean = design @ gamma
    width = responses.high - responses.low
    middle = np.where(np.isfinite(width), 0.5 * (responses.low + responses.high), 0.0)
    far = np.maximum(np.abs(theta * middle - mean), 1.0)
    point = responses.exact | (theta * width * far < _NARROW)
    w, y = responses.weight[point], middle[point]
    r = theta * y - mean[point]
    u = np.column_stack([-design[point], y])
    count = float(w.sum())
    level = count * (math.log(theta) - _HALF_LOG_2PI) - 0.5 * float(w @ r**2)
    narrow = point & ~responses.exact
    level += float(responses.weight[narrow] @ np.log(width[narrow]))
    gradient = -u.T @ (w * r)
    gradient[-1] += count / theta
    hessian = -(u.T * w) @ u
    hessian[-1, -1] -= count / theta**2
    if np.all(point):
        return level, gradient, hessian
    rest = ~point
    low, high, w = responses.low[rest], responses.high[rest], responses.weight[rest]
    a, b = theta * low - mean[rest], theta * high - mean[rest]
    # Mirrored into the lower tail, where the logarithm of Φ keeps its digits.
    flip = a > 0.0
    lower, upper = np.where(flip, -b, a), np.where(flip, -a, b)
    log_upper, log_lower = log_ndtr(upper), log_ndtr(lower)
    log_p = log_upper + np.log(-np.expm1(log_lower - log_upper))
    level += float(w @ log_p)
    density_a = np.where(np.isfinite(a), np.exp(-0.5 * a**2 - _HALF_LOG_2PI - log_p), 0.0)
    density_b = np.where(np.isfinite(b), np.exp(-0.5 * b**2 - _HALF_LOG_2PI - log_p), 0.0)
    safe_a, safe_b = np.where(np.isfinite(a), a, 0.0), np.where(np.isfinite(b), b, 0.0)
    u_a = np.column_stack([-design[rest], np.where(np.isfinite(low), low, 0.0)])
    u_b = np.column_stack([-design[rest], np.where(np.isfinite(high), high, 0.0)])
    gradient += u_b.T @ (w * density_b) - u_a.T @ (w * density_a)
    hessian -= (u_b.T * (w * (safe_b * density_b + density_b**2))) @ u_b
    hessian += (u_a.T * (w * (safe_a * density_a - density_a**2))) @ u_a
    cross = (u_a.T * (w * density_a * density_b)) @ u_b
    hessian += cross + cross.T
    return level, gradient, hessian


def _covariance(hessian: Array, departure: Array, sigma: float, theta: float) -> Array:
    """Covariance of (β, ln σ) from the curvature in the standardised (γ, θ)."""
    k = departure.size
    jacobian = np.zeros((k + 1, k + 1))
    jacobian[:k, :k] = np.eye(k) * sigma
    jacobian[:k, k] = -departure / theta
    jacobian[k, k] = -1.0 / theta
    inverse = np.linalg.pinv(-hessian)
    covariance: Array = jacobian @ inverse @ jacobian.T
    return covariance


def profile(
    design: Array, responses: Responses, column: int, value: float,
    near: CensoredFit | None = None,
) -> float:
    """Largest log-likelihood with one coefficient held, the others free.

    Args:
        design: x [any unit], shape (n, k).
        responses: y [any unit], shape (n,).
        column: which coefficient is held [index].
        value: what it is held at [units of y/x].
        near: a fit of all coefficients to begin from.

    Returns:
        Log-likelihood [1].

    Range: as `fit_censored`.
    Source: A. Azzalini, Statistical Inference, ch. 4.
    """
    others = np.delete(design, column, axis=1)
    held = None if near is None else replace(near, beta=np.delete(near.beta, column))
    return fit_censored(others, responses.shifted(design[:, column] * value), held).log_likelihood


def profile_interval(
    design: Array, responses: Responses, column: int, fit: CensoredFit
) -> tuple[float, float]:
    """Ends of the 95 % interval of one coefficient by profile likelihood.

    The values at which 2(ℓ_max − ℓ_profile) reaches 3.8415; ±inf where it never does.

    Args:
        design: x [any unit], shape (n, k).
        responses: y [any unit], shape (n,).
        column: which coefficient [index].
        fit: the fit itself.

    Returns:
        Lower and upper end [units of y/x].

    Range: as `fit_censored`.
    Source: as `profile`; S. S. Wilks, Ann. Math. Stat. 9 (1938).
    """
    best = float(fit.beta[column])
    spread = math.sqrt(max(float(fit.covariance[column, column]), 0.0)) or fit.sigma or 1.0

    def drop(value: float) -> float:
        return 2.0 * (fit.log_likelihood - profile(design, responses, column, value, fit)) - CHI_95

    return edge(drop, best, -spread), edge(drop, best, spread)


def edge(
    drop: Callable[[float], float], best: float, step: float, reach: float = math.inf
) -> float:
    """Where a rising function leaves 0 on one side of the best value, or ±inf.

    Args:
        drop: negative at `best`, rising away from it [1].
        best: where to start [any unit].
        step: first step, its sign the direction.
        reach: how far it is looked for.

    Returns:
        The crossing [unit of best], to 1e-7 of the step.

    Range: gives up after 40 doublings.
    Source: bracketing and Brent's method (scipy.optimize).
    """
    from scipy.optimize import brentq

    inner = best
    for _ in range(40):
        if abs(step) > reach:
            break
        outer = best + step
        if drop(outer) > 0.0:
            return float(brentq(drop, inner, outer, xtol=1e-7 * abs(step), rtol=1e-12))
        inner, step = outer, 2.0 * step
    return math.copysign(math.inf, step)
