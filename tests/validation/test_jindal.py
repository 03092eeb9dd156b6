"""U. C. Jindal, Machine Design, chapters 8 and 22.

The published figures come from a companion that re-coded the solved examples. It divides whole
numbers as whole numbers in two of them, so those of its results are wrong (said where they stand).
"""

import pytest

from app.mechanics.coil_spring import (
    active_coils,
    rate_from_load_points,
    rate_from_wire,
    shear_stress,
    solid_length,
    spring_index,
    wahl_factor,
)
from app.mechanics.disc_friction import (
    faces_working,
    facing_area,
    max_pressure_uniform_wear,
    mean_pressure,
    radius_uniform_pressure,
    radius_uniform_wear,
    torque_capacity,
)
from app.mechanics.engine_torque import torque_from_power
from app.mechanics.spring_wire import wire_material

EXACT = 1e-9


def test_example_22_5_uniform_pressure() -> None:
    # Example 22-5, page 591: 4 + 3 discs, radii 80 and 50 mm, μ 0.25, 15 kW at 1400 r/min.
    # Published: 102.314 N·m, 1031.1 N, 0.084 N/mm².
    torque = torque_from_power(15.0, 1400.0)
    radius = radius_uniform_pressure(80.0, 50.0)
    clamp = torque / torque_capacity(0.25, faces_working(3), 1.0, radius)
    pressure = mean_pressure(clamp, facing_area(80.0, 50.0, 0.0))
    assert torque == pytest.approx(102.314, rel=1e-5)
    assert clamp == pytest.approx(1031.1, rel=1e-4)
    assert pressure == pytest.approx(0.084, rel=2e-3)  # two digits
    assert radius == pytest.approx(66.15384615385, rel=EXACT)
    assert torque == pytest.approx(102.3138919876, rel=EXACT)
    assert clamp == pytest.approx(1031.070229333, rel=EXACT)
    assert pressure == pytest.approx(0.08415380701191, rel=EXACT)


def test_example_22_6_needs_a_fifth_face() -> None:
    # Example 22-6, page 592: 5 kW at 1000 r/min, mean radius 50 mm, r_i/r_o 0.6, 0.3 N/mm² on
    # average, μ 0.1. Published: 47.746 N·m, p_max 0.4 N/mm², 4 faces; but 4.05 faces are needed,
    # which is five, not four.
    outer, inner = 62.5, 37.5
    torque = torque_from_power(5.0, 1000.0)
    clamp = 0.3 / mean_pressure(1.0, facing_area(outer, inner, 0.0))
    faces = torque / torque_capacity(0.1, 1, clamp, radius_uniform_wear(outer, inner))
    assert torque == pytest.approx(47.746, rel=2e-5)
    assert torque == pytest.approx(47.74648292757, rel=EXACT)
    assert clamp == pytest.approx(2356.194490192, rel=EXACT)
    assert max_pressure_uniform_wear(clamp, outer, inner, 0.0) == pytest.approx(0.4, rel=EXACT)
    assert faces == pytest.approx(4.052847345694, rel=EXACT)


def test_example_22_2_clutch_springs() -> None:
    # Example 22-2, page 589: mean radius 100 mm, width 50 mm, 0.2 N/mm², eight springs which take
    # 15 N more when released. Published: 6283 N, 800 N a spring, 80 N/mm over 10 mm.
    clamp = 0.2 / mean_pressure(1.0, facing_area(125.0, 75.0, 0.0))
    assert clamp == pytest.approx(6283.0, rel=5e-5)
    assert clamp == pytest.approx(6283.18530718, rel=EXACT)
    force = clamp / 8.0 + 15.0
    assert force == pytest.approx(800.0, rel=6e-4)  # three digits
    fit = rate_from_load_points([10.0], [force], through_origin=True)
    assert fit.rate == pytest.approx(80.0, rel=6e-4)
    assert fit.rate == pytest.approx(80.03981633974, rel=EXACT)
    assert fit.rate_std is None


