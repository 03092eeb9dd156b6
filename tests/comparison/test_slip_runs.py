import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.comparison.cell import Reading
from app.comparison.slip_runs import (
    BenchRun,
    Measured,
    against_prediction,
    fit_pack,
    law_torque,
    measured,
    run_load,
)
from app.mechanics.slip_laws import Estimate, LawFit
from tests.mechanics.samples import (
    OILED_SLIDING,
    POINT_SPRING,
    WIRE_SPRING,
    coil_pack,
    load_pack,
    weights_pack,
)
from tests.mechanics.slip_samples import SlipReading, at_least, value

PACK = coil_pack()


def bench(key: str, springs: int | None, *torques: float, **more: object) -> BenchRun:
    return BenchRun(key, tuple(value(t) for t in torques), springs, **more)  # type: ignore[arg-type]  # a test's words


def torque(springs: int, mu: float) -> float:
    """T = μ z F R of the pack with so many springs."""
    load = run_load(PACK, OILED_SLIDING, bench("x", springs)).load
    return mu * 12 * (load.clamp_n or 0.0) * 44.0 / 1000.0


@pytest.mark.parametrize(
    ("springs", "words"),
    [(6, ""), (4, ""), (3, ""), (None, ""), (5, "5 springs of 6 can't sit evenly"),
     (2, "2 springs: fewer than three"), (1, "1 spring: fewer than three")],
)
def test_a_run_that_does_not_sit_evenly_is_left_out_but_can_be_taken(
    springs: int | None, words: str
) -> None:
    load = run_load(PACK, OILED_SLIDING, bench("a", springs, 10.0))
    assert load.possible
    assert load.why_out.startswith(words)
    assert bool(load.why_out) == bool(words)
    assert load.springs == (springs or 6)


@pytest.mark.parametrize(
    ("pack", "run", "words"),
    [
        (PACK, bench("a", 7, 10.0), "7 springs were fitted, but the pack has 6 positions."),
        (coil_pack(WIRE_SPRING, POINT_SPRING), bench("a", 5, 10.0), "different numbers of springs"),
        (coil_pack(facing_od_mm=None), bench("a", 6, 10.0), "The pack lacks figures"),
        (weights_pack(mounting="crankshaft"), bench("a", None, 10.0), "Weights do not press"),
    ],
)
def test_a_run_without_a_clamp_load_can_not_be_taken(pack, run, words) -> None:
    load = run_load(pack, OILED_SLIDING, run)
    assert not load.possible
    assert words in load.why_out
    fit = fit_pack([load], {"a"}, "auto")
    assert (fit.taken, fit.fit) == ((False,), None)
    assert "nothing to fit" in fit.refusal


def test_friction_that_is_not_known_keeps_no_run_out() -> None:
    load = run_load(coil_pack(friction={}), OILED_SLIDING, bench("a", 6, 10.0))
    assert load.possible
    assert load.load.predicted is None


def test_wear_lowers_the_clamp_and_whole_groups_count_as_all() -> None:
    new, worn = (run_load(PACK, OILED_SLIDING, bench("a", 6, 10.0, wear_mm=w)).load.clamp_n or 0.0
                 for w in (0.0, 1.0))
    # Compression 40 − 28 + 0.5 = 12.5 mm, so a millimetre of wear takes 1/12.5 of it.
    assert worn == pytest.approx(new * 11.5 / 12.5)
    two = coil_pack(WIRE_SPRING, POINT_SPRING)
    assert run_load(two, OILED_SLIDING, bench("a", 11, 10.0)).possible
    assert run_load(load_pack(), OILED_SLIDING, bench("a", 3, 10.0)).springs is None


