import math

import numpy as np
import pytest

from app.errors import BadInput
from app.mechanics.censored import Responses, fit_censored
from app.mechanics.slip_readings import MOST_DISTINCT, SlipReading, SlipRun, collect

INFINITE = math.inf


def value(torque: float) -> SlipReading:
    return SlipReading(torque, torque)


def run(clamp: float, *readings: SlipReading) -> SlipRun:
    return SlipRun(clamp, 12, 50.0, readings)


def test_what_a_reading_is() -> None:
    assert value(20.0).exact
    assert value(20.0).middle_nm == 20.0
    span = SlipReading(16.0, 25.0)
    assert not span.exact
    assert span.middle_nm == pytest.approx(20.0)
    for bound in (SlipReading(0.0, 25.0), SlipReading(135.0, INFINITE)):
        assert not bound.exact
        assert bound.middle_nm is None
    # No gauge shows the span between two neighbouring numbers.
    assert SlipReading(10.0, math.nextafter(10.0, 11.0)).exact


def test_torque_at_a_friction_of_one() -> None:
    assert run(783.36).torque_per_friction == pytest.approx(12 * 783.36 * 50.0 / 1000.0)


def test_readings_enter_as_logarithms_with_their_run() -> None:
    data = collect([run(200.0, value(10.0), SlipReading(0.0, 12.0)),
                    run(400.0, SlipReading(18.0, 22.0), SlipReading(30.0, INFINITE))])
    assert data.responses.low == pytest.approx([math.log(10), -INFINITE, *np.log([18, 30])])
    assert data.responses.high == pytest.approx([*np.log([10, 12, 22]), INFINITE])
    assert list(data.run) == [0, 0, 1, 1]
    assert list(data.clamp) == [200.0, 200.0, 400.0, 400.0]
    assert data.offset == pytest.approx(np.log([120.0, 120.0, 240.0, 240.0]))
    assert data.count == 4


def test_the_reference_load_is_the_geometric_mean_over_the_readings() -> None:
    data = collect([run(100.0, *[value(5.0 + i) for i in range(3)]), run(800.0, value(40.0))])
    assert data.reference == pytest.approx((100.0**3 * 800.0) ** 0.25)
    assert data.log_clamp == pytest.approx(np.log(data.clamp / data.reference))


def test_many_values_of_one_run_become_two_points_that_say_as_much() -> None:
    torques = [18.0, 19.5, 21.0, 20.2, 22.7]
    spans = [SlipReading(19.0, 21.0)] * 4
    data = collect([run(300.0, *map(value, torques), *spans)])
    assert data.responses.weight == pytest.approx([2.5, 2.5, 4.0])
    assert data.count == 9
    assert data.responses.exact.sum() == 2
    # Every row for itself gives the same fit.
    y = np.log([*torques, *[19.0] * 4]), np.log([*torques, *[21.0] * 4])

    rows = Responses(*y, np.ones(9))
    whole, short = fit_censored(np.ones((9, 1)), rows), fit_censored(np.ones((3, 1)),
                                                                    data.responses)
    assert short.beta[0] == pytest.approx(whole.beta[0], abs=1e-10)
    assert short.sigma == pytest.approx(whole.sigma, rel=1e-8)
    assert short.log_likelihood == pytest.approx(whole.log_likelihood, abs=1e-9)
    assert short.covariance == pytest.approx(whole.covariance, rel=1e-6, abs=1e-12)


def test_a_run_without_readings_keeps_its_place() -> None:
    data = collect([run(100.0), run(300.0, value(20.0))])
    assert list(data.run) == [1]


@pytest.mark.parametrize("runs", [[], [run(100.0)]])
def test_no_reading_is_refused(runs: list[SlipRun]) -> None:
    with pytest.raises(BadInput) as refused:
        collect(runs)
    assert [p.field for p in refused.value.problems] == ["runs"]


def test_torques_of_next_to_nothing_are_refused_with_their_place() -> None:
    with pytest.raises(BadInput) as refused:
        collect([run(300.0, value(20.0), value(1e-12)), run(1e-12, value(20.0)),
                 run(300.0, SlipReading(0.0, 1e-10)), run(1e-12)])
    assert [p.field for p in refused.value.problems] == [
        "runs.0.readings.1", "runs.1.clamp_n", "runs.2.readings.0"]


def test_more_differing_readings_than_a_fit_can_take_are_refused() -> None:
    bounds = [SlipReading(10.0 + i / 1000.0, INFINITE) for i in range(MOST_DISTINCT)]
    with pytest.raises(BadInput) as refused:
        collect([run(300.0, value(20.0), *bounds)])
    assert f"{MOST_DISTINCT + 1} differ" in refused.value.problems[0].message
    # As many alike are one, and as many values two.
    assert collect([run(300.0, value(20.0), *bounds[:1] * 20_000)]).count == 20_001
    assert collect([run(300.0, *[value(20.0 + i) for i in range(20_000)])]).count == 20_000
