"""The friction side against integrals over the ring, and the laws that it must obey."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from app.mechanics import disc_friction as df

OUTER, INNER = 70.0, 52.0
outer_radii = st.floats(20.0, 200.0)
parts = st.floats(0.2, 0.999)


def test_faces_are_plates_times_lined_faces():
    assert df.faces_working(7) == 14
    assert df.faces_working(7, 1) == 7


@pytest.mark.parametrize("inner", [20.0, 52.0, 69.0])
def test_uniform_wear_radius_is_the_force_weighted_mean_with_p_r_constant(inner):
    moment = quad(lambda r: (1.0 / r) * r * r, inner, OUTER)[0]
    force = quad(lambda r: (1.0 / r) * r, inner, OUTER)[0]
    assert df.radius_uniform_wear(OUTER, inner) == pytest.approx(moment / force, rel=1e-12)


@pytest.mark.parametrize("inner", [20.0, 52.0, 69.0])
def test_uniform_pressure_radius_is_the_area_weighted_mean(inner):
    moment = quad(lambda r: r * r, inner, OUTER)[0]
    force = quad(lambda r: r, inner, OUTER)[0]
    assert df.radius_uniform_pressure(OUTER, inner) == pytest.approx(moment / force, rel=1e-12)


@given(outer_radii, parts)
def test_new_facings_never_act_further_in_than_run_in_ones(outer, part):
    wear = df.radius_uniform_wear(outer, part * outer)
    pressure = df.radius_uniform_pressure(outer, part * outer)
    assert part * outer < wear <= pressure * (1.0 + 1e-12)
    assert pressure < outer


def test_a_solid_disc_acts_at_two_thirds_of_its_radius_with_uniform_pressure():
    assert df.radius_uniform_pressure(60.0, 0.0) == pytest.approx(40.0)


def test_both_radii_meet_as_the_ring_narrows():
    narrow = 70.0 * (1.0 - 1e-9)
    assert df.radius_uniform_pressure(70.0, narrow) == pytest.approx(
        df.radius_uniform_wear(70.0, narrow), rel=1e-15)


def test_pressures_bring_the_clamp_load_back_when_summed_over_the_ring():
    area = df.facing_area(OUTER, INNER, 0.2)
    assert area == pytest.approx(0.8 * quad(lambda r: 2 * math.pi * r, INNER, OUTER)[0])
    assert df.mean_pressure(1500.0, area) * area == pytest.approx(1500.0)
    largest = df.max_pressure_uniform_wear(1500.0, OUTER, INNER, 0.2)
    force = 0.8 * quad(lambda r: largest * INNER / r * 2 * math.pi * r, INNER, OUTER)[0]
    assert force == pytest.approx(1500.0)
    assert largest > df.mean_pressure(1500.0, area)


@given(st.floats(0.05, 0.6), st.integers(1, 20), st.floats(0.0, 5000.0), st.floats(20.0, 150.0))
def test_capacity_is_the_integral_of_friction_over_every_face(friction, faces, clamp, inner):
    outer = inner + 15.0
    pressure = df.mean_pressure(clamp, df.facing_area(outer, inner, 0.0))
    one = quad(lambda r: friction * pressure * 2 * math.pi * r * r, inner, outer)[0] / 1000.0
    radius = df.radius_uniform_pressure(outer, inner)
    assert df.torque_capacity(friction, faces, clamp, radius) == pytest.approx(faces * one)


def test_arrays_broadcast_to_the_loop_of_scalars():
    outer, inner = np.array([[60.0], [70.0]]), np.array([[40.0, 45.0, 50.0]])
    together = df.radius_uniform_pressure(outer, inner)
    assert together.tolist() == [
        [df.radius_uniform_pressure(o, i) for i in inner[0]] for o in outer[:, 0]
    ]
