import math

import numpy as np
import pytest
from scipy.stats import chi2

from app.errors import BadInput
from app.mechanics.slip_laws import Estimate, LawName, power, proportional
from app.mechanics.slip_readings import SlipReading, SlipRun, collect
from app.mechanics.slip_test import FrictionFit, fit_friction
from tests.mechanics.slip_samples import PER_FRICTION, at_least, at_most, run, simulated

CLAMPS = (200.0, 300.0, 400.0, 600.0)


def law_of(answer: FrictionFit, name: LawName) -> float | None:
    return next(f.log_likelihood for f in answer.compared if f.law == name)


def refused(runs: list[SlipRun], law: LawName | None = None) -> tuple[str, str]:
    with pytest.raises(BadInput) as told:
        fit_friction(runs, law or "auto")
    (problem,) = told.value.problems
    return problem.field, problem.message


def test_proportional_readings_take_the_proportional_law() -> None:
    answer = fit_friction(simulated(lambda f: 0.1 * PER_FRICTION * f, CLAMPS, 6, 0.05, seed=1))
    assert answer.fit.law == "proportional"
    assert answer.fit.mu.value == pytest.approx(0.1, rel=0.03)
    assert [f.law for f in answer.compared] == ["proportional", "power", "lost_load"]
    assert (answer.readings, answer.exact, answer.levels) == (24, 24, 4)
    assert answer.reference_clamp_n == pytest.approx(float(np.exp(np.mean(np.log(CLAMPS)))))
    assert any(w.startswith("Nothing speaks against") for w in answer.words)


@pytest.mark.parametrize(
    ("law", "torque"),
    [("power", lambda f: 1e-3 * f**1.6), ("lost_load", lambda f: 0.07 * (f - 150.0))],
)
def test_auto_takes_the_law_of_least_aicc(law: str, torque: object) -> None:
    answer = fit_friction(simulated(torque, CLAMPS, 20, 0.04, seed=2))  # type: ignore[arg-type]  # a law
    assert answer.fit.law == law
    assert answer.fit.aicc == min(f.aicc for f in answer.compared if f.aicc is not None)
    assert answer.p_proportional is not None
    assert answer.p_proportional < 1e-6
    assert any("grows faster than the clamp" in w and "common practice" in w for w in answer.words)


def test_a_law_that_is_asked_for_is_given() -> None:
    runs = simulated(lambda f: 1e-3 * f**1.6, CLAMPS, 20, 0.04, seed=2)
    for name in ("proportional", "power", "lost_load"):
        assert fit_friction(runs, name).fit.law == name


def test_a_torque_that_lags_behind_the_clamp_has_other_causes() -> None:
    answer = fit_friction(simulated(lambda f: f**0.6, CLAMPS, 20, 0.04, seed=2))
    assert any("slower than the clamp" in w and "near bind" in w for w in answer.words)


@pytest.mark.parametrize("seed", range(4))
def test_chance_of_a_departure_is_that_of_twice_the_gain(seed: int) -> None:
    runs = [*simulated(lambda f: 0.06 * f, CLAMPS, 4, 0.1, seed), run(800.0, at_least(40.0))]
    data = collect(runs)
    fitted = power(data)
    assert fitted is not None
    gain = (fitted.log_likelihood or 0.0) - (proportional(data).log_likelihood or 0.0)
    assert fit_friction(runs).p_proportional == pytest.approx(chi2.sf(2.0 * gain, 1), rel=1e-9)


def test_torque_scales_the_friction_and_nothing_else() -> None:
    def of(scale: float) -> FrictionFit:
        readings = ((200.0, 11.0, 12.5), (300.0, 19.5, 18.0), (600.0, 36.0, 39.0))
        return fit_friction([
            *(run(f, *(scale * t for t in torques)) for f, *torques in readings),
            run(400.0, SlipReading(scale * 22.0, scale * 26.0), at_most(scale * 30.0)),
            run(800.0, at_least(scale * 45.0)),
        ], "power")

    one, three = of(1.0), of(3.0)
    for name in ("value", "std", "low", "high"):
        assert getattr(three.fit.mu, name) == pytest.approx(3.0 * getattr(one.fit.mu, name),
                                                            rel=1e-6)
    assert three.fit.exponent is not None
    assert one.fit.exponent is not None
    assert three.fit.exponent.value == pytest.approx(one.fit.exponent.value, rel=1e-7)
    assert three.fit.sigma == pytest.approx(one.fit.sigma, rel=1e-7)
    assert three.p_proportional == pytest.approx(one.p_proportional, rel=1e-5)


