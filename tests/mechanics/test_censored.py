import math

import numpy as np
import pytest
from scipy.optimize import approx_fprime, minimize
from scipy.stats import norm

from app.mechanics.censored import (
    CHI_95,
    Responses,
    _terms,
    edge,
    fit_censored,
    profile,
    profile_interval,
)
from app.mechanics.traced import Array

INFINITE = math.inf


def responses(*readings: float | tuple[float, float]) -> Responses:
    """Values as numbers, spans and bounds as pairs, each counted once."""
    pairs = [r if isinstance(r, tuple) else (r, r) for r in readings]
    low, high = np.array(pairs).T
    return Responses(low, high, np.ones(len(pairs)))


def ones(seen: Responses) -> Array:
    return np.ones((seen.low.size, 1))


MIXED = responses(1.0, 1.3, 0.8, 1.9, (0.5, 1.1), (1.2, INFINITE), (-INFINITE, 1.4), (1.6, 2.4))
LINE = np.column_stack([np.ones(8), [0.5, -0.4, 0.3, 1.0, -0.1, 0.2, 0.3, 0.8]])


def plain_likelihood(
    design: Array, seen: Responses, beta: Array, sigma: float
) -> float:
    """The definition, reading by reading."""
    level = 0.0
    for x, a, b, w in zip(design, seen.low, seen.high, seen.weight, strict=True):
        mean = float(x @ beta)
        if a == b:
            level += w * norm.logpdf(a, mean, sigma)
        else:
            level += w * math.log(norm.cdf(b, mean, sigma) - norm.cdf(a, mean, sigma))
    return level


def test_values_alone_give_mean_and_root_mean_square() -> None:
    y = [1.0, 1.5, 0.6, 2.2, 1.3]
    seen = responses(*y)
    fit = fit_censored(ones(seen), seen)
    assert fit.beta[0] == pytest.approx(np.mean(y), rel=1e-12)
    assert fit.sigma == pytest.approx(np.std(y), rel=1e-9)
    assert fit.log_likelihood == pytest.approx(norm.logpdf(y, np.mean(y), np.std(y)).sum())
    # Inverse Fisher information: σ²/n for the mean, 1/(2n) for ln σ.
    assert fit.covariance == pytest.approx(
        np.diag([np.var(y) / 5.0, 0.1]), rel=1e-7, abs=1e-9)
    assert fit.scatter


def test_the_answer_is_the_maximum_of_the_definition() -> None:
    fit = fit_censored(LINE, MIXED)
    assert fit.log_likelihood == pytest.approx(
        plain_likelihood(LINE, MIXED, fit.beta, fit.sigma), rel=1e-12)
    found = minimize(
        lambda p: -plain_likelihood(LINE, MIXED, p[:2], math.exp(p[2])), [1.0, 0.0, 0.0],
        method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-13, "maxiter": 5000},
    )
    assert [*fit.beta, math.log(fit.sigma)] == pytest.approx(found.x, abs=1e-6)
    assert fit.log_likelihood >= -found.fun - 1e-10


def test_gradient_and_curvature_are_those_of_the_likelihood() -> None:
    at = np.array([1.3, 0.4, 2.1])
    _, gradient, hessian = _terms(LINE, MIXED, at)
    assert gradient == pytest.approx(
        approx_fprime(at, lambda p: _terms(LINE, MIXED, p)[0], 1e-7), abs=2e-5)
    for i in range(3):
        assert hessian[i] == pytest.approx(
            approx_fprime(at, lambda p, i=i: _terms(LINE, MIXED, p)[1][i], 1e-7), abs=2e-5)


def test_readings_alike_count_by_their_weight() -> None:
    twice = Responses(*(np.tile(a, 2) for a in (MIXED.low, MIXED.high, MIXED.weight)))
    heavy = Responses(MIXED.low, MIXED.high, 2.0 * MIXED.weight)
    first, second = fit_censored(np.tile(LINE, (2, 1)), twice), fit_censored(LINE, heavy)
    assert first.beta == pytest.approx(second.beta, rel=1e-9)
    assert first.sigma == pytest.approx(second.sigma, rel=1e-9)
    assert first.log_likelihood == pytest.approx(second.log_likelihood, rel=1e-12)


@pytest.mark.parametrize(("origin", "scale"), [(1e4, 1.0), (0.0, 1e-8), (-30.0, 1e6)])
def test_origin_and_unit_of_the_responses_are_free(origin: float, scale: float) -> None:
    moved = Responses(origin * scale + scale * MIXED.low, origin * scale + scale * MIXED.high,
                      MIXED.weight)
    plain, fit = fit_censored(LINE, MIXED), fit_censored(LINE, moved)
    assert (fit.beta - [origin * scale, 0.0]) / scale == pytest.approx(plain.beta, abs=1e-7)
    assert fit.sigma / scale == pytest.approx(plain.sigma, rel=1e-7)
    # Only the four values' densities carry the unit.
    level = fit.log_likelihood + 4.0 * math.log(scale)
    assert level == pytest.approx(plain.log_likelihood, abs=1e-7)


