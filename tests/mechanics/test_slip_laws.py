import math

import numpy as np
import pytest
from scipy.optimize import minimize

from app.mechanics.censored import CHI_95
from app.mechanics.slip_laws import (
    PARAMETERS,
    LawFit,
    aicc_penalty,
    exponential,
    lost_load,
    power,
    proportional,
)
from app.mechanics.slip_readings import SlipRun, collect
from tests.mechanics.slip_samples import PER_FRICTION, at_least, at_most, run, simulated

CLAMPS = (200.0, 300.0, 400.0, 600.0)


def known(fit: LawFit | None) -> LawFit:
    assert fit is not None
    return fit


def gaussian_level(residual: list[float]) -> float:
    """Largest log-likelihood of values with these departures from a law."""
    n, mean_square = len(residual), float(np.mean(np.square(residual)))
    return -0.5 * n * (math.log(2.0 * math.pi * mean_square) + 1.0)


def test_proportional_law_by_hand() -> None:
    torques = [(200.0, 11.0), (200.0, 12.5), (400.0, 22.0), (600.0, 39.0)]
    fit = proportional(collect([run(f, t) for f, t in torques]))
    logs = np.log([t / (PER_FRICTION * f) for f, t in torques])
    n, middle, scatter = 4, float(np.mean(logs)), float(np.std(logs))
    assert math.log(fit.mu.value) == pytest.approx(middle, rel=1e-10)
    assert fit.sigma == pytest.approx(scatter, rel=1e-8)
    assert fit.log_likelihood == pytest.approx(gaussian_level(list(logs - middle)), rel=1e-10)
    assert fit.mu.std == pytest.approx(fit.mu.value * scatter / math.sqrt(n), rel=1e-6)
    # 2(ℓ_max − ℓ(μ)) = n ln(1 + (ln μ − ln μ̂)²/σ̂²) reaches 3.8415 here.
    reach = scatter * math.sqrt(math.exp(CHI_95 / n) - 1.0)
    assert math.log(fit.mu.low or 0.0) == pytest.approx(middle - reach, abs=1e-6)
    assert math.log(fit.mu.high or 0.0) == pytest.approx(middle + reach, abs=1e-6)


def test_aicc_is_that_of_burnham_and_anderson() -> None:
    runs = simulated(lambda f: 0.09 * f, CLAMPS, 3, 0.05, seed=4)
    data = collect(runs)
    for fit in (proportional(data), known(power(data)), known(lost_load(data))):
        k, n = PARAMETERS[fit.law], 12
        assert fit.aicc == pytest.approx(
            2 * k - 2 * (fit.log_likelihood or 0.0) + 2 * k * (k + 1) / (n - k - 1), rel=1e-12)
    assert PARAMETERS == {"proportional": 2, "power": 3, "lost_load": 3}


def test_aicc_needs_more_than_one_reading_beyond_its_parameters() -> None:
    assert aicc_penalty("proportional", 3) is None
    assert aicc_penalty("proportional", 4) == 4.0 + 12.0
    assert aicc_penalty("power", 4) is None
    assert aicc_penalty("lost_load", 5) == 6.0 + 24.0
    assert proportional(collect([run(200.0, 11.0, 12.0, 13.0)])).aicc is None


def test_power_law_recovers_its_exponent() -> None:
    runs = simulated(lambda f: 0.1 * PER_FRICTION * 350.0 * (f / 350.0) ** 1.3, CLAMPS, 50, 0.05, 7)
    fit = known(power(collect(runs)))
    exponent = fit.exponent
    assert exponent is not None
    assert exponent.std is not None
    assert exponent.value == pytest.approx(1.3, abs=3.0 * exponent.std)
    assert exponent.std < 0.012
    assert (exponent.low or 9.0) < 1.3 < (exponent.high or 0.0)
    # μ is that at the reference load, the geometric mean.
    reference = math.exp(float(np.mean(np.log(CLAMPS))))
    expected = 0.1 * 350.0 * (reference / 350.0) ** 1.3 / reference
    assert fit.mu.value == pytest.approx(expected, rel=0.02)
    assert fit.sigma == pytest.approx(0.05, rel=0.15)


def test_power_law_of_values_is_a_line_of_logarithms() -> None:
    runs = simulated(lambda f: 0.09 * f, CLAMPS, 5, 0.1, seed=11)
    x = np.concatenate([np.full(5, math.log(r.clamp_n)) for r in runs])
    y = np.log([reading.low_nm for r in runs for reading in r.readings])
    slope, _ = np.polyfit(x, y, 1)
    fit = known(power(collect(runs)))
    assert fit.exponent is not None
    assert fit.exponent.value == pytest.approx(slope, rel=1e-9)
    assert fit.log_likelihood == pytest.approx(
        gaussian_level(list(y - np.polyval(np.polyfit(x, y, 1), x))), rel=1e-10)


def test_lost_load_is_recovered() -> None:
    runs = simulated(lambda f: 0.12 * PER_FRICTION * (f - 80.0), CLAMPS, 50, 0.05, seed=3)
    fit = known(lost_load(collect(runs)))
    lost = fit.lost_load_n
    assert lost is not None
    assert lost.std is not None
    assert lost.value == pytest.approx(80.0, abs=3.0 * lost.std)
    assert lost.std < 5.0
    assert (lost.low or 999.0) < 80.0 < (lost.high or 0.0)
    assert (fit.mu.low or 9.0) < 0.12 < (fit.mu.high or 0.0)
    assert fit.mu.value == pytest.approx(0.12, rel=0.05)


