"""An automatic pack over crank speed."""

import math
from dataclasses import replace

import numpy as np
import pytest

from app.comparison.run import compare
from app.comparison.speed_curve import bite, speed_curve
from app.mechanics.inputs import (
    CentrifugalClamp,
    CurveTorque,
    EngineInputs,
    LoadClamp,
    MeasuredTorque,
    PackInputs,
    Quantity,
    State,
)

WEIGHTS = CentrifugalClamp(
    6, Quantity(20.0, plus_minus=0.2), Quantity(40.0, plus_minus=0.1),
    Quantity(30.0, plus_minus=0.5), Quantity(100.0, plus_minus=5.0),
)
PACK = PackInputs(
    name="a", friction_plates=6, facing_od_mm=Quantity(140.0), facing_id_mm=Quantity(104.0),
    mounting="geared", friction={("oiled", "sliding"): Quantity(0.12, plus_minus=0.012)},
    clamp=WEIGHTS,
)
ENGINE = EngineInputs(
    name="e", torque=MeasuredTorque(Quantity(5.0), Quantity(7000.0)),
    primary_ratio=Quantity(3.0, plus_minus=0.01),
)


def test_each_point_is_the_boards_own_cell():
    curve = speed_curve(PACK, ENGINE, State(), 9000.0, 9)
    for i, speed in enumerate(curve.speed):
        cell = compare([PACK], [ENGINE], State(speed_rpm=float(speed)))
        assert curve.capacity[i] == pytest.approx(cell.capacity[0, 0], rel=1e-12)
        assert curve.required[i] == pytest.approx(cell.required[0, 0], rel=1e-12)


def test_a_doubled_speed_gives_four_times_the_pull_before_the_return_force():
    free = replace(PACK, clamp=replace(WEIGHTS, return_force_n=Quantity(0.0)))
    curve = speed_curve(free, ENGINE, State(), 8000.0, 2)
    assert curve.capacity[1] / curve.capacity[0] == pytest.approx(4.0, rel=1e-12)


def test_it_bites_where_the_weights_beat_the_return_force():
    # n m r ω²/tan α = F_return, in kg, m and s
    omega = math.sqrt(100.0 * math.tan(math.radians(30.0)) / (6 * 0.020 * 0.040))
    at_shaft = omega * 30 / math.pi
    found = bite(PACK, ENGINE, State(), 12000.0)
    assert found.engagement_rpm == pytest.approx(3.0 * at_shaft, abs=15.0)


def test_from_the_stall_speed_on_the_ratio_is_one_or_more():
    found = bite(PACK, ENGINE, State(), 12000.0)
    cell = compare([PACK], [ENGINE], State(speed_rpm=found.stall_rpm))
    assert cell.ratio[0, 0] == pytest.approx(1.0, abs=1e-4)
    assert "stalls" in found.words


def test_an_engines_curve_is_followed():
    curved = replace(ENGINE, torque=CurveTorque(((3000.0, 2.0), (6000.0, 5.0), (9000.0, 3.0))))
    curve = speed_curve(PACK, curved, State(), 9000.0, 3)
    geared = 3.0
    assert curve.required == pytest.approx([2.0 * geared, 5.0 * geared, 3.0 * geared])


def test_what_can_not_be_told_is_said():
    pressed = replace(PACK, clamp=LoadClamp(Quantity(500.0)))
    assert speed_curve(pressed, ENGINE, State(), 9000.0) is None
    assert speed_curve(PACK, EngineInputs(name="?"), State(), 9000.0) is None
    weak = replace(PACK, clamp=replace(WEIGHTS, return_force_n=Quantity(1e6)))
    assert "never" in bite(weak, ENGINE, State(), 9000.0).words
    slipping = replace(ENGINE, torque=MeasuredTorque(Quantity(500.0)))
    assert bite(PACK, slipping, State(), 9000.0).stall_rpm is None
    unmeasured = replace(PACK, clamp=replace(WEIGHTS, radius_mm=None))
    assert speed_curve(unmeasured, ENGINE, State(), 9000.0) is None
    assert np.all(np.diff(speed_curve(PACK, ENGINE, State(), 9000.0).capacity) >= 0.0)
