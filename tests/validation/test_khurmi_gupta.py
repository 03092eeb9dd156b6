"""R. S. Khurmi and J. K. Gupta, Theory of Machines, chapter 10, and Machine Design, chapter 24.

Each test holds the published figure with the tolerance that its rounding leaves, and our own
full-precision recomputation to 1e-9. A clamp load follows from an allowable pressure because the
pressure is proportional to it.
"""

import math

import pytest

from app.mechanics.disc_friction import (
    faces_working,
    facing_area,
    max_pressure_uniform_wear,
    mean_pressure,
    radius_uniform_wear,
    torque_capacity,
)
from app.mechanics.engine_torque import power_from_torque, torque_from_power
from app.mechanics.inputs import CoilClamp, PackInputs, Quantity, SpringGroup, State
from app.mechanics.sides import pack_side
from app.mechanics.stack import stack_packs

EXACT = 1e-9


def test_example_10_28_multiplate_clutch() -> None:
    # Theory of Machines, example 10.28, page 308: 4 faces, radii 125 and 75 mm, μ 0.3,
    # 0.127 N/mm² at the inner edge, 500 r/min. Published: 2990 N, 358.8 N·m, 18.8 kW.
    clamp = 0.127 / max_pressure_uniform_wear(1.0, 125.0, 75.0, 0.0)
    torque = torque_capacity(0.3, 4, clamp, radius_uniform_wear(125.0, 75.0))
    power = power_from_torque(torque, 500.0)
    # The book rounds the clamp to three digits and carries that on: 0.1 %.
    assert clamp == pytest.approx(2990.0, rel=1e-3)
    assert torque == pytest.approx(358.8, rel=1e-3)
    assert power == pytest.approx(18.8, rel=1e-3)
    assert clamp == pytest.approx(2992.367002544, rel=EXACT)
    assert torque == pytest.approx(359.0840403053, rel=EXACT)
    assert power == pytest.approx(18.80159638408, rel=EXACT)


def test_machine_design_example_24_7_steel_on_bronze_in_oil() -> None:
    # Machine Design, example 24.7, from memory: 4.5 kW at 750 r/min, radii 70 and 40 mm, μ 0.1,
    # 0.35 N/mm² on average. 2.87 faces rounded up to 4, 2605 N, 0.25 and 0.345 N/mm².
    torque = torque_from_power(4.5, 750.0)
    radius = radius_uniform_wear(70.0, 40.0)
    area = facing_area(70.0, 40.0, 0.0)
    most_clamp = 0.35 / mean_pressure(1.0, area)
    assert torque / torque_capacity(0.1, 1, most_clamp, radius) == pytest.approx(
        2.870966242522, rel=EXACT
    )
    clamp = torque / torque_capacity(0.1, faces_working(2), 1.0, radius)
    assert clamp == pytest.approx(2605.0, rel=1e-3)  # three to four digits in the book
    assert clamp == pytest.approx(2604.353614231, rel=EXACT)
    assert mean_pressure(clamp, area) == pytest.approx(0.2512095462207, rel=EXACT)
    assert max_pressure_uniform_wear(clamp, 70.0, 40.0, 0.0) == pytest.approx(0.345, rel=2e-3)
    assert max_pressure_uniform_wear(clamp, 70.0, 40.0, 0.0) == pytest.approx(
        0.3454131260534, rel=EXACT
    )


def test_example_10_22_pressures_of_a_plate() -> None:
    # Theory of Machines, example 10.22, page 302: 4 kN on radii 100 and 50 mm, uniform wear.
    # Published, N/mm²: 0.2546 inner edge, 0.1273 outer edge, 0.17 on average.
    most = max_pressure_uniform_wear(4000.0, 100.0, 50.0, 0.0)
    average = mean_pressure(4000.0, facing_area(100.0, 50.0, 0.0))
    assert most == pytest.approx(0.2546, rel=5e-4)  # four digits
    assert most == pytest.approx(0.254647908947, rel=EXACT)
    # p·r is constant, so the outer edge has half the pressure of the inner one.
    assert most * 50.0 / 100.0 == pytest.approx(0.1273239544735, rel=EXACT)
    assert average == pytest.approx(0.17, rel=2e-3)  # two digits
    assert average == pytest.approx(0.1697652726314, rel=EXACT)


def test_example_10_23_power_of_a_single_plate() -> None:
    # Theory of Machines, example 10.23, page 303: diameters 300 and 200 mm, 0.1 N/mm², μ 0.3,
    # both sides effective, 2500 r/min. Published: 61.685 kW.
    clamp = 0.1 / max_pressure_uniform_wear(1.0, 150.0, 100.0, 0.0)
    torque = torque_capacity(0.3, faces_working(1), clamp, radius_uniform_wear(150.0, 100.0))
    power = power_from_torque(torque, 2500.0)
    assert power == pytest.approx(61.685, rel=1e-5)  # five digits
    assert clamp == pytest.approx(3141.59265359, rel=EXACT)
    assert torque == pytest.approx(235.6194490192, rel=EXACT)
    assert power == pytest.approx(61.68502750681, rel=EXACT)


