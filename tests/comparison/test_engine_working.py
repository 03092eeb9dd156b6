"""Every line of an engine's working against the `uncertainties` library."""

import math

import pytest
from uncertainties import ufloat

from app.comparison.cell import evaluate
from app.mechanics.inputs import EngineInputs, MeasuredTorque, Quantity, State
from tests.comparison.oracle import agree, u
from tests.mechanics.samples import (
    bmep_engine,
    curve_engine,
    load_pack,
    measured_engine,
    power_engine,
    q,
)


def working(engine, mounting="geared", state=None):
    result = evaluate(load_pack(mounting=mounting), engine, state or State())
    names = [line.name for line in result.working]
    return {n.name: n for n in result.working[names.index("crank_torque_nm"):]}, result


def crank_torque(engine):
    torque = engine.torque
    if engine.strokes is not None and engine.displacement_cc is not None:
        return u(torque.bmep_kpa) * u(engine.displacement_cc) / (
            1000 * math.pi * engine.strokes)
    if isinstance(torque, MeasuredTorque):
        return u(torque.torque_nm)
    if hasattr(torque, "power_kw"):
        return u(torque.power_kw) * 30000 / (math.pi * u(torque.speed_rpm))
    peak = ufloat(190.0, 0.04 * 190.0 / math.sqrt(3))
    return peak / (u(torque.overall_ratio) * u(torque.driveline_efficiency))


@pytest.mark.parametrize(
    "engine", [measured_engine(), power_engine(), bmep_engine(), bmep_engine(strokes=2),
               curve_engine()])
@pytest.mark.parametrize("mounting", ["crankshaft", "geared"])
def test_every_line_from_the_crank_to_the_requirement(engine, mounting):
    lines, result = working(engine, mounting)
    torque = crank_torque(engine)
    driving, driven = engine.primary_teeth or (1, None)
    ratio = driven / driving if driven else u(engine.primary_ratio)
    efficiency = u(engine.primary_efficiency)
    factor = u(engine.service_factor or Quantity(1.0))
    at_clutch = torque if mounting == "crankshaft" else torque * ratio * efficiency
    agree(lines["crank_torque_nm"], torque)
    agree(lines["clutch_torque_nm"], at_clutch)
    agree(lines["service_factor"], factor)
    agree(lines["required_nm"], at_clutch * factor)
    assert result.required.std == pytest.approx(lines["required_nm"].std, rel=1e-9)


def test_clutch_speed_carries_the_doubt_of_speed_and_ratio():
    engine = power_engine()
    lines, _ = working(engine)
    agree(lines["clutch_speed_rpm"], u(engine.torque.speed_rpm) / u(engine.primary_ratio))
    stated, _ = working(engine, state=State(speed_rpm=4000.0))
    agree(stated["clutch_speed_rpm"], 4000.0 / u(engine.primary_ratio))
    on_crank, _ = working(engine, "crankshaft")
    agree(on_crank["clutch_speed_rpm"], u(engine.torque.speed_rpm))


def test_steps_say_how_they_came_about():
    lines, _ = working(measured_engine())
    assert lines["clutch_torque_nm"].substituted == "24 · (69/22) · 0.97"
    assert lines["clutch_speed_rpm"].substituted == "5500/(69/22)"
    on_crank, _ = working(measured_engine(), "crankshaft")
    assert "exactly" in on_crank["clutch_torque_nm"].formula
    bare, _ = working(measured_engine(service_factor=None))
    assert bare["service_factor"].formula == "none set: exactly 1"
    at_wheel, _ = working(curve_engine())
    assert at_wheel["crank_torque_nm"].substituted == "3 points, /(9.5 · 0.88)"


def test_without_a_mounting_only_the_crank_torque_is_worked_out():
    lines, _ = working(measured_engine(), None)
    assert set(lines) == {"crank_torque_nm"}


def test_an_unknown_torque_has_no_line():
    result = evaluate(None, EngineInputs(), State())
    assert {line.name for line in result.working} == {"service_factor"}
    alone = evaluate(None, EngineInputs(torque=MeasuredTorque(q(20.0))), None)
    assert alone.required.value == 20.0