def test_example_8_1_rate_and_wahl_factor() -> None:
    # Example 8-1, page 224: d 5, D 30 mm, 15 coils, G 84 GPa, 300 N. The companion's 16.0 N/mm,
    # 18.0 mm and K_W 1.1025 come from whole-number division; recomputed here.
    rate = rate_from_wire(84000.0, 5.0, 30.0, 15.0)
    assert rate == pytest.approx(16.2037037037, rel=EXACT)
    assert 300.0 / rate == pytest.approx(18.51428571429, rel=EXACT)
    assert wahl_factor(spring_index(30.0, 5.0)) == pytest.approx(1.2525, rel=EXACT)


def test_example_8_6_hard_drawn_wire() -> None:
    # Example 8-6, page 228: A227, d 1.219, outside 12.5 mm, 13.5 coils of which 11.5 work,
    # G 80.7 GPa. Published: allowable 686.9 MPa (0.4 S_ut), 41.1 N, 30.457 mm.
    wire = 1.219
    mean = 12.5 - wire
    allowed = 0.4 * wire_material("A227", "textbook").tensile_strength_mpa(wire)
    assert allowed == pytest.approx(686.9, rel=1e-4)
    assert allowed == pytest.approx(686.8638035042, rel=EXACT)
    # The book's stress has the factor 1 + 1/(2C) where ours has Wahl's; the ratio takes it out.
    index = spring_index(mean, wire)
    direct = 1.0 + 1.0 / (2.0 * index)
    force = allowed / (shear_stress(1.0, wire, mean) * direct / wahl_factor(index))
    assert force == pytest.approx(41.1, rel=5e-4)
    assert force == pytest.approx(41.09050850022, rel=EXACT)
    rate = rate_from_wire(80700.0, wire, mean, active_coils(13.5, "closed"))
    assert force / rate == pytest.approx(30.457, rel=1e-5)
    assert force / rate == pytest.approx(30.45676578556, rel=EXACT)
    # The book takes (N_t - 1) d = 15.24 mm as the solid length; by the kind of ends it is longer.
    assert solid_length(13.5, wire, "closed_ground") == pytest.approx(16.4565, rel=EXACT)
    assert solid_length(13.5, wire, "closed") == pytest.approx(17.6755, rel=EXACT)


def test_example_8_7_music_wire() -> None:
    # Example 8-7, page 228: A228, d 1.016, outside 12.6 mm, 16 coils of which 14 work, G 81 GPa.
    # Published: allowable 992.7 MPa (0.45 S_ut), 33.8 N, 0.496 N/mm, 68.20 mm.
    wire = 1.016
    mean = 12.6 - wire
    music = wire_material("A228", "textbook")
    allowed = music.torsion_low * music.tensile_strength_mpa(wire)
    assert allowed == pytest.approx(992.7, rel=1e-4)
    assert allowed == pytest.approx(992.6626209985, rel=EXACT)
    rate = rate_from_wire(81000.0, wire, mean, active_coils(16.0, "closed"))
    assert rate == pytest.approx(0.496, rel=1e-3)
    assert rate == pytest.approx(0.4957539479887, rel=EXACT)
    index = spring_index(mean, wire)
    direct = 1.0 + 1.0 / (2.0 * index)  # the book's factor instead of Wahl's
    force = allowed / (shear_stress(1.0, wire, mean) * direct / wahl_factor(index))
    assert force == pytest.approx(33.8, rel=5e-4)
    assert force == pytest.approx(33.80995087456, rel=EXACT)
    assert force / rate == pytest.approx(68.1990552203, rel=EXACT)


def test_example_8_8_rate() -> None:
    # Example 8-8, page 229: d 2, outside 20 mm, 9 coils, G 81 GPa. The book misprints the rate and
    # the companion's 3.0 comes from whole-number division; recomputed here.
    assert rate_from_wire(81000.0, 2.0, 18.0, 9.0) == pytest.approx(3.086419753086, rel=EXACT)