def test_what_agrees_with_the_values_hardly_moves_the_fit() -> None:
    runs = simulated(lambda f: 0.06 * f, CLAMPS, 6, 0.05, seed=9)
    plain = fit_friction(runs, "proportional").fit
    predicted = plain.mu.value * PER_FRICTION * 500.0
    span = SlipReading(predicted / 1.001, predicted * 1.001)
    far = (at_least(predicted / 100.0), at_most(100.0 * predicted))
    with_far = fit_friction([*runs, run(500.0, *far)], "proportional").fit
    assert with_far.mu.value == pytest.approx(plain.mu.value, rel=1e-9)
    assert with_far.sigma == pytest.approx(plain.sigma, rel=1e-9)
    with_span = fit_friction([*runs, run(500.0, span)], "proportional").fit
    assert with_span.mu.value == pytest.approx(plain.mu.value, rel=1e-6)
    # A tight span at the prediction counts as one more reading without a departure.
    assert with_span.sigma == pytest.approx((plain.sigma or 0.0) * math.sqrt(24.0 / 25.0), rel=1e-3)


def test_a_bound_that_contradicts_the_values_pulls() -> None:
    runs = simulated(lambda f: 0.06 * f, CLAMPS, 6, 0.05, seed=9)
    plain = fit_friction(runs, "proportional").fit
    held = fit_friction([*runs, run(500.0, at_least(60.0))], "proportional").fit
    assert held.mu.value > plain.mu.value
    assert (held.sigma or 0.0) > 2.0 * (plain.sigma or 1.0)


def test_the_doubt_for_the_comparison_adds_the_spread_of_the_runs() -> None:
    runs = [run(300.0, 16.0, 17.0, SlipReading(17.0, 19.0)), run(300.0, 20.0, at_least(15.0)),
            run(600.0, 38.0, 40.0, 37.0), run(600.0, at_least(30.0))]
    answer = fit_friction(runs, "proportional")
    middles = ((300.0, [16.0, 17.0, math.sqrt(17.0 * 19.0)]), (300.0, [20.0]),
               (600.0, [38.0, 40.0, 37.0]))
    logs = [np.log(np.array(t) / (PER_FRICTION * f)).mean() for f, t in middles]
    mu, shown = answer.fit.mu, answer.mu_for_comparison
    assert mu.std is not None
    u = math.hypot(mu.std / mu.value, float(np.std(logs, ddof=1)))
    assert shown is not None
    assert shown.value == mu.value
    assert shown.std == pytest.approx(mu.value * u, rel=1e-9)
    assert shown.low == pytest.approx(mu.value * math.exp(-1.959964 * u), rel=1e-9)
    assert shown.high == pytest.approx(mu.value * math.exp(1.959964 * u), rel=1e-9)


def test_before_three_runs_the_scatter_stands_in_for_their_spread() -> None:
    answer = fit_friction([run(300.0, 16.0, 17.0), run(300.0, 20.0)])
    mu, shown = answer.fit.mu, answer.mu_for_comparison
    assert mu.std is not None
    assert answer.fit.sigma is not None
    assert shown is not None
    assert shown.std == pytest.approx(
        mu.value * math.hypot(mu.std / mu.value, answer.fit.sigma), rel=1e-9)


def test_the_figure_for_the_comparison_is_always_the_proportional_one() -> None:
    runs = simulated(lambda f: 1e-3 * f**1.6, CLAMPS, 20, 0.04, seed=2)
    answer = fit_friction(runs)
    assert answer.fit.law != "proportional"
    assert answer.mu_for_comparison is not None
    assert answer.mu_for_comparison.value == fit_friction(runs, "proportional").fit.mu.value


def test_residuals_stand_by_run_and_place() -> None:
    runs = [run(100.0), run(300.0, 16.0, at_least(15.0)), run(600.0, SlipReading(36.0, 49.0), 38.0)]
    answer = fit_friction(runs, "proportional")
    mu = answer.fit.mu.value
    found = {(r.run, r.place): r.value for r in answer.residuals}
    assert set(found) == {(1, 0), (1, 1), (2, 0), (2, 1)}
    assert found[1, 1] is None
    assert found[1, 0] == pytest.approx(math.log(16.0 / (mu * PER_FRICTION * 300.0)))
    assert found[2, 0] == pytest.approx(math.log(42.0 / (mu * PER_FRICTION * 600.0)))


@pytest.mark.parametrize("law", ["power", "lost_load"])
def test_residuals_are_those_of_the_law_taken(law: LawName) -> None:
    runs = simulated(lambda f: 0.07 * (f - 60.0), CLAMPS, 3, 0.05, seed=6)
    answer = fit_friction(runs, law)
    values = [r.value for r in answer.residuals if r.value is not None]
    # With values alone σ̂ is their root mean square.
    assert math.sqrt(np.mean(np.square(values))) == pytest.approx(answer.fit.sigma, rel=1e-6)