def test_a_fit_to_begin_from_changes_nothing() -> None:
    plain = fit_censored(LINE, MIXED)
    other = fit_censored(LINE, responses(5.0, 5.3, 5.9, 4.0, 4.4, 5.0, 6.0, 5.5))
    again = fit_censored(LINE, MIXED, near=other)
    assert again.beta == pytest.approx(plain.beta, abs=1e-6)
    assert again.log_likelihood == pytest.approx(plain.log_likelihood, abs=1e-10)


@pytest.mark.parametrize("width", [1e-3, 1e-5, 1e-7, 1e-9, 1e-12])
def test_a_narrow_span_is_a_value_of_that_width(width: float) -> None:
    seen = responses(1.0, 1.3, 0.7, (0.9, 0.9 + width))
    value = fit_censored(ones(seen), responses(1.0, 1.3, 0.7, 0.9 + width / 2.0))
    fit = fit_censored(ones(seen), seen)
    # The density changes over the width by its square, and the width is itself rounded.
    apart = max(width**2, 1e-9, 1e-16 / width)
    assert fit.beta[0] == pytest.approx(value.beta[0], abs=apart)
    assert fit.sigma == pytest.approx(value.sigma, abs=apart)
    written = float(seen.high[3] - seen.low[3])
    assert fit.log_likelihood - math.log(written) == pytest.approx(
        value.log_likelihood, abs=10.0 * apart)


def test_spans_far_out_in_a_tail_keep_their_digits() -> None:
    # Where Φ rounds to 1 the difference of two tails must come from the other side.
    far = responses(0.0, 0.1, -0.1, (30.0, 31.0), (-31.0, -30.0))
    level, gradient, hessian = _terms(ones(far), far, np.array([0.0, 1.0]))
    assert level == pytest.approx(
        norm.logpdf([0.0, 0.1, -0.1]).sum() + 2.0 * norm.logsf(30.0), rel=1e-9)
    assert gradient[0] == pytest.approx(0.0, abs=1e-9)
    assert np.all(np.isfinite(hessian))


@pytest.mark.parametrize("y", [[0.7], [0.7, 0.7, 0.7], [0.0, 0.0]])
def test_values_without_scatter_are_said_to_have_none(y: list[float]) -> None:
    fit = fit_censored(np.ones((len(y), 1)), responses(*y))
    assert not fit.scatter
    assert fit.beta[0] == pytest.approx(y[0], rel=1e-12)


def test_values_on_a_line_are_said_to_have_no_scatter() -> None:
    x = np.array([1.0, 2.0, 3.0, 4.0, 5.0])
    fit = fit_censored(np.column_stack([np.ones(5), x]), responses(*(2.1 - 0.3 * x)))
    assert not fit.scatter
    assert fit.beta == pytest.approx([2.1, -0.3], rel=1e-9)
    # A millionth of the size is a scatter still.
    y = 2.1 - 0.3 * x + 3e-6 * np.array([1.0, -2.0, 0.0, 2.0, -1.0])
    assert fit_censored(np.column_stack([np.ones(5), x]), responses(*y)).scatter


def test_a_bound_against_the_values_widens_the_scatter() -> None:
    without = fit_censored(np.ones((3, 1)), responses(1.0, 1.1, 0.9))
    against = fit_censored(np.ones((4, 1)), responses(1.0, 1.1, 0.9, (2.0, INFINITE)))
    assert against.sigma > 2.0 * without.sigma
    assert against.beta[0] > without.beta[0]


def test_profile_holds_one_coefficient_and_frees_the_others() -> None:
    fit = fit_censored(LINE, MIXED)
    best = float(fit.beta[1])
    assert profile(LINE, MIXED, 1, best) == pytest.approx(fit.log_likelihood, rel=1e-12)
    found = minimize(
        lambda p: -plain_likelihood(LINE, MIXED, np.array([p[0], 0.9]), math.exp(p[1])),
        [1.0, -1.0], method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-13},
    )
    assert profile(LINE, MIXED, 1, 0.9) == pytest.approx(-found.fun, abs=1e-9)
    assert profile(LINE, MIXED, 1, 0.9, near=fit) == pytest.approx(-found.fun, abs=1e-9)


def test_ends_of_the_interval_lie_where_the_profile_has_dropped() -> None:
    fit = fit_censored(LINE, MIXED)
    low, high = profile_interval(LINE, MIXED, 1, fit)
    assert low < fit.beta[1] < high
    for end in (low, high):
        drop = 2.0 * (fit.log_likelihood - profile(LINE, MIXED, 1, end))
        assert drop == pytest.approx(CHI_95, abs=1e-5)


def test_edge_is_open_where_nothing_is_crossed() -> None:
    assert edge(lambda x: x * x - 4.0, 0.0, 0.1) == pytest.approx(2.0, abs=1e-6)
    assert edge(lambda x: x * x - 4.0, 0.0, -0.1) == pytest.approx(-2.0, abs=1e-6)
    assert edge(lambda x: -1.0 / (1.0 + x * x), 0.0, -0.1) == -INFINITE
    assert edge(lambda x: x * x - 4.0, 0.0, 0.1, reach=1.0) == INFINITE
