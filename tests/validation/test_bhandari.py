"""V. B. Bhandari, Design of Machine Elements (Tata McGraw-Hill), chapters 10 and 11.

The published figures are those of the solved examples as re-coded in a companion to the book, so
they carry ten digits where the companion prints them.
"""

import math

import pytest

from app.mechanics.coil_spring import (
    active_coils,
    rate_from_wire,
    shear_stress,
    solid_length,
    wahl_factor,
)
from app.mechanics.disc_friction import (
    max_pressure_uniform_wear,
    radius_uniform_wear,
    torque_capacity,
)
from app.mechanics.engine_torque import power_from_torque

EXACT = 1e-9


def test_example_11_1_single_face() -> None:
    # Example 11.1: diameters 200 and 100 mm, 1 N/mm² at the inner edge, μ 0.2, 750 r/min.
    # Published: 15707.963 N, 235619.449 N·mm, 18.505508 kW.
    clamp = 1.0 / max_pressure_uniform_wear(1.0, 100.0, 50.0, 0.0)
    torque = torque_capacity(0.2, 1, clamp, radius_uniform_wear(100.0, 50.0))
    power = power_from_torque(torque, 750.0)
    # Eight digits are printed.
    assert clamp == pytest.approx(15707.963, rel=1e-7)
    assert torque == pytest.approx(235.619449, rel=1e-8)
    assert power == pytest.approx(18.505508, rel=1e-7)
    assert clamp == pytest.approx(15707.96326795, rel=EXACT)
    assert torque == pytest.approx(235.6194490192, rel=EXACT)
    assert power == pytest.approx(18.50550825204, rel=EXACT)


def test_example_11_5_best_diameter_ratio_with_a_design_factor() -> None:
    # Example 11.5: 120 N·m times 1.5, 0.35 N/mm², μ 0.35, one pair, d/D for the largest torque.
    # Published: d 123.220276 mm, D 213.553339 mm.
    ratio = 1.0 / math.sqrt(3.0)
    unit = torque_capacity(
        0.35,
        1,
        0.35 / max_pressure_uniform_wear(1.0, 0.5, 0.5 * ratio, 0.0),
        radius_uniform_wear(0.5, 0.5 * ratio),
    )
    outside = (1.5 * 120.0 / unit) ** (1.0 / 3.0)
    assert outside * ratio == pytest.approx(123.220276, rel=1e-8)
    assert outside * ratio == pytest.approx(123.2202763163, rel=EXACT)
    # The book divides by the rounded 0.577 to get D, which makes it 0.06 % too large.
    assert outside == pytest.approx(213.553339, rel=7e-4)
    assert outside == pytest.approx(213.4237791025, rel=EXACT)


def test_example_11_7_cork_on_steel_in_oil() -> None:
    # Example 11.7: 10 N·m, μ 0.2, 0.1 N/mm², diameters 95 and 65 mm. Published: 306.305284 N and
    # 5 faces, after 5 % more for radial slots.
    clamp = 0.1 / max_pressure_uniform_wear(1.0, 47.5, 32.5, 0.0)
    faces = 10.0 / torque_capacity(0.2, 1, clamp, radius_uniform_wear(47.5, 32.5))
    assert clamp == pytest.approx(306.305284, rel=1e-8)
    assert clamp == pytest.approx(306.305283725, rel=EXACT)
    assert faces == pytest.approx(4.080895976715, rel=EXACT)
    assert math.ceil(1.05 * faces) == 5


def test_slots_leave_the_torque_and_raise_the_pressure() -> None:
    # Example 11.7 again: at the same pressure a face with 5 % of slots may bear 5 % less clamp.
    whole = max_pressure_uniform_wear(306.305283725, 47.5, 32.5, 0.0)
    slotted = max_pressure_uniform_wear(0.95 * 306.305283725, 47.5, 32.5, 0.05)
    assert slotted == pytest.approx(whole, rel=EXACT)


def test_example_11_9_discs_in_oil() -> None:
    # Example 11.9: 75 N·m, μ 0.1, 0.5 N/mm², D 100 mm, d 0.577 D. Published: 1916.929151 N and
    # 11 discs, that is 10 faces.
    outer, inner = 50.0, 0.577 * 50.0
    clamp = 0.5 / max_pressure_uniform_wear(1.0, outer, inner, 0.0)
    faces = 75.0 / torque_capacity(0.1, 1, clamp, radius_uniform_wear(outer, inner))
    assert clamp == pytest.approx(1916.929151, rel=1e-9)
    assert clamp == pytest.approx(1916.929151386, rel=EXACT)
    assert faces == pytest.approx(9.923925595466, rel=EXACT)
    assert math.ceil(faces) + 1 == 11


def test_example_10_1_spring_from_a_load() -> None:
    # Example 10.1: 1250 N, 30 mm, C 6, S_ut 1090 N/mm² of which half is allowed, G 81370 N/mm²,
    # closed and ground, gap of 1 mm between coils. Published: d 6.625083 mm, taken as 7; 8 active
    # coils, 10 in all; free length 109.337611 mm.
    assert wahl_factor(6.0) == pytest.approx(1.2525, rel=EXACT)
    assert shear_stress(1250.0, 6.625082716702, 6.0 * 6.625082716702) == pytest.approx(
        0.5 * 1090.0, rel=EXACT
    )
    coils = rate_from_wire(81370.0, 7.0, 42.0, 1.0) / (1250.0 / 30.0)
    assert coils == pytest.approx(7.910972222222, rel=EXACT)
    assert active_coils(10.0, "closed_ground") == math.ceil(coils) == 8
    rate = rate_from_wire(81370.0, 7.0, 42.0, 8.0)
    assert rate == pytest.approx(41.20298032407, rel=EXACT)
    free = solid_length(10.0, 7.0, "closed_ground") + 9 * 1.0 + 1250.0 / rate
    assert free == pytest.approx(109.337611, rel=1e-8)
    assert free == pytest.approx(109.3376112642, rel=EXACT)
