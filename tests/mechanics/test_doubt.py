"""Cumulants against quadrature, quantiles against root finding, and published propagations."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import ndtr
from scipy.stats import lognorm

from app.mechanics import doubt
from app.mechanics.traced import Column, Traced


def column(value, limit=0.0, std=0.0):
    shape = np.atleast_2d(np.asarray(value, dtype=float))
    return Column(shape, np.full_like(shape, limit), np.full_like(shape, std))


def quadrature(log_of, density, low, high):
    """First four cumulants of a logarithm by numerical integration of its central moments."""
    def mean_of(f):
        return quad(lambda u: f(u) * density(u), low, high, epsabs=0.0, epsrel=1e-12, limit=400)[0]

    weight = quad(density, low, high, epsabs=0.0, epsrel=1e-12)[0]
    mean = mean_of(log_of) / weight
    second, third, fourth = (
        mean_of(lambda u, r=r: (log_of(u) - mean) ** r) / weight for r in (2, 3, 4)
    )
    return np.array([mean, second, third, fourth - 3.0 * second**2])


RHOS = [0.001, 0.01, 0.03, 0.049, 0.04999, 0.05, 0.0501, 0.06, 0.1, 0.2, 0.4, 0.7, 0.9, 0.99]


@pytest.mark.filterwarnings("ignore::scipy.integrate.IntegrationWarning")  # the last digit only
@pytest.mark.parametrize("rho", RHOS)
def test_cumulants_of_a_rectangular_factor_equal_quadrature(rho):
    expected = quadrature(lambda u: math.log1p(rho * u), lambda _: 0.5, -1.0, 1.0)
    found = doubt.rectangular_log_cumulants(rho)
    # The series leaves out the next power of ρ²; the closed form loses digits near 0.05.
    close = np.array([1e-6, 4e-9, 7e-6, 8e-7]) if rho < 0.05 else 2e-9
    assert np.all(np.abs(found - expected) <= close * np.abs(expected))


def test_series_and_closed_form_meet_at_their_switch():
    below, above = doubt.rectangular_log_cumulants(np.array([0.05 - 1e-12, 0.05 + 1e-12])).T
    assert below == pytest.approx(above, rel=2e-5)


def test_no_doubt_has_no_cumulants_and_a_mixed_array_equals_its_parts():
    assert not doubt.rectangular_log_cumulants(0.0).any()
    assert not doubt.normal_log_cumulants(0.0).any()
    mixed = np.array([[0.01, 0.3], [0.05, 0.0]])
    together = doubt.rectangular_log_cumulants(mixed)
    for place in np.ndindex(mixed.shape):
        alone = doubt.rectangular_log_cumulants(mixed[place])
        assert np.array_equal(together[(slice(None), *place)], alone)


@pytest.mark.filterwarnings("ignore::scipy.integrate.IntegrationWarning")  # the last digit only
@pytest.mark.parametrize("c", [0.005, 0.02, 0.05, 0.1, 0.15])
def test_cumulants_of_a_normal_factor_equal_quadrature_to_the_order_of_the_series(c):
    expected = quadrature(lambda z: math.log1p(c * z), lambda z: math.exp(-z * z / 2), -6.5, 6.5)
    first_left_out = np.array([3.0 * c**6, 13.0 * c**6, 28.0 * c**6, 400.0 * c**8])
    miss = np.abs(doubt.normal_log_cumulants(c) - expected)
    assert np.all(miss <= first_left_out + 1e-13), miss / first_left_out


@pytest.mark.parametrize("c", [0.2001, 0.35, 1.0])
def test_a_wide_normal_factor_is_the_log_normal_of_the_same_mean_and_deviation(c):
    mean, variance, third, fourth = doubt.normal_log_cumulants(c)
    same = lognorm(math.sqrt(variance), scale=math.exp(mean))
    assert same.mean() == pytest.approx(1.0)
    assert same.std() == pytest.approx(c)
    assert (third, fourth) == (0.0, 0.0)


def cumulants_of(figure, columns):
    return doubt.log_cumulants(figure, columns)[:, 0]


def test_a_divisor_turns_the_odd_cumulants_round():
    columns = {"x": column(4.0, limit=0.8)}
    x = Traced.of("x", columns["x"])
    direct, inverse = cumulants_of(2.0 * x, columns), cumulants_of(2.0 / x, columns)
    assert direct == pytest.approx(doubt.rectangular_log_cumulants(0.2))
    assert inverse == pytest.approx(direct * [-1.0, 1.0, -1.0, 1.0])


def test_a_product_adds_the_cumulants_of_its_factors():
    columns = {"x": column(4.0, limit=0.8), "y": column(2.0, std=0.1)}
    x, y = (Traced.of(n, columns[n]) for n in "xy")
    expected = doubt.rectangular_log_cumulants(0.2) + doubt.normal_log_cumulants(0.05)
    assert cumulants_of(x * y, columns) == pytest.approx(expected)


def test_a_length_in_a_difference_enters_by_its_amplified_weight():
    columns = {"long": column(40.0, limit=0.2)}
    compression = Traced.of("long", columns["long"]) - 32.0
    weight = 40.0 / 8.0
    expected = doubt.rectangular_log_cumulants(0.2 / 40.0) * weight ** np.arange(1.0, 5.0)
    assert cumulants_of(compression, columns) == pytest.approx(expected)


@pytest.mark.parametrize("shim", [0.0, 0.1])
def test_a_small_term_with_a_large_doubt_makes_the_sum_a_rectangle(shim):
    columns = {"shim": column(shim, limit=0.2)}
    sum_ = 10.0 + Traced.of("shim", columns["shim"])
    # The sum is 10 + shim ± 0.2, exactly.
    assert cumulants_of(sum_, columns) == pytest.approx(
        doubt.rectangular_log_cumulants(0.2 / (10.0 + shim)))
    # Taken off instead, it does the same.
    left = 10.0 - Traced.of("shim", columns["shim"])
    assert cumulants_of(left, columns) == pytest.approx(
        doubt.rectangular_log_cumulants(0.2 / (10.0 - shim)))


@pytest.mark.parametrize("shim", [0.0, 0.1])
def test_a_small_term_with_a_large_standard_uncertainty_makes_the_sum_normal(shim):
    columns = {"shim": column(shim, std=0.2)}
    sum_ = 10.0 + Traced.of("shim", columns["shim"])
    assert cumulants_of(sum_, columns) == pytest.approx(
        doubt.normal_log_cumulants(0.2 / (10.0 + shim)))


def test_a_term_that_can_outweigh_the_sum_enters_linearly():
    columns = {"shim": column(0.1, limit=3.0)}
    sum_ = 1.9 + Traced.of("shim", columns["shim"])
    assert cumulants_of(sum_, columns) == pytest.approx(
        [0.0, 1.5**2 / 3.0, 0.0, -2.0 * 1.5**4 / 15.0])


@pytest.mark.parametrize("value", [0.1, 0.117, 0.12, 0.13])
def test_a_factor_with_a_large_doubt_is_one_whatever_its_last_digit_says(value):
    """(∂f/∂x) x/f of a product is 1 but for rounding, which must not make a term of it."""
    for mu, expected in ((column(value, limit=0.6 * value), doubt.rectangular_log_cumulants(0.6)),
                         (column(value, std=0.6 * value), doubt.normal_log_cumulants(0.6))):
        torque = Traced.of("mu", mu) * 14.0 * 2000.0 * 52.0 / 1000.0
        assert cumulants_of(torque, {"mu": mu}) == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_a_figure_of_zero_or_unknown_has_no_cumulants():
    columns = {"x": column([[0.0], [math.nan], [1.0]], limit=0.1)}
    found = doubt.log_cumulants(3.0 * Traced.of("x", columns["x"]), columns)
    assert not found[:, :2].any()
    assert found[1, 2] > 0.0


def test_ratio_cumulants_broadcast_pack_by_engine():
    above, below = np.arange(8.0).reshape(4, 2, 1), np.arange(12.0).reshape(4, 1, 3)
    ratio = doubt.ratio_cumulants(above, below)
    assert ratio.shape == (4, 2, 3)
    signs = [-1.0, 1.0, -1.0, 1.0]
    assert ratio[:, 1, 2].tolist() == [
        above[r, 1, 0] + signs[r] * below[r, 0, 2] for r in range(4)]


def test_normal_probability_is_that_of_scipy_within_its_stated_error():
    z = np.concatenate([np.linspace(-10.0, 10.0, 4001), [np.inf, -np.inf, 0.0]])
    assert np.max(np.abs(doubt.normal_probability(z) - ndtr(z))) < 7.5e-8
    assert doubt.normal_probability([-np.inf, np.inf]).tolist() == [0.0, 1.0]


def curves(count):
    generator = np.random.default_rng(11)
    return generator.uniform(-1.2, 1.2, count), generator.uniform(-1.3, 2.0, count)


def test_quantile_polynomial_is_the_cornish_fisher_one_on_its_monotone_branch():
    skew, kurt = curves(300)
    curve = doubt.Quantiles.of(skew, kurt)
    assert np.all((curve.low < 0.0) & (curve.high > 0.0))
    for part in np.linspace(0.0, 1.0, 41):
        z = curve.low + part * (curve.high - curve.low)
        expected = (z + (z**2 - 1) * skew / 6 + (z**3 - 3 * z) * kurt / 24
                    - (2 * z**3 - 5 * z) * skew**2 / 36)
        assert curve.at(z) == pytest.approx(expected, abs=1e-9)
    steps = curve.low + np.linspace(0.0, 1.0, 400)[:, None] * (curve.high - curve.low)
    assert np.all(np.diff(curve.at(steps), axis=0) > -1e-12)


def test_beyond_the_branch_the_curve_stays_at_its_end():
    curve = doubt.Quantiles.of(np.array([0.9]), np.array([-1.0]))
    assert curve.at(1e3) == curve.at(curve.high)
    assert curve.at(-1e3) == curve.at(curve.low)


def test_inverse_equals_a_root_finder():
    skew, kurt = curves(200)
    curve = doubt.Quantiles.of(skew, kurt)
    generator = np.random.default_rng(12)
    x = curve.at(np.clip(generator.normal(0.0, 1.6, 200), 0.98 * curve.low, 0.98 * curve.high))
    found = curve.inverse(x)
    for i in range(200):
        one = doubt.Quantiles.of(skew[i : i + 1], kurt[i : i + 1])
        root = brentq(lambda z, one=one, i=i: float(one.at(z)[0]) - x[i], one.low[0], one.high[0],
                      xtol=1e-14)
        assert found[i] == pytest.approx(root, abs=1e-6), (skew[i], kurt[i])


def test_inverse_beyond_the_branch_is_certain():
    curve = doubt.Quantiles.of(np.array([0.9]), np.array([-1.0]))
    assert curve.inverse(curve.at(curve.high) + 0.01) == np.inf
    assert curve.inverse(curve.at(curve.low) - 0.01) == -np.inf


def test_a_curve_that_falls_in_the_middle_is_read_as_normal():
    upset = doubt.Quantiles.of(np.array([0.0]), np.array([9.0]))
    assert upset.at(1.5) == 1.5
    assert upset.inverse(np.array([1.5])) == pytest.approx(1.5)


def test_standardised_divides_by_powers_of_the_deviation_and_survives_none():
    mean, sd, skew, kurt = doubt.standardised(np.array([[0.1, 0.0], [0.04, 0.0], [0.004, 0.0],
                                                        [0.0016, 0.0]]))
    assert (mean[0], sd[0], skew[0], kurt[0]) == pytest.approx((0.1, 0.2, 0.5, 1.0))
    assert (sd[1], skew[1], kurt[1]) == (0.0, 0.0, 0.0)


def test_without_doubt_the_interval_is_the_value_and_the_chance_is_certain():
    ratio, none = np.array([0.999, 1.0, 1.3, 0.0]), np.zeros((4, 4))
    low, high = doubt.interval(ratio, none)
    assert np.array_equal(low, ratio)
    assert np.array_equal(high, ratio)
    assert doubt.slip_probability(ratio, none).tolist() == [1.0, 0.0, 0.0, 1.0]


def test_the_interval_is_the_exponential_of_the_curve_about_the_shifted_mean():
    cumulants = np.array([[-0.01], [0.04], [0.002], [0.0005]])
    low, high = doubt.interval(np.array([1.2]), cumulants)
    curve = doubt.Quantiles.of(np.array([0.25]), np.array([0.3125]))
    for end, z in ((low, -1.959964), (high, 1.959964)):
        assert end == pytest.approx(1.2 * math.exp(-0.01 + 0.2 * curve.at(z)[0]))


def test_a_ratio_whose_end_is_one_slips_with_the_chance_beyond_that_end():
    cumulants = np.array([[-0.05], [0.04], [0.002], [0.0005]])
    low, high = doubt.interval(np.ones(1), cumulants)
    assert doubt.slip_probability(1.0 / low, cumulants) == pytest.approx(0.025, abs=1e-6)
    assert doubt.slip_probability(1.0 / high, cumulants) == pytest.approx(0.975, abs=1e-6)


def test_an_unknown_ratio_has_no_chance():
    assert np.isnan(doubt.slip_probability(np.array([math.nan]), np.zeros((4, 1))))


@given(st.floats(0.5, 2.0), st.floats(0.005, 0.5), st.floats(-1.0, 1.0), st.floats(-1.2, 1.5))
def test_the_chance_never_contradicts_the_interval(ratio, sd, skew, kurt):
    cumulants = np.array([[-(sd**2) / 2], [sd**2], [skew * sd**3], [kurt * sd**4]])
    low, high = doubt.interval(np.array([ratio]), cumulants)
    chance = doubt.slip_probability(np.array([ratio]), cumulants)
    assert 0.0 <= chance <= 1.0
    slack = 1e-6
    if low >= 1.0:
        assert chance <= 0.025 + slack
    if high <= 1.0:
        assert chance >= 0.975 - slack
    if low < 1.0 - 1e-9 and high > 1.0 + 1e-9:
        assert 0.025 - slack <= chance <= 0.975 + slack


def test_sum_of_four_rectangular_variables():
    """JCGM 101:2008, 9.2.3: four of standard deviation 1 give 95 % within ± 3.88."""
    kurtosis = np.array([4.0 * -1.2 / 4.0**2])
    curve = doubt.Quantiles.of(np.zeros(1), kurtosis)
    exact = 2.0 * math.sqrt(3.0) * (2.0 - 0.6**0.25)
    assert 2.0 * curve.at(doubt.Z95)[0] == pytest.approx(exact, abs=2e-3)


def test_logarithm_of_a_wide_rectangular_variable():
    """NPL Report DEM-ES-011, Table 9.2: ln x, x from 0.1 to 1.1; exact −0.664900, 0.606227."""
    mean, variance, *_ = doubt.rectangular_log_cumulants(0.5 / 0.6)
    assert math.log(0.6) + mean == pytest.approx(-0.664900293, abs=1e-9)
    assert math.sqrt(variance) == pytest.approx(0.606226697, abs=1e-9)


def test_first_order_doubt_of_a_clutch():
    """Our own case, by three general libraries: u(T) = 21.399771 N·m to first order."""
    columns = {"mu": column(0.12, std=0.012), "f": column(2000.0, std=60.0),
               "ro": column(70.0, std=0.1), "ri": column(52.0, std=0.1)}
    mu, f, ro, ri = (Traced.of(n, columns[n]) for n in columns)
    torque = 14.0 * mu * f * (ro + ri) / 2.0 / 1000.0
    assert torque.value[0, 0] == pytest.approx(204.96)
    assert math.sqrt(doubt.variance(torque, columns)[0, 0]) == pytest.approx(21.399771, abs=1e-6)
    found = doubt.shares(torque, columns)
    assert [name for name, _, _ in found[:2]] == ["mu", "f"]
    assert sum(share for _, _, share in found) == pytest.approx(1.0)
    assert found[0][2] == pytest.approx((20.496 / 21.399771) ** 2, rel=1e-6)


def test_shares_number_the_groups_and_vanish_without_doubt():
    columns = {"x": column([[1.0, 3.0]], limit=0.3)}
    total = Traced.of("x", columns["x"]).sum_groups({"x": 2})
    assert doubt.shares(total, columns) == [("x", 0, 0.5), ("x", 1, 0.5)]
    exact = {"x": column([[1.0, 3.0]])}
    assert doubt.shares(Traced(np.ones((1, 1)), {"x": np.ones((1, 2))}), exact) == [
        ("x", 0, 0.0), ("x", 1, 0.0)]
