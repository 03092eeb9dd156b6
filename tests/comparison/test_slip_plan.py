import math
from dataclasses import replace

import pytest

from app.comparison.cell import evaluate
from app.comparison.slip_plan import (
    MOST_POSITIONS,
    UTILISATION_LIMIT,
    Link,
    SlipPlan,
    plan_slip_test,
)
from app.errors import BadInput
from app.mechanics.inputs import PackInputs, State
from app.mechanics.torsion import plastic_torque, yield_torque
from tests.mechanics.samples import (
    GIVEN_SPRING,
    OILED_SLIDING,
    WIRE_SPRING,
    coil_pack,
    disc_pack,
    load_pack,
    q,
    table_pack,
    weights_pack,
)

AT_SPEED = replace(OILED_SLIDING, speed_rpm=4000.0)


def gauge(limit: float) -> Link:
    return Link("gauge", "gauge", max_nm=limit)


def upper_end(pack: PackInputs) -> float:
    """Upper end of the band with all springs fitted."""
    capacity = evaluate(pack, None, OILED_SLIDING).capacity
    assert capacity is not None
    return capacity.high


def refused(pack: PackInputs, chain: list[Link] | None = None, **more: object) -> dict[str, str]:
    state = more.pop("state", OILED_SLIDING)
    assert isinstance(state, State)
    with pytest.raises(BadInput) as told:
        plan_slip_test(pack, state, chain or [], **more)  # type: ignore[arg-type]  # a test's words
    return {p.field: p.message for p in told.value.problems}


def said(plan: SlipPlan, part: str) -> bool:
    return any(part in word for word in plan.words)


@pytest.mark.parametrize(
    "pack", [coil_pack(), coil_pack(GIVEN_SPRING, GIVEN_SPRING), load_pack(), disc_pack(),
             table_pack()])
def test_the_band_with_all_springs_is_that_of_the_cell(pack: PackInputs) -> None:
    plan = plan_slip_test(pack, OILED_SLIDING, [])
    capacity = evaluate(pack, None, OILED_SLIDING).capacity
    assert capacity is not None
    last = plan.cases[-1].predicted
    for name in ("value", "std", "low", "high"):
        assert getattr(last, name) == pytest.approx(getattr(capacity, name), rel=1e-12)


def test_every_number_of_springs_is_worked_out() -> None:
    plan = plan_slip_test(coil_pack(), OILED_SLIDING, [gauge(135.0)])
    assert [c.springs for c in plan.cases] == [1, 2, 3, 4, 5, 6]
    assert [c.balanced for c in plan.cases] == [False, False, True, True, False, True]
    whole = plan.cases[-1]
    for case in plan.cases:
        assert case.springs is not None
        for name in ("value", "low", "high"):
            assert getattr(case.predicted, name) == pytest.approx(
                getattr(whole.predicted, name) * case.springs / 6.0, rel=1e-9)
        assert case.utilisation == pytest.approx(
            (whole.utilisation or 0.0) * case.springs / 6.0, rel=1e-9)
        assert case.utilisation == pytest.approx(case.predicted.high / 135.0, rel=1e-12)


def test_groups_with_one_count_share_their_positions() -> None:
    plan = plan_slip_test(coil_pack(GIVEN_SPRING, GIVEN_SPRING), OILED_SLIDING, [gauge(1e3)])
    assert [c.springs for c in plan.cases] == [1, 2, 3]


@pytest.mark.parametrize(("room", "springs"), [(1.0001, 6), (0.99, 4), (0.6, 3), (0.4, None)])
def test_recommended_is_the_largest_balanced_number_within_the_limit(
    room: float, springs: int | None
) -> None:
    pack = coil_pack()
    limit = room * upper_end(pack) / UTILISATION_LIMIT
    plan = plan_slip_test(pack, OILED_SLIDING, [gauge(limit), gauge(10.0 * limit)])
    assert plan.recommended_springs == springs
    for case in plan.cases:
        fits = case.balanced and (case.utilisation or 9.0) <= 0.8
        assert fits == (springs is not None and case.balanced and (case.springs or 9) <= springs)
    if springs is None:
        assert plan.chosen is None
        assert said(plan, "None: a stronger chain is needed. Even the fewest springs that sit")
    else:
        assert said(plan, f"Fit {springs} of 6 springs, evenly spaced.")
        assert said(plan, f"Scale the result by 6/{springs}") == (springs < 6)