def test_example_10_24_radii_for_a_power() -> None:
    # Theory of Machines, example 10.24, page 303: 25 kW at 3000 r/min, μ 0.255, r1/r2 1.25,
    # 0.1 N/mm², two faces. Published: r2 96 mm, r1 120 mm, 1446 N.
    torque = torque_from_power(25.0, 3000.0)
    # Torque at a given pressure goes with the cube of the size, so a plate of r2 = 1 mm scales.
    unit = torque_capacity(
        0.255,
        2,
        0.1 / max_pressure_uniform_wear(1.0, 1.25, 1.0, 0.0),
        radius_uniform_wear(1.25, 1.0),
    )
    inner = (torque / unit) ** (1.0 / 3.0)
    assert inner == pytest.approx(96.0, rel=1e-3)  # rounded up to a whole millimetre
    assert inner == pytest.approx(95.93620174935, rel=EXACT)
    clamp = 0.1 / max_pressure_uniform_wear(1.0, 1.25 * inner, inner, 0.0)
    assert clamp == pytest.approx(1446.0, rel=5e-4)  # four digits
    assert clamp == pytest.approx(1445.722424213, rel=EXACT)
    rounded = 0.1 / max_pressure_uniform_wear(1.0, 120.0, 96.0, 0.0)
    assert rounded == pytest.approx(1447.645894774, rel=EXACT)


def test_example_10_25_width_a_quarter_of_the_mean_radius() -> None:
    # Theory of Machines, example 10.25, page 304: 7.5 kW at 900 r/min, 0.07 N/mm² on average,
    # μ 0.25, two faces, width R/4. Published: R 113, w 28.28, r1 127.258, r2 98.979 mm.
    torque = torque_from_power(7.5, 900.0)
    outer, inner = 1.125, 0.875
    clamp = 0.07 / mean_pressure(1.0, facing_area(outer, inner, 0.0))
    unit = torque_capacity(0.25, 2, clamp, radius_uniform_wear(outer, inner))
    radius = (torque / unit) ** (1.0 / 3.0)
    assert radius == pytest.approx(113.0, rel=2e-3)  # three digits
    assert radius == pytest.approx(113.1186130349, rel=EXACT)
    assert radius / 4.0 == pytest.approx(28.28, rel=1e-4)
    assert outer * radius == pytest.approx(127.258, rel=1e-5)
    assert inner * radius == pytest.approx(98.979, rel=1e-5)


def test_example_10_26_compression_of_eight_springs() -> None:
    # Theory of Machines, example 10.26, page 305: 500 N·m, 0.07 N/mm², μ 0.3, r1/r2 1.25, two
    # faces, eight springs of 40 N/mm. The book's own answer is wrong; with its rounded r2 of
    # 190 mm the springs are compressed 12.4 mm (three digits).
    unit = torque_capacity(
        0.3,
        2,
        0.07 / max_pressure_uniform_wear(1.0, 1.25, 1.0, 0.0),
        radius_uniform_wear(1.25, 1.0),
    )
    assert (500.0 / unit) ** (1.0 / 3.0) == pytest.approx(188.8641107496, rel=EXACT)
    clamp = 0.07 / max_pressure_uniform_wear(1.0, 237.5, 190.0, 0.0)
    assert clamp == pytest.approx(3969.402317811, rel=EXACT)
    compression = clamp / 8.0 / 40.0
    assert compression == pytest.approx(12.4, rel=1e-3)
    assert compression == pytest.approx(12.40438224316, rel=EXACT)
    springs = SpringGroup(
        count=8,
        free_length_mm=Quantity(60.0),
        installed_length_mm=Quantity(60.0 - compression),
        rate_n_per_mm=Quantity(40.0),
    )
    pack = PackInputs(
        friction_plates=1,
        facing_od_mm=Quantity(475.0),
        facing_id_mm=Quantity(380.0),
        clamp=CoilClamp((springs,)),
        friction={("dry", "sliding"): Quantity(0.3)},
    )
    state = State(lubrication="dry", friction="sliding")
    side = pack_side(stack_packs([pack], state), state)
    assert float(side.clamp.value[0, 0]) == pytest.approx(clamp, rel=EXACT)
    # At the rounded radius the pack carries a little more than it must.
    assert float(side.capacity.value[0, 0]) == pytest.approx(
        500.0 * (190.0 / 188.8641107496) ** 3, rel=EXACT
    )
    assert math.isclose(float(side.radius.value[0, 0]), 213.75)