def test_the_mean_of_a_run_carries_scatter_span_accuracy_and_resolution() -> None:
    run = BenchRun("a", (value(40.0), value(44.0), SlipReading(41.0, 45.0), at_least(60.0)),
                   relative_accuracy=0.03, resolution_nm=0.5)
    found = measured(run)
    assert found is not None
    assert (found.values, found.bounds) == (3, 1)
    mean = (40.0 + 44.0 + 43.0) / 3.0
    variance = ((40 - mean) ** 2 + (44 - mean) ** 2 + (43 - mean) ** 2) / 2.0
    assert found.value == pytest.approx(mean)
    assert found.spread == pytest.approx(math.sqrt(variance))
    u2 = variance / 3.0 + (2.0**2 / 3.0) / 9.0 + (0.03 * mean) ** 2 / 3.0 + 0.5**2 / 12.0
    assert found.std == pytest.approx(math.sqrt(u2))
    assert measured(BenchRun("a", (at_least(60.0),))) is None


def test_one_exact_value_has_no_scatter_to_tell_from() -> None:
    found = measured(bench("a", 6, 40.0))
    assert found == Measured(40.0, 0.0, None, 1, 0)


def test_measured_less_predicted_in_combined_uncertainties() -> None:
    compared = against_prediction(Measured(54.0, 3.0, None, 1, 0), Reading(50.0, 4.0, 42.0, 58.0))
    assert compared is not None
    assert (compared.difference_nm, compared.combined_std_nm) == (4.0, 5.0)
    assert compared.in_uncertainties == pytest.approx(0.8)
    exact = against_prediction(Measured(54.0, 0.0, None, 1, 0), Reading(50.0, 0.0, 50.0, 50.0))
    assert exact is not None
    assert exact.in_uncertainties is None
    assert against_prediction(None, Reading(1, 1, 1, 1)) is None
    assert against_prediction(Measured(1.0, 1.0, None, 1, 0), None) is None


def test_the_fit_finds_the_friction_of_the_runs_that_are_taken() -> None:
    runs = [bench(f"r{k}{i}", k, torque(k, mu)) for k in (6, 4, 3)
            for i, mu in enumerate((0.118, 0.121))]
    runs += [bench("two", 2, torque(2, 0.09)),
             replace(bench("out", 6, torque(6, 0.2)), excluded_reason="the arm slid")]
    loads = [run_load(PACK, OILED_SLIDING, run) for run in runs]
    fit = fit_pack(loads, (), "proportional")
    assert fit.taken == (*[True] * 6, False, False)
    assert fit.fit is not None
    # Geometric middle of the two coefficients: ln T is fitted.
    assert fit.fit.fit.mu.value == pytest.approx(math.sqrt(0.118 * 0.121), rel=1e-6)
    assert fit.whole is not None
    assert fit.whole.exact == 8
    taken = fit_pack(loads, {"two"}, "proportional")
    assert taken.taken == (*[True] * 6, True, False)
    assert taken.fit is not None
    assert taken.fit.exact == 7
    assert taken.fit.residuals[-1].run == 6, "a run that is left out keeps its place"
    assert loads[-1].excluded
    assert loads[-1].why_out == "the arm slid"


@given(st.floats(0.0, 3000.0))
def test_the_laws_meet_where_they_must(clamp: float) -> None:
    mu = Estimate(0.12, None, None, None)
    plain = LawFit("proportional", mu, None, None, None, None, None)
    power = replace(plain, law="power", exponent=Estimate(1.0, None, None, None))
    lost = replace(plain, law="lost_load", lost_load_n=Estimate(0.0, None, None, None))
    expected = 0.12 * 0.6 * clamp
    for law in (plain, power, lost):
        assert law_torque(law, clamp, 0.6, 1000.0) == pytest.approx(expected, abs=1e-12)
    bent = replace(power, exponent=Estimate(1.2, None, None, None))
    assert law_torque(bent, 1000.0, 0.6, 1000.0) == pytest.approx(0.12 * 0.6 * 1000.0)
    less = replace(lost, lost_load_n=Estimate(100.0, None, None, None))
    assert law_torque(less, clamp, 0.6, 1000.0) == pytest.approx(
        0.12 * 0.6 * max(clamp - 100.0, 0.0))
