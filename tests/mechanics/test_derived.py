"""Figures worked out of several entries of a record, with their doubt and how they are known."""

import math

import numpy as np
import pytest
from uncertainties import ufloat

from app.mechanics import derived
from app.mechanics.inputs import CurveTorque, EngineInputs, LoadPoint, Quantity, SpringGroup
from tests.mechanics.samples import (
    POINT_SPRING,
    WIRE_SPRING,
    curve_engine,
    load_pack,
    measured_engine,
    q,
)


@pytest.mark.parametrize(
    ("changes", "faces"),
    [({}, 12), ({"lined_faces_per_plate": 1}, 6), ({"surfaces": 11}, 11),
     ({"friction_plates": None}, None), ({"friction_plates": None, "surfaces": 4}, 4)],
)
def test_working_faces_are_as_stated_or_from_the_plates(changes, faces):
    assert derived.working_faces(load_pack(**changes)) == faces


def test_load_points_are_fitted_with_their_standard_error():
    rate = derived.fitted_rate(POINT_SPRING)
    assert rate.value == pytest.approx(9.955)
    assert rate.std > 0.0
    assert rate.how == "measured"


def test_one_load_point_gives_a_rate_without_doubt():
    one = derived.fitted_rate(SpringGroup(load_points=(LoadPoint(8.0, 100.0),)))
    assert (one.value, one.std) == (12.5, None)


@pytest.mark.parametrize(
    "points", [(), ((0.0, 5.0),), ((4.0, 40.0), (4.0, 41.0)), ((4.0, 40.0), (8.0, 30.0))])
def test_load_points_without_a_positive_rate_give_none(points):
    group = SpringGroup(load_points=tuple(LoadPoint(*p) for p in points))
    assert derived.fitted_rate(group) is None


def test_shear_modulus_is_the_given_one_else_that_of_the_table_with_its_doubt():
    assert derived.modulus(WIRE_SPRING) is WIRE_SPRING.shear_modulus_mpa
    wire = SpringGroup(wire_material="music wire", wire_mm=q(2.5, 0.01))
    listed = derived.modulus(wire)
    assert listed.value == 81000.0
    assert listed.plus_minus == pytest.approx(0.02 * 81000.0)
    assert listed.how == "listed"


@pytest.mark.parametrize(
    "group",
    [SpringGroup(), SpringGroup(wire_material="music wire"), SpringGroup(wire_mm=q(2.0)),
     SpringGroup(wire_material="cheese", wire_mm=q(2.0)),
     SpringGroup(wire_material="music wire", wire_mm=q(-2.0))],
)
def test_shear_modulus_without_a_table_row_is_unknown(group):
    assert derived.modulus(group) is None


def test_teeth_win_over_a_ratio_because_they_are_exact():
    engine = EngineInputs(primary_teeth=(22, 69), primary_ratio=q(3.1, 0.1))
    assert derived.primary_ratio(engine) == Quantity(69 / 22)
    assert derived.primary_ratio(EngineInputs(primary_ratio=q(3.1, 0.1))) == q(3.1, 0.1)
    assert derived.primary_ratio(EngineInputs()) is None


def test_the_peak_of_a_curve_carries_the_doubt_of_its_scale():
    peak = derived.curve_peak(curve_engine())
    assert (peak.value, peak.plus_minus) == pytest.approx((190.0, 0.04 * 190.0))
    assert derived.curve_peak(EngineInputs(torque=CurveTorque())) is None
    assert derived.curve_peak(measured_engine()) is None


def test_displacement_is_the_stated_one_else_from_bore_and_stroke_to_first_order():
    stated = q(249.0, 1.0)
    assert derived.engine_displacement(EngineInputs(displacement_cc=stated)) is stated
    assert derived.engine_displacement(EngineInputs(bore_mm=q(54.0))) is None
    engine = EngineInputs(bore_mm=q(54.0, 0.05), stroke_mm=q(54.4, 0.1), cylinders=2)
    bore, stroke = ufloat(54.0, 0.05 / math.sqrt(3)), ufloat(54.4, 0.1 / math.sqrt(3))
    swept = math.pi / 4000.0 * bore**2 * stroke * 2
    found = derived.engine_displacement(engine)
    assert found.value == pytest.approx(swept.nominal_value)
    assert found.std == pytest.approx(swept.std_dev)
    assert found.how == "measured"


def test_exact_bore_and_stroke_give_an_exact_displacement():
    engine = EngineInputs(bore_mm=Quantity(54.0), stroke_mm=Quantity(54.0))
    found = derived.engine_displacement(engine)
    assert found.standard_uncertainty == 0.0


def test_the_speed_of_a_curve_is_that_of_its_peak():
    assert derived.peak_speed(curve_engine()) == 5000.0
    assert math.isnan(derived.peak_speed(EngineInputs(torque=CurveTorque())))
    assert math.isnan(derived.peak_speed(measured_engine()))


def test_many_rates_are_to_the_bit_those_of_one_group_at_a_time():
    draw = np.random.default_rng(3)
    tables = [
        [(float(x), float(x * 9.0 + draw.normal(0.0, 2.0))) for x in draw.uniform(2.0, 16.0, size)]
        for size in (1, 2, 3, 5, 7, 8, 9, 12, 17, 130) for _ in range(20)
    ]
    tables += [[], [(0.0, 5.0)], [(4.0, 40.0), (4.0, 41.0)], [(4.0, 40.0), (8.0, 30.0)],
               [(0.0, 0.0), (5.0, 50.0)]]
    rates, limits, stds = derived.fitted_rates(tables)
    assert np.isnan(limits).all()
    for table, rate, std in zip(tables, rates.tolist(), stds.tolist(), strict=True):
        one = derived.fitted_rate(SpringGroup(load_points=tuple(LoadPoint(*p) for p in table)))
        assert (None if math.isnan(rate) else rate) == (one and one.value), table
        assert (None if math.isnan(std) else std) == (one and one.std), table
    assert np.isfinite(rates).sum() > 190


def test_many_moduli_are_to_the_bit_those_of_one_group_at_a_time():
    materials = ["music wire", None, "A228", "cheese", "music wire", "music wire"]
    wires = np.array([2.5, 2.0, 1.1, 2.0, math.nan, 0.6])
    values, limits, stds = derived.table_moduli(materials, wires)
    assert np.isnan(stds).all()
    for material, wire, value, limit in zip(materials, wires.tolist(), values, limits, strict=True):
        known = None if math.isnan(wire) else q(wire)
        one = derived.modulus(SpringGroup(wire_material=material, wire_mm=known))
        assert (None if math.isnan(value) else (value, limit)) == (
            one and (one.value, one.plus_minus))
