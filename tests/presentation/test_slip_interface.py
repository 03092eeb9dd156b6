import json

import pytest

from app.comparison.slip_plan import Link, plan_slip_test
from app.mechanics.slip_laws import Estimate
from app.mechanics.slip_test import fit_friction
from app.presentation.cautions import CAUTIONS
from app.presentation.slip_interface import TEST_CAUTIONS, estimate, friction_fit
from app.presentation.slip_interface import test_plan as written_plan
from tests.mechanics.samples import OILED_SLIDING, coil_pack, load_pack
from tests.mechanics.slip_samples import at_least, run, simulated

FIGURES = {"value", "std", "low", "high"}


def test_an_estimate_is_written_with_its_interval_or_null() -> None:
    assert estimate(Estimate(0.1, 0.01, 0.08, None)) == {
        "value": 0.1, "std": 0.01, "low": 0.08, "high": None}
    assert estimate(None) is None


@pytest.mark.parametrize(
    ("law", "own"), [("proportional", None), ("power", "exponent"), ("lost_load", "lost_load_n")])
def test_the_law_taken_stands_at_the_top_with_its_own_figure(law: str, own: str | None) -> None:
    fit = fit_friction(simulated(lambda f: 0.06 * (f - 40.0), (200.0, 400.0), 4, 0.1, 1), law)  # type: ignore[arg-type]  # one of the names
    answer = friction_fit(fit)
    assert answer["law"] == law
    assert set(answer["mu"]) == FIGURES
    assert {"exponent", "lost_load_n"} & set(answer) == ({own} if own else set())
    if own:
        assert set(answer[own]) == FIGURES
    assert answer["sigma"] == fit.fit.sigma
    assert answer["aicc"] == fit.fit.aicc
    assert answer["log_likelihood"] == fit.fit.log_likelihood
    assert [part["law"] for part in answer["compared"]] == ["proportional", "power", "lost_load"]
    (same,) = (part for part in answer["compared"] if part["law"] == law)
    assert all(answer[key] == figure for key, figure in same.items())


def test_laws_that_could_not_be_fitted_say_why() -> None:
    answer = friction_fit(fit_friction([run(300.0, 18.0, 19.0, at_least(15.0))]))
    first, *others = answer["compared"]
    assert first["law"] == "proportional"
    assert [set(part) for part in others] == [{"law", "not_fitted"}] * 2
    assert all("one clamp load" in part["not_fitted"] for part in others)
    assert answer["p_proportional"] is None
    assert (answer["readings"], answer["exact_readings"], answer["clamp_levels"]) == (3, 2, 1)
    assert answer["reference_clamp_n"] == pytest.approx(300.0)
    assert answer["residuals"][2] == {"run": 0, "place": 2, "value": None}
    assert set(answer["mu_for_comparison"]) == FIGURES


def test_no_scatter_is_null_and_not_a_number() -> None:
    answer = friction_fit(fit_friction([run(300.0, 18.0, 18.0)]))
    assert (answer["sigma"], answer["aicc"], answer["mu_for_comparison"]) == (None, None, None)
    assert answer["mu"] == {
        "value": pytest.approx(0.1), "std": None, "low": None, "high": None}
    # Strict JSON has no NaN.
    json.dumps(answer, allow_nan=False)


def test_a_plan_is_written_whole() -> None:
    plan = plan_slip_test(
        coil_pack(), OILED_SLIDING, [Link("square", "drive", size_mm=12.5, yield_mpa=900.0)],
        speed_rpm=60.0, seconds=2.0, plate_mass_kg=0.4, max_temperature_rise_k=50.0, arm_m=0.5)
    answer = written_plan(plan)
    assert set(answer) == {
        "by_springs", "recommended_springs", "links", "power_w", "temperature_rise_k",
        "longest_run_s", "arm_force_n", "words", "cautions",
    }
    assert [line["springs"] for line in answer["by_springs"]] == [1, 2, 3, 4, 5, 6]
    for line, case in zip(answer["by_springs"], plan.cases, strict=True):
        assert set(line) == {"springs", "balanced", "predicted_nm", "weakest", "utilisation"}
        assert line["predicted_nm"] == {
            name: getattr(case.predicted, name) for name in ("value", "std", "low", "high")}
        assert line["utilisation"] == case.utilisation
    (link,) = answer["links"]
    assert set(link) == {"name", "limit_nm", "yield_nm", "plastic_nm"}
    for name in ("power_w", "temperature_rise_k", "longest_run_s", "arm_force_n"):
        assert answer[name] == getattr(plan, name) is not None
    assert answer["recommended_springs"] == plan.recommended_springs == 6
    json.dumps(answer, allow_nan=False)


def test_a_clamp_without_springs_has_no_number_of_them() -> None:
    answer = written_plan(plan_slip_test(load_pack(), OILED_SLIDING, []))
    assert [line["springs"] for line in answer["by_springs"]] == [None]
    assert answer["by_springs"][0]["utilisation"] is None


def test_every_plan_carries_the_cautions_of_the_bench() -> None:
    answer = written_plan(plan_slip_test(load_pack(), OILED_SLIDING, []))
    assert answer["cautions"] == [CAUTIONS[key].text for key in TEST_CAUTIONS]
    assert {"spring", "turning-parts", "chuck-key", "slip-test", "dust"} <= set(TEST_CAUTIONS)
