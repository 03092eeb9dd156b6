"""Both sides of a comparison by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest

from app.mechanics import sides
from app.mechanics.friction_source import TESTED
from app.mechanics.inputs import BmepTorque, CurveTorque, EngineInputs, PackInputs, State
from app.mechanics.spline_loss import effective_faces
from app.mechanics.stack import stack_engines, stack_packs
from app.mechanics.traced import Traced
from tests.mechanics.samples import (
    GIVEN_SPRING,
    WIRE_SPRING,
    bmep_engine,
    coil_pack,
    curve_engine,
    load_pack,
    measured_engine,
    power_engine,
    q,
    weights_pack,
)


def one(figure):
    assert figure.value.shape == (1, 1)
    return float(figure.value[0, 0])


def packed(pack, state):
    sheet = stack_packs([pack], state)
    return sheet, sides.pack_side(sheet, state)


def test_capacity_is_friction_times_faces_times_load_times_radius():
    _, side = packed(load_pack(), State())
    assert one(side.radius) == 44.0
    assert one(side.capacity) == pytest.approx(0.12 * 12 * 900.0 * 44.0 / 1000.0)


def test_new_flat_facings_act_at_the_uniform_pressure_radius():
    _, side = packed(load_pack(), State(radius="uniform_pressure"))
    assert one(side.radius) == pytest.approx(2.0 / 3.0 * (50.0**3 - 38.0**3) / (50.0**2 - 38.0**2))


def test_wear_is_as_stated_or_each_packs_own_limit():
    packs = [load_pack(), load_pack(stack_wear_limit_mm=q(0.5)),
             load_pack(stack_wear_limit_mm=None)]
    stated, worn = State(wear_mm=0.2), State(wear_mm=None)
    sheet = stack_packs(packs, stated)
    assert sides.wear_of(sheet, stated).value[:, 0].tolist() == [0.2, 0.2, 0.2]
    limits = sides.wear_of(sheet, worn).value[:, 0]
    assert np.array_equal(limits, [1.5, 0.5, np.nan], equal_nan=True)
    clamp = sides.pack_side(sheet, worn).clamp.value[:, 0]
    assert np.array_equal(clamp, [900.0 - 90.0, 900.0 - 30.0, np.nan], equal_nan=True)


def test_a_wear_that_is_handed_over_wins_over_the_states():
    sheet = stack_packs([load_pack()], State())
    side = sides.pack_side(sheet, State(), wear=Traced(np.array([[1.0]])))
    assert one(side.clamp) == 840.0


def test_an_unknown_pack_is_unknown_without_a_crash():
    _, side = packed(PackInputs(), State())
    assert math.isnan(one(side.capacity))
    assert side.springs is None


def test_figures_of_a_coil_spring_pack():
    sheet, side = packed(coil_pack(GIVEN_SPRING, WIRE_SPRING), State())
    found = sides.pack_figures(sheet, side)
    area = math.pi * (50.0**2 - 38.0**2) * 0.9
    wire_rate = 79300.0 * 2.2**4 / (8.0 * 13.8**3 * 6.0)
    clamp = 3 * 12.0 * 8.0 + 6 * wire_rate * 12.5
    assert one(found.facing_area_mm2) == pytest.approx(area)
    assert one(found.facing_pressure_mean_mpa) == pytest.approx(clamp / area)
    assert one(found.facing_pressure_max_mpa) == pytest.approx(
        clamp / (2 * math.pi * 38.0 * 12.0 * 0.9))
    assert one(found.clamp_worn_n) == pytest.approx(clamp - (36.0 + 6 * wire_rate) * 1.5)
    assert one(found.clamp_lifted_n) == pytest.approx(clamp + (36.0 + 6 * wire_rate) * 1.2)
    assert one(found.radius_uniform_wear_mm) == 44.0
    assert one(found.radius_uniform_pressure_mm) > 44.0
    # Lifted the spring is 28 − 0.5 − 1.2 = 26.3 mm long, 17.6 mm solid, 13.7 mm pressed.
    assert found.clash_allowance.value[0, 1] == pytest.approx((26.3 - 17.6) / 13.7)
    assert found.index.value[0, 1] == pytest.approx(13.8 / 2.2)
    index = 13.8 / 2.2
    wahl = (4 * index - 1) / (4 * index - 4) + 0.615 / index
    per_newton = wahl * 8 * 13.8 / (math.pi * 2.2**3)
    assert found.stress_installed_mpa.value[0, 1] == pytest.approx(per_newton * wire_rate * 12.5)
    assert found.stress_lifted_mpa.value[0, 1] == pytest.approx(per_newton * wire_rate * 13.7)
    assert np.isnan(found.stress_installed_mpa.value[0, 0])


def test_worn_and_lifted_figures_do_not_depend_on_the_wear_of_the_state():
    def figures(wear):
        sheet, side = packed(coil_pack(), State(wear_mm=wear))
        return sides.pack_figures(sheet, side)

    new, worn = figures(0.0), figures(1.0)
    for name in ("clamp_worn_n", "clamp_lifted_n", "clash_allowance", "stress_installed_mpa"):
        assert np.array_equal(getattr(new, name).value, getattr(worn, name).value), name
    assert one(worn.facing_pressure_mean_mpa) < one(new.facing_pressure_mean_mpa)


def test_a_spring_that_is_slack_at_full_lift_has_no_clash_allowance():
    slack = replace(WIRE_SPRING, installed_length_mm=q(43.0))
    sheet, side = packed(coil_pack(slack), State())
    assert np.isnan(sides.pack_figures(sheet, side).clash_allowance.value).all()


def test_a_pack_without_coil_springs_has_no_spring_figures():
    sheet, side = packed(load_pack(), State())
    found = sides.pack_figures(sheet, side)
    assert (found.clash_allowance, found.stress_installed_mpa, found.stress_lifted_mpa,
            found.index) == (None, None, None, None)


def asked(engine, speed=None):
    return sides.engine_side(stack_engines([engine]), speed)


def test_on_the_crankshaft_gear_and_efficiency_are_exactly_one():
    side = asked(measured_engine())
    assert one(side.clutch_torque[0]) == 24.0
    assert one(side.clutch_speed[0]) == 5500.0
    assert one(side.required[0]) == pytest.approx(24.0 * 1.4)
    slopes = {name: float(p.sum()) for name, p in side.clutch_torque[0].partials.items()}
    assert {name for name, slope in slopes.items() if slope} == {"engine.torque.torque_nm"}


def test_behind_the_gear_torque_grows_and_speed_falls():
    side = asked(measured_engine())
    assert one(side.clutch_torque[1]) == pytest.approx(24.0 * 69 / 22 * 0.97)
    assert one(side.clutch_speed[1]) == pytest.approx(5500.0 * 22 / 69)
    assert one(side.required[1]) == pytest.approx(24.0 * 69 / 22 * 0.97 * 1.4)


def test_a_geared_clutch_without_a_ratio_is_unknown_and_one_on_the_crankshaft_is_not():
    side = asked(measured_engine(primary_teeth=None))
    assert math.isnan(one(side.required[1]))
    assert one(side.required[0]) == pytest.approx(24.0 * 1.4)


def test_torque_from_power_is_that_at_its_own_speed():
    assert one(asked(power_engine()).crank_torque) == pytest.approx(
        15000.0 / (8000.0 * 2 * math.pi / 60))


@pytest.mark.parametrize(("strokes", "turns"), [(2, 1.0), (4, 2.0)])
def test_torque_from_mean_effective_pressure(strokes, turns):
    found = one(asked(bmep_engine(strokes=strokes)).crank_torque)
    assert found == pytest.approx(950.0 * 249.0 / 1000.0 / (2 * math.pi * turns))


def test_mean_effective_pressure_uses_bore_and_stroke_where_no_displacement_is_stated():
    engine = EngineInputs(torque=BmepTorque(q(950.0)), strokes=4, bore_mm=q(68.0),
                          stroke_mm=q(68.0), cylinders=1)
    swept = math.pi / 4000.0 * 68.0**3
    assert one(asked(engine).crank_torque) == pytest.approx(950.0 * swept / 4000.0 / math.pi)


def test_a_curve_gives_its_peak_and_its_speed_and_at_the_wheel_is_brought_to_the_crank():
    side = asked(curve_engine())
    assert one(side.crank_torque) == pytest.approx(190.0 / (9.5 * 0.88))
    assert one(side.crank_speed) == 5000.0
    at_crank = EngineInputs(torque=CurveTorque(((3000.0, 20.0), (4000.0, 22.0))))
    assert one(asked(at_crank).crank_torque) == 22.0


def test_the_speed_of_the_state_replaces_that_of_the_torque():
    side = asked(measured_engine(), speed=3000.0)
    assert one(side.crank_speed) == 3000.0
    assert one(side.crank_torque) == 24.0


def test_an_unknown_engine_is_unknown():
    side = asked(EngineInputs())
    assert math.isnan(one(side.required[0]))
    assert math.isnan(one(side.crank_speed))
    assert one(side.service_factor) == 1.0


def test_speed_reaches_the_weights_through_the_gear():
    sheet = stack_packs([weights_pack()], State())
    speed = asked(measured_engine()).clutch_speed[1]
    by_gear = sides.pack_side(sheet, State(), speed)
    stated = sides.pack_side(sheet, State(), Traced(np.array([[5500.0 * 22 / 69]])))
    assert one(by_gear.clamp) == pytest.approx(one(stated.clamp))
    assert "engine.torque.speed_rpm" in by_gear.capacity.partials


SPLINED = {"spline_major_mm": q(24.0, 0.1), "basket_spline_mm": q(118.0, 0.2)}


def test_friction_along_the_splines_takes_torque_off() -> None:
    pack = load_pack(**SPLINED)
    plain, lossy = (sides.pack_side(stack_packs([pack], s), s)
                    for s in (State(), State(spline_friction=0.1)))
    # 12 faces; the first plate that passes load on is an outer one, at the basket.
    left = effective_faces(12, 0.12, 0.1, 44.0, 59.0, 12.0)
    assert one(lossy.faces) == pytest.approx(left, rel=1e-12)
    assert one(lossy.capacity) == pytest.approx(one(plain.capacity) * left / 12.0, rel=1e-12)
    assert set(lossy.capacity.partials) - set(plain.capacity.partials) == {
        "pack.spline_major_mm", "pack.basket_spline_mm"}


def test_a_tested_coefficient_has_the_loss_in_it_already() -> None:
    key = ("oiled", "sliding")
    tested = load_pack(**SPLINED, friction_source={key: TESTED})
    for state in (State(), State(spline_friction=0.1)):
        side = sides.pack_side(stack_packs([tested, load_pack(**SPLINED)], state), state)
        assert side.faces.value[0, 0] == 12.0
    bare = load_pack(friction_source={key: TESTED})
    lossy = State(spline_friction=0.1)
    assert one(sides.pack_side(stack_packs([bare], lossy), lossy).faces) == 12.0


def test_without_the_option_the_splines_are_no_input() -> None:
    sheet = stack_packs([load_pack(**SPLINED)], State())
    assert not {name for name in sheet.columns if "spline" in name}
