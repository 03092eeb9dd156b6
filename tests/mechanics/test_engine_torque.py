"""Torque from power, from mean effective pressure and through a gear."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.mechanics import engine_torque as et

positive = st.floats(0.1, 1000.0)
speeds = st.floats(500.0, 20000.0)


@given(positive, speeds)
def test_power_over_angular_speed_is_torque_and_back(power, speed):
    torque = et.torque_from_power(power, speed)
    assert torque * 2.0 * math.pi * speed / 60.0 == pytest.approx(power * 1000.0)
    assert et.power_from_torque(torque, speed) == pytest.approx(power)


def test_the_workshop_number_9549():
    assert et.torque_from_power(1.0, 1.0) == pytest.approx(9549.2966, abs=5e-5)


@given(positive, positive, st.sampled_from([2, 4]))
def test_mean_effective_pressure_and_torque_are_inverse(bmep, displacement, strokes):
    torque = et.torque_from_bmep(bmep, displacement, strokes)
    assert et.bmep_from_torque(torque, displacement, strokes) == pytest.approx(bmep)


def test_work_of_one_cycle_is_mean_pressure_times_displacement():
    # 900 kPa on 250 cm³: 225 J a cycle, over one crank turn of a two-stroke, two of a four-stroke.
    assert et.torque_from_bmep(900.0, 250.0, 2) == pytest.approx(225.0 / (2.0 * math.pi))
    assert et.torque_from_bmep(900.0, 250.0, 4) == pytest.approx(225.0 / (4.0 * math.pi))
    assert (et.revolutions_per_cycle(2), et.revolutions_per_cycle(4)) == (1.0, 2.0)


def test_displacement_of_a_cylinder_in_cubic_centimetres():
    assert et.displacement(100.0, 100.0, 1) == pytest.approx(math.pi * 250.0)
    assert et.displacement(54.0, 54.0, 2) == pytest.approx(2.0 * et.displacement(54.0, 54.0, 1))


@given(positive, st.floats(0.5, 6.0), st.floats(0.5, 1.0))
def test_a_gear_passes_on_its_share_of_the_power(torque, ratio, efficiency):
    after = et.torque_at_clutch(torque, ratio, efficiency)
    assert after * (6000.0 / ratio) == pytest.approx(torque * 6000.0 * efficiency)