def test_the_weakest_link_is_named_and_each_has_its_limit() -> None:
    chain = [
        Link("gauge", "wrench", max_nm=135.0), Link("rated", "adapter", max_nm=62.0),
        Link("round", "stub", size_mm=9.0, yield_mpa=600.0),
        Link("square", "drive", size_mm=8.9, yield_mpa=350.0),
        Link("hexagon", "key", size_mm=10.0, yield_mpa=900.0),
    ]
    plan = plan_slip_test(coil_pack(), OILED_SLIDING, chain)
    assert [link.name for link in plan.links] == ["wrench", "adapter", "stub", "drive", "key"]
    assert [link.limit_nm for link in plan.links[:2]] == [135.0, 62.0]
    for link, section in zip(plan.links[2:], chain[2:], strict=True):
        size, strength = section.size_mm or 0.0, section.yield_mpa or 0.0
        shape = section.kind
        assert shape in ("round", "square", "hexagon")
        # Utilisation is against yield; the fully plastic torque is past saving.
        assert link.limit_nm == link.yield_nm == yield_torque(shape, size, strength)
        assert link.plastic_nm == plastic_torque(shape, size, strength)
        assert link.plastic_nm > link.yield_nm
    assert {c.weakest for c in plan.cases} == {"drive"}


def test_without_a_chain_nothing_is_recommended() -> None:
    plan = plan_slip_test(coil_pack(), OILED_SLIDING, [])
    assert plan.recommended_springs is None
    assert all(c.weakest is None and c.utilisation is None for c in plan.cases)
    assert said(plan, "nothing says what would break first")
    assert not said(plan, "Fit ")


def test_springs_that_are_fitted_are_planned_for() -> None:
    pack = coil_pack()
    limit = gauge(0.9 * upper_end(pack))
    plan = plan_slip_test(pack, OILED_SLIDING, [limit], springs_fitted=5, arm_m=0.5)
    assert plan.chosen == plan.cases[4]
    assert said(plan, "does not sit evenly")
    assert said(plan, "gauge would be loaded to 93 % at the upper end: do not begin this test.")
    plan = plan_slip_test(pack, OILED_SLIDING, [limit], springs_fitted=3)
    assert not said(plan, "does not sit evenly")
    assert not said(plan, "do not begin")


def test_two_springs_of_two_can_only_tilt() -> None:
    plan = plan_slip_test(coil_pack(replace(WIRE_SPRING, count=2)), OILED_SLIDING, [gauge(1e4)])
    assert [c.balanced for c in plan.cases] == [False, False]
    assert plan.recommended_springs is None
    assert said(plan, "fewer than three springs never sit evenly")
    assert not said(plan, "stronger chain")


def test_a_clamp_without_springs_to_leave_out_has_one_case() -> None:
    plan = plan_slip_test(load_pack(), OILED_SLIDING, [gauge(1e3)], arm_m=0.5)
    (case,) = plan.cases
    assert case.springs is None
    assert case.balanced
    assert plan.recommended_springs is None
    assert plan.arm_force_n == pytest.approx(case.predicted.value / 0.5)
    plan = plan_slip_test(load_pack(), OILED_SLIDING, [gauge(10.0)])
    assert said(plan, "None: a stronger chain is needed. This clamp would load gauge past 80 %.")
    assert said(plan, "do not begin this test")


@pytest.mark.parametrize(
    "pack", [coil_pack(GIVEN_SPRING, WIRE_SPRING),
             coil_pack(replace(WIRE_SPRING, count=MOST_POSITIONS + 1))])
def test_springs_of_several_rings_are_planned_all_fitted_and_said(pack: PackInputs) -> None:
    plan = plan_slip_test(pack, OILED_SLIDING, [gauge(1e4)])
    assert [c.springs for c in plan.cases] == [None]
    assert said(plan, "All springs are taken as fitted")
    assert "same number of springs" in refused(pack, springs_fitted=3)["springs_fitted"]


def test_heat_and_arm_by_their_formulas() -> None:
    plan = plan_slip_test(
        coil_pack(), OILED_SLIDING, [gauge(1e3)], speed_rpm=60.0, seconds=4.0, plate_mass_kg=0.5,
        max_temperature_rise_k=80.0, arm_m=0.4)
    assert plan.chosen is not None
    torque = plan.chosen.predicted.value
    power = torque * 2.0 * math.pi
    assert plan.power_w == pytest.approx(power, rel=1e-12)
    assert plan.temperature_rise_k == pytest.approx(power * 4.0 / (0.5 * 460.0), rel=1e-12)
    assert plan.longest_run_s == pytest.approx(0.5 * 460.0 * 80.0 / power, rel=1e-12)
    assert plan.arm_force_n == pytest.approx(torque / 0.4, rel=1e-12)


