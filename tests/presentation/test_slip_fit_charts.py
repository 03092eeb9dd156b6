import json
import math
from dataclasses import replace

import pytest

from app.comparison.slip_load import SlipLoad
from app.comparison.slip_runs import BenchRun, PackFit, RunLoad, fit_pack
from app.documents import SlipTest
from app.mechanics.slip_test import FrictionFit
from app.presentation.slip_fit_charts import (
    RunResidual,
    direction_chart,
    direction_words,
    drift_words,
    order_chart,
    per_cent,
    run_residuals,
    torque_chart,
)
from tests.factories import make_slip_test
from tests.mechanics.slip_samples import FACES, PER_FRICTION, RADIUS, at_least, value


def loads() -> list[RunLoad]:
    made = []
    for n, (clamp, mus) in enumerate(((900.0, (0.118, 0.122)), (600.0, (0.119, 0.121)),
                                      (300.0, (0.12, 0.124)))):
        readings = tuple(value(mu * PER_FRICTION * clamp) for mu in mus)
        if n == 0:
            readings = (*readings, at_least(60.0))
        run = BenchRun(str(n), readings)
        made.append(RunLoad(run, 6, SlipLoad(clamp, FACES, RADIUS, None), (), "", True))
    out = replace(made[-1], run=BenchRun("out", (value(9.0),)), why_out="two springs")
    return [*made, out]


def fitted() -> tuple[PackFit, FrictionFit]:
    pack = fit_pack(loads(), (), "proportional")
    assert pack.fit is not None
    return pack, pack.fit


def tests() -> list[SlipTest]:
    return [make_slip_test("abc", name=f"run {n}", direction=d)
            for n, d in enumerate(("clockwise", "anticlockwise", None, None))]


tests.__test__ = False  # type: ignore[attr-defined]  # a helper, whatever its name begins with


def residual(number: int, *values: float, direction: str | None = None) -> RunResidual:
    return RunResidual(number, make_slip_test("abc", direction=direction), values)


def test_the_torque_chart_has_law_band_readings_and_the_same_numbers_as_a_table() -> None:
    pack, fit = fitted()
    chart = torque_chart(pack, fit)
    json.dumps(chart.spec, allow_nan=False)
    by_name = {t.get("name", ""): t for t in chart.spec["traces"]}
    law = by_name["Law"]
    mu = fit.fit.mu.value
    assert law["y"][-1] == pytest.approx(mu * PER_FRICTION * law["x"][-1])
    low, high = chart.spec["traces"][:2]
    sigma = fit.fit.sigma or 0.0
    assert high["y"][-1] / low["y"][-1] == pytest.approx(math.exp(2 * 1.959964 * sigma))
    assert high["fill"] == "tonexty"
    assert by_name["At least"]["marker"]["symbol"] == "triangle-up"
    out = [t for t in chart.spec["traces"] if t.get("marker", {}).get("symbol") == "circle-open"]
    assert out[0]["y"] == [9.0]
    assert len(chart.rows) == 4
    assert chart.rows[0][4] == "taken"
    assert chart.rows[3][4] == "left out"
    assert "at least 60" in chart.rows[0][2]
    assert "6 values at 3 clamp loads" in chart.says


def test_residuals_are_those_of_the_runs_that_are_taken() -> None:
    _, fit = fitted()
    found = run_residuals(fit, tests())
    assert [(r.number, len(r.values)) for r in found] == [(1, 2), (2, 2), (3, 2)]
    mu = fit.fit.mu.value
    assert found[0].values[0] == pytest.approx(math.log(0.118 / mu), abs=1e-9)
    chart = order_chart(found)
    assert len(chart.rows) == 3
    assert chart.spec["traces"][0]["y"][0] == pytest.approx(per_cent(found[0].values[0]))
    assert per_cent(math.log(1.05)) == pytest.approx(5.0)
    by_direction = direction_chart(found)
    assert [row[0] for row in by_direction.rows] == ["clockwise", "anticlockwise", "not said"]


def test_a_drift_is_told_with_its_size_and_none_is_told_of_scatter() -> None:
    rising = [residual(n, 0.02 * n) for n in range(1, 6)]
    assert "the last holds about 8.3\u00a0% more than the first" in drift_words(rising)
    assert "common practice" in drift_words(rising)
    falling = [residual(n, -0.02 * n) for n in range(1, 6)]
    assert "less than the first" in drift_words(falling)
    scatter = [residual(n, (-1) ** n * 0.02) for n in range(1, 7)]
    assert drift_words(scatter) == "No drift is to be seen over the runs."
    assert "Fewer than 4 runs" in drift_words(rising[:3])


def test_the_direction_is_told_only_of_enough_runs() -> None:
    def groups(one: list[float], other: list[float]) -> dict[str, list[RunResidual]]:
        return {"clockwise": [residual(1, x) for x in one],
                "anticlockwise": [residual(1, x) for x in other], "not said": []}

    assert "two runs each way" in direction_words(groups([0.0], [0.1, 0.1]))
    assert "5.1\u00a0% more clockwise" in direction_words(groups([0.05, 0.051], [0.0, 0.001]))
    assert "more anticlockwise" in direction_words(groups([0.0, 0.001], [0.05, 0.051]))
    assert "agree" in direction_words(groups([0.0, 0.1], [0.02, 0.09]))