def test_lost_load_is_the_maximum_over_all_three_parameters() -> None:
    runs = [run(200.0, 9.0, 10.5), run(300.0, 19.0), run(400.0, 29.0, 26.5), run(600.0, 47.0)]
    data = collect(runs)
    fit = known(lost_load(data))

    def shortfall(p: np.ndarray) -> float:
        if p[1] >= 200.0:
            return math.inf
        logs = [math.log(r.low_nm / (PER_FRICTION * (one.clamp_n - p[1]))) - p[0]
                for one in runs for r in one.readings]
        return -gaussian_level(logs)

    found = minimize(shortfall, [-2.0, 50.0], method="Nelder-Mead",
                     options={"xatol": 1e-8, "fatol": 1e-12, "maxiter": 4000})
    assert fit.log_likelihood == pytest.approx(-found.fun, abs=1e-8)
    assert fit.lost_load_n is not None
    assert fit.lost_load_n.value == pytest.approx(found.x[1], rel=1e-4)
    # The interval of μ frees the lost load: at either end the best of the rest has dropped.
    for end in (fit.mu.low, fit.mu.high):
        held = minimize(lambda p, end=end: shortfall(np.array([math.log(end), p[0]])),
                        [fit.lost_load_n.value], method="Nelder-Mead",
                        options={"xatol": 1e-8, "fatol": 1e-12})
        assert 2.0 * (held.fun + (fit.log_likelihood or 0.0)) == pytest.approx(CHI_95, abs=1e-4)


def test_lost_load_may_be_negative() -> None:
    runs = simulated(lambda f: 0.08 * PER_FRICTION * (f + 120.0), CLAMPS, 40, 0.03, seed=8)
    fit = known(lost_load(collect(runs)))
    assert fit.lost_load_n is not None
    assert fit.lost_load_n.value == pytest.approx(-120.0, abs=30.0)
    assert (fit.lost_load_n.high or 0.0) < 0.0


@pytest.mark.parametrize("lost", [150.0, 190.0, 199.0])
def test_lost_load_stays_below_the_least_clamp_load(lost: float) -> None:
    runs = simulated(lambda f: 0.12 * PER_FRICTION * (f - lost), CLAMPS, 6, 0.2, seed=5)
    fit = known(lost_load(collect(runs)))
    assert fit.lost_load_n is not None
    for figure in (fit.lost_load_n.low, fit.lost_load_n.value, fit.lost_load_n.high):
        assert figure is None or figure < 200.0


def test_torque_that_falls_with_the_clamp_has_no_lost_load() -> None:
    falling = [run(f, 30.0 - i, 30.4 - i) for i, f in enumerate(CLAMPS)]
    assert lost_load(collect(falling)) is None


def test_an_end_that_the_readings_leave_open_is_none() -> None:
    # Two values three times apart at one load tell next to nothing of the slope.
    fit = known(lost_load(collect([run(200.0, 10.0, 30.0), run(400.0, 24.0)])))
    assert fit.lost_load_n is not None
    assert fit.lost_load_n.low is None
    assert fit.lost_load_n.std is None
    assert fit.lost_load_n.high is not None
    assert fit.mu.high is not None


def test_bounds_alone_at_the_least_load_leave_the_lost_load_open_above() -> None:
    runs = [run(100.0, at_most(50.0)), run(200.0, 10.0, 11.0, 12.0), run(400.0, 24.0, 20.0, 21.0)]
    fit = known(lost_load(collect(runs)))
    assert fit.lost_load_n is not None
    assert fit.lost_load_n.value < 100.0
    assert fit.log_likelihood is not None


@pytest.mark.parametrize("law", [power, lost_load])
def test_an_extra_parameter_never_fits_worse(law: object) -> None:
    for seed in range(5):
        data = collect([
            *simulated(lambda f: 0.09 * f, CLAMPS, 3, 0.1, seed),
            run(800.0, at_least(60.0 + seed)), run(300.0, at_most(40.0)),
        ])
        fit = law(data)  # type: ignore[operator]  # one of the two functions
        if fit is not None:
            assert fit.log_likelihood >= (proportional(data).log_likelihood or 0.0) - 1e-6


@pytest.mark.parametrize(
    ("law", "torque"),
    [
        (proportional, lambda f: 0.06 * f),
        (power, lambda f: 0.02 * f**1.3),
        (lost_load, lambda f: 0.06 * (f - 80.0)),
    ],
)
def test_readings_on_a_law_have_no_scatter_rather_than_a_zero(law: object, torque: object) -> None:
    runs: list[SlipRun] = [run(f, torque(f)) for f in (*CLAMPS, 700.0, 800.0)]  # type: ignore[operator]  # a law
    fit = law(collect(runs))  # type: ignore[operator]  # one of the three functions
    assert (fit.sigma, fit.log_likelihood, fit.aicc) == (None, None, None)
    assert (fit.mu.std, fit.mu.low, fit.mu.high) == (None, None, None)
    if fit.law == "power":
        assert fit.exponent.value == pytest.approx(1.3, rel=1e-9)
    if fit.law == "lost_load":
        assert fit.lost_load_n.value == pytest.approx(80.0, rel=1e-6)
        assert fit.mu.value == pytest.approx(0.1, rel=1e-6)


def test_a_power_too_steep_for_its_reference_load_is_not_fitted() -> None:
    # A thousand times the torque for one per cent of clamp, and a bound ten million times away.
    runs = [run(100.0, 1.0, 1.1), run(101.0, 1000.0, 1100.0), run(1e9, at_least(1.0))]
    assert power(collect(runs)) is None


def test_exponential_has_no_upper_end_beyond_any_figure() -> None:
    assert exponential(1.0) == math.e
    assert exponential(701.0) is None
    assert exponential(math.inf) is None