def test_the_pack_s_own_plates_take_up_the_heat_unless_others_are_given() -> None:
    pack = coil_pack(plate_mass_kg=q(1.0))
    asked = {"speed_rpm": 60.0, "seconds": 4.0}
    own = plan_slip_test(pack, OILED_SLIDING, [gauge(1e3)], **asked).temperature_rise_k
    given = plan_slip_test(pack, OILED_SLIDING, [gauge(1e3)], plate_mass_kg=0.5,
                           **asked).temperature_rise_k
    assert own is not None
    assert given == pytest.approx(2.0 * own)


def test_what_is_not_given_leaves_its_figures_open() -> None:
    plan = plan_slip_test(coil_pack(), OILED_SLIDING, [gauge(1e3)], seconds=4.0, plate_mass_kg=0.5)
    assert (plan.power_w, plan.temperature_rise_k, plan.longest_run_s, plan.arm_force_n) == (
        None, None, None, None)
    plan = plan_slip_test(coil_pack(), OILED_SLIDING, [gauge(1e3)], speed_rpm=0.0, seconds=4.0,
                          plate_mass_kg=0.5, max_temperature_rise_k=50.0)
    assert (plan.power_w, plan.temperature_rise_k, plan.longest_run_s) == (0.0, 0.0, None)


def test_the_state_counts() -> None:
    worn = replace(OILED_SLIDING, wear_mm=1.0)
    new, old = (plan_slip_test(coil_pack(), state, []).cases[-1].predicted.value
                for state in (OILED_SLIDING, worn))
    assert old < new


def test_springs_that_do_not_press_leave_nothing_to_test() -> None:
    slack = coil_pack(replace(WIRE_SPRING, free_length_mm=q(20.0, 0.1)))
    plan = plan_slip_test(slack, OILED_SLIDING, [gauge(10.0)], speed_rpm=60.0, plate_mass_kg=1.0,
                          max_temperature_rise_k=50.0, seconds=1.0, arm_m=0.5)
    assert plan.cases[-1].predicted.value == 0.0
    assert plan.cases[-1].utilisation == 0.0
    assert said(plan, "Nothing presses the plates")
    assert plan.longest_run_s is None
    assert plan.arm_force_n == 0.0


def test_weights_press_at_the_speed_of_the_test() -> None:
    pack = weights_pack(mounting="crankshaft")
    slow, fast = (
        plan_slip_test(pack, replace(OILED_SLIDING, speed_rpm=n), [gauge(1e4)]).cases[0].predicted
        for n in (4000.0, 8000.0))
    # F = n m r ω²/tan α less the return force of 150 N; T = μ z F Re/1000 with Re = 44 mm.
    expected = [
        6 * 0.02 * 0.045 * (n * math.pi / 30.0) ** 2 / math.tan(math.radians(35.0)) - 150.0
        for n in (4000.0, 8000.0)]
    for predicted, force in zip((slow, fast), expected, strict=True):
        assert predicted.value == pytest.approx(0.12 * 12 * force * 44.0 / 1000.0, rel=1e-9)
        assert predicted.low < predicted.value < predicted.high


def test_a_slip_torque_that_is_not_known_is_refused() -> None:
    assert "speed" in refused(weights_pack(mounting="crankshaft"))["state.speed_rpm"]
    assert "crankshaft" in refused(weights_pack(), state=AT_SPEED)["pack.mounting"]
    worn = replace(OILED_SLIDING, wear_mm=3.0)
    assert "load points further out" in refused(table_pack(), state=worn)["pack.clamp.points"]
    lacking = refused(coil_pack(facing_od_mm=None, friction={}))
    assert set(lacking) == {"pack.facing_od_mm", "pack.friction.oiled.sliding"}


def test_a_facing_in_the_table_lends_its_friction() -> None:
    plan = plan_slip_test(coil_pack(friction={}, facing="paper"), OILED_SLIDING, [])
    assert plan.cases[-1].predicted.value > 0.0


def test_more_springs_than_positions_are_refused() -> None:
    assert "6 positions" in refused(coil_pack(), springs_fitted=7)["springs_fitted"]
    assert "only coil springs" in refused(load_pack(), springs_fitted=1)["springs_fitted"]


@pytest.mark.parametrize(
    ("link", "paths"),
    [
        (Link("gauge", "wrench"), {"chain.1.max_nm"}),
        (Link("rated", "adapter", max_nm=0.0), {"chain.1.max_nm"}),
        (Link("round", "stub"), {"chain.1.diameter_mm", "chain.1.yield_mpa"}),
        (Link("square", "drive", size_mm=-1.0, yield_mpa=300.0), {"chain.1.across_flats_mm"}),
        (Link("hexagon", "key", size_mm=10.0, yield_mpa=math.nan), {"chain.1.yield_mpa"}),
    ],
)
def test_a_link_without_a_size_is_refused(link: Link, paths: set[str]) -> None:
    assert set(refused(coil_pack(), [gauge(100.0), link])) == paths
