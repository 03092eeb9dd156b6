"""Slip tests as the trade tells them: common practice, no source."""

import math

import pytest

from app.comparison.slip_plan import Link, SlipPlan, plan_slip_test
from app.mechanics.inputs import CoilClamp, PackInputs, Quantity, SpringGroup, State
from app.mechanics.slip_readings import SlipReading, SlipRun
from app.mechanics.slip_test import FrictionFit, fit_friction

PER_SPRING_N = 130.56
FACES, RADIUS_MM = 12, 50.1


def run(springs: int, *readings: SlipReading) -> SlipRun:
    return SlipRun(springs * PER_SPRING_N, FACES, RADIUS_MM, readings)


def value(torque: float) -> SlipReading:
    return SlipReading(torque, torque)


def six_spring_pack() -> PackInputs:
    """The same pack with the friction that two and three springs suggest, 0.13 to 0.19."""
    group = SpringGroup(
        count=6, free_length_mm=Quantity(30.0),
        installed_length_mm=Quantity(30.0 - PER_SPRING_N / 14.3), rate_n_per_mm=Quantity(14.3))
    return PackInputs(
        friction_plates=6, facing_od_mm=Quantity(108.0), facing_id_mm=Quantity(92.4),
        clamp=CoilClamp((group,)),
        friction={("oiled", "sliding"): Quantity(0.16, plus_minus=0.03)})


def slipped() -> FrictionFit:
    # With two of six springs it slipped at 19 to 26 N·m, with three at 41 to 47, and with all six
    # it held a wrench set to 135. Both ends of each range are readings that a gauge showed.
    return fit_friction([
        run(2, value(19.0), value(26.0)), run(3, value(41.0), value(47.0)),
        run(6, SlipReading(135.0, math.inf)),
    ])


def test_torque_that_outruns_the_clamp_is_told() -> None:
    answer = slipped()
    assert answer.p_proportional is not None
    assert answer.p_proportional < 0.05
    told = " ".join(answer.words)
    assert "Torque is not proportional to clamp load" in told
    assert "grows faster than the clamp" in told
    assert "plates rocking on too few springs" in told
    assert "common practice" in told
    power = next(f for f in answer.compared if f.law == "power")
    assert power.exponent is not None
    assert power.exponent.low is not None
    assert power.exponent.low > 1.0


def test_the_wrench_that_held_contradicts_what_two_springs_promise() -> None:
    # Scaled up from two springs by proportion the pack would slip at 57 to 78 N·m, far below 135.
    low, high = (t * 6 / 2 for t in (19.0, 26.0))
    assert (low, high) == (57.0, 78.0)
    with_all, without = slipped(), fit_friction([run(2, value(19.0), value(26.0))])
    predicted = without.fit.mu.value * FACES * 6 * PER_SPRING_N * RADIUS_MM / 1000.0
    assert predicted < 78.0
    # The bound is not thrown away: it lifts μ.
    assert with_all.fit.mu.value > without.fit.mu.value


def test_the_other_direction_slipped_as_the_first_at_two_springs_and_is_kept() -> None:
    # With three springs it slipped at 25 to 26 N·m the other way round: two thirds of the first
    # way. The scatter says so, and the interval holds both.
    both = fit_friction([
        run(3, value(41.0), value(47.0)), run(3, value(25.0), value(26.0))])
    one = fit_friction([run(3, value(41.0), value(47.0))])
    assert both.fit.sigma is not None
    assert one.fit.sigma is not None
    assert both.fit.sigma > 3.0 * one.fit.sigma
    per_friction = FACES * 3 * PER_SPRING_N * RADIUS_MM / 1000.0
    assert both.fit.mu.low is not None
    assert both.fit.mu.high is not None
    assert both.fit.mu.low < 33.0 / per_friction < both.fit.mu.high


def soft_drive() -> SlipPlan:
    # A square of mild steel, 8.9 mm across where the drive has 9.5, yields at about 350 MPa.
    return plan_slip_test(
        six_spring_pack(), State(),
        [Link("gauge", "wrench", max_nm=135.0), Link("rated", "drive", max_nm=202.0),
         Link("square", "stub", size_mm=8.9, yield_mpa=350.0)],
        springs_fitted=2)


def test_two_springs_let_the_plates_tilt() -> None:
    plan = soft_drive()
    assert [c.springs for c in plan.cases if not c.balanced] == [1, 2, 5]
    assert plan.chosen is not None
    assert plan.chosen.springs == 2
    assert any("does not sit evenly: the pressure plate can tilt" in w for w in plan.words)


def test_a_soft_square_is_the_weakest_link() -> None:
    # It failed before 80 N·m: it begins to yield near 30 and is fully plastic near 47.
    plan = soft_drive()
    (stub,) = (link for link in plan.links if link.name == "stub")
    assert stub.yield_nm == pytest.approx(30.0, abs=0.5)
    assert stub.plastic_nm == pytest.approx(47.0, abs=0.5)
    assert stub.plastic_nm is not None
    assert stub.plastic_nm < 80.0
    assert {c.weakest for c in plan.cases} == {"stub"}
    # At 80 N·m it is far past yield, so no number of springs that gets there is recommended.
    assert plan.recommended_springs is None
    assert any("stronger chain" in word for word in plan.words)