def test_no_value_is_refused_with_what_the_bounds_say() -> None:
    field, told = refused([run(500.0, at_least(30.0), at_most(60.0), SlipReading(33.0, 50.0))])
    assert field == "runs"
    assert "μ is at least 0.11 and at most 0.167" in told
    assert "Add at least one reading" in told
    field, told = refused([run(500.0, at_least(60.0)), run(500.0, at_most(30.0))])
    assert "contradict each other" in told
    assert "at least 0.2 and at most 0.1" in told


@pytest.mark.parametrize(
    ("runs", "why"),
    [
        ([run(300.0, 16.0, 17.0, 18.0)], "one clamp load; only a second one tells"),
        ([run(300.0, 16.0, 17.0, 18.0), run(600.0, at_least(30.0))],
         "values were read at one clamp load only"),
        ([run(300.0, 16.0), run(600.0, 33.0), run(600.0, at_least(30.0))], "take a third"),
        ([run(300.0, 18.0), run(400.0, 24.0), run(600.0, 36.0)], "no scatter"),
    ],
)
def test_too_little_for_a_second_law_is_said(runs: list[SlipRun], why: str) -> None:
    answer = fit_friction(runs)
    assert answer.fit.law == "proportional"
    assert [name for name, _ in answer.not_fitted] == ["power", "lost_load"]
    assert all(why in told for _, told in answer.not_fitted)
    assert any(why in word for word in answer.words)
    assert answer.p_proportional is None
    for law in ("power", "lost_load"):
        field, told = refused(runs, law)
        assert field == "law"
        assert why in told


def test_no_scatter_is_too_little_to_tell_a_doubt_from() -> None:
    answer = fit_friction([run(300.0, 18.0, 18.0, 18.0)])
    assert answer.fit.sigma is None
    assert answer.fit.mu == Estimate(pytest.approx(0.1, rel=1e-12), None, None, None)
    assert answer.mu_for_comparison is None
    assert any("too little to tell a doubt from" in word for word in answer.words)


def test_a_law_through_every_value_is_taken_and_said() -> None:
    runs = [run(f, 0.02 * f**1.3) for f in (*CLAMPS, 700.0, 800.0)]
    answer = fit_friction(runs)
    assert answer.fit.law == "power"
    assert answer.fit.sigma is None
    assert answer.p_proportional is None
    assert any("power law passes through every value" in word for word in answer.words)
    # Four readings are too few to take it.
    assert fit_friction(runs[:4]).fit.law == "proportional"


def test_with_too_few_readings_for_aicc_the_proportional_law_is_taken() -> None:
    runs = [run(200.0, 5.0), run(400.0, 16.0), run(600.0, 30.0), run(600.0, 30.5)]
    answer = fit_friction(runs)
    assert answer.fit.law == "proportional"
    assert next(f.aicc for f in answer.compared if f.law == "power") is None
    assert (law_of(answer, "power") or 0.0) > (law_of(answer, "proportional") or 0.0)


def test_few_readings_are_said_to_be_few() -> None:
    def said(each: int) -> bool:
        answer = fit_friction(simulated(lambda f: 0.06 * f, CLAMPS, each, 0.05, seed=1))
        return any(word.startswith("Fewer than 10 readings") for word in answer.words)

    assert said(2)
    assert not said(3)


def test_words_count_values_and_the_others() -> None:
    answer = fit_friction([run(300.0, 18.0, 19.0, SlipReading(16.0, 20.0))])
    assert answer.words[0] == ("μ = 0.103 by the proportional law, from 2 values and 1 span or "
                               "bound.")
    answer = fit_friction([run(300.0, 18.0, at_least(16.0), at_most(20.0))])
    assert "from 1 value and 2 spans or bounds" in answer.words[0]


def test_the_interval_holds_as_often_as_it_says() -> None:
    """300 logs of 12 values, two bounds and a span; by likelihood theory 93 to 94 % hold."""
    random = np.random.default_rng(20251125)
    inside = 0
    for _ in range(300):
        low, high = (0.1 * PER_FRICTION * f * np.exp(0.08 * random.standard_normal(7))
                     for f in (300.0, 500.0))
        runs = [run(300.0, *low[:6], SlipReading(low[6] // 1.0, low[6] // 1.0 + 1.0)),
                run(500.0, *(at_least(33.0) if t > 33.0 else t for t in high))]
        mu = proportional(collect(runs)).mu
        inside += (mu.low or 0.0) <= 0.1 <= (mu.high or 0.0)
    assert 0.90 <= inside / 300.0 <= 0.98
