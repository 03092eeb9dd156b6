"""What holds for every log of slip readings, however odd."""

import math
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from app.mechanics import censored
from app.mechanics.censored import CensoredFit, Responses, _terms, fit_censored
from app.mechanics.slip_laws import Estimate, LawFit
from app.mechanics.slip_readings import SlipReading, SlipRun, collect
from app.mechanics.slip_test import fit_friction
from app.mechanics.traced import Array

INFINITE = math.inf

torques = st.floats(0.01, 1000.0) | st.integers(1, 200).map(float)
values = torques.map(lambda t: SlipReading(t, t))
spans = st.tuples(torques, st.floats(1e-14, 3.0)).map(
    lambda p: SlipReading(p[0], p[0] * (1.0 + p[1])))
bounds = torques.map(lambda t: SlipReading(t, INFINITE)) | torques.map(
    lambda t: SlipReading(0.0, t))
readings = values | values | spans | bounds
clamps = st.sampled_from([200.0, 200.0001, 300.0, 600.0]) | st.floats(1.0, 1e4)
logs = st.lists(
    st.builds(SlipRun, clamps, st.just(12), st.just(50.0),
              st.lists(readings, max_size=4).map(tuple)),
    min_size=1, max_size=4)


def has_a_value(runs: list[SlipRun]) -> bool:
    return any(r.exact for run in runs for r in run.readings)


def figures(fit: LawFit) -> list[Estimate]:
    return [e for e in (fit.mu, fit.exponent, fit.lost_load_n) if e is not None]


@settings(max_examples=40)
@given(logs)
@example([SlipRun(200.0, 12, 50.0, (SlipReading(10.0, 10.0), SlipReading(30.0, 30.0))),
          SlipRun(400.0, 12, 50.0, (SlipReading(24.0, 24.0),))])
@example([SlipRun(100.0, 12, 50.0, (SlipReading(1.0, 1.0), SlipReading(1.1, 1.1))),
          SlipRun(101.0, 12, 50.0, (SlipReading(1e3, 1e3), SlipReading(1e3, INFINITE))),
          SlipRun(1e4, 12, 50.0, (SlipReading(0.0, 0.01),))])
def test_every_figure_is_a_number_inside_its_interval(runs: list[SlipRun]) -> None:
    assume(has_a_value(runs))
    with patch.object(censored, "_terms", wraps=_terms) as counted:
        answer = fit_friction(runs)
    # The work stays within bounds: a log of a few readings is no search without an end.
    assert counted.call_count < 20_000
    least = min(run.clamp_n for run in runs if run.readings)
    for fit in answer.compared:
        for figure in figures(fit):
            assert math.isfinite(figure.value)
            assert figure.std is None or figure.std >= 0.0
            assert figure.low is None or figure.low <= figure.value
            assert figure.high is None or figure.value <= figure.high < INFINITE
        assert fit.mu.value > 0.0
        assert fit.sigma is None or 0.0 < fit.sigma < INFINITE
        assert fit.log_likelihood is None or math.isfinite(fit.log_likelihood)
        if fit.lost_load_n is not None:
            assert fit.lost_load_n.value < least
    assert answer.p_proportional is None or 0.0 <= answer.p_proportional <= 1.0
    assert all(r.value is None or math.isfinite(r.value) for r in answer.residuals)
    assert answer.words


@settings(max_examples=60)
@given(logs, st.integers(0, 2**32 - 1))
def test_no_neighbour_is_more_likely_than_the_answer(runs: list[SlipRun], seed: int) -> None:
    assume(has_a_value(runs))
    data = collect(runs)
    responses = data.responses.shifted(data.offset)
    design = np.ones((data.offset.size, 1))
    fit = fit_censored(design, responses)
    assume(fit.scatter)
    random = np.random.default_rng(seed)
    for size in (1e-3, 0.1, 1.0):
        for _ in range(5):
            beta = fit.beta + size * fit.sigma * random.standard_normal(1)
            sigma = fit.sigma * math.exp(size * random.standard_normal())
            near = _terms(design, responses, np.append(beta, 1.0) / sigma)[0]
            assert near <= fit.log_likelihood + 1e-7 * (1.0 + abs(fit.log_likelihood))


@settings(max_examples=60)
@given(st.lists(st.floats(0.02, 0.5), min_size=2, max_size=40), st.floats(50.0, 5000.0))
def test_values_alone_have_a_closed_form(frictions: list[float], clamp: float) -> None:
    run = SlipRun(clamp, 12, 50.0, tuple(
        SlipReading(t, t) for t in (mu * 12 * clamp * 0.05 for mu in frictions)))
    y, n = np.log(frictions), len(frictions)
    assume(float(np.std(y)) > 1e-4)
    fit = fit_friction([run]).fit
    reach = float(np.std(y)) * math.sqrt(math.expm1(3.841458820694124 / n))
    assert math.log(fit.mu.value) == pytest.approx(float(np.mean(y)), abs=1e-8)
    assert fit.sigma == pytest.approx(float(np.std(y)), rel=1e-6)
    assert math.log(fit.mu.low or 0.0) == pytest.approx(float(np.mean(y)) - reach, abs=1e-5)
    assert math.log(fit.mu.high or 0.0) == pytest.approx(float(np.mean(y)) + reach, abs=1e-5)


def rows(runs: list[SlipRun]) -> tuple[Responses, Array]:
    """Every reading for itself, with its offset."""
    with np.errstate(divide="ignore"):
        low, high = (np.log([getattr(r, end) for run in runs for r in run.readings])
                     for end in ("low_nm", "high_nm"))
    exact = np.array([r.exact for run in runs for r in run.readings])
    offset = np.log([run.torque_per_friction for run in runs for _ in run.readings])
    return Responses(low, np.where(exact, low, high), np.ones(low.size)), offset


@settings(max_examples=60)
@given(logs)
def test_a_log_drawn_together_is_fitted_as_every_row_for_itself(runs: list[SlipRun]) -> None:
    assume(has_a_value(runs))

    def fit_of(responses: Responses, offset: Array) -> CensoredFit:
        return fit_censored(np.ones((offset.size, 1)), responses.shifted(offset))

    data = collect(runs)
    together, apart = fit_of(data.responses, data.offset), fit_of(*rows(runs))
    assert together.scatter == apart.scatter
    assume(apart.scatter)
    assert together.beta[0] == pytest.approx(apart.beta[0], abs=1e-6 * (1.0 + apart.sigma))
    assert together.sigma == pytest.approx(apart.sigma, rel=1e-5)
    assert together.log_likelihood == pytest.approx(apart.log_likelihood, abs=1e-5)
