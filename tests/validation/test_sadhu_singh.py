"""Sadhu Singh, Machine Design I, chapter 8."""

import math

import pytest

from app.mechanics.coil_spring import (
    rate_from_wire,
    shear_stress,
    solid_length,
    spring_index,
    wahl_factor,
)


def test_example_8_1_spring_from_stress_and_stiffness() -> None:
    # Example 8.1, page 227: 250 to 300 N over 8 mm, C 8, 420 MPa, G 84 GPa.
    # Published: K_W 1.184, d 4.15 taken as 4.25 mm, 14 coils, free length 123.0 mm.
    assert wahl_factor(8.0) == pytest.approx(1.184, rel=5e-5)
    assert wahl_factor(8.0) == pytest.approx(1.184017857143, rel=1e-9)
    assert shear_stress(300.0, 4.150784238997, 8.0 * 4.150784238997) == pytest.approx(
        420.0, rel=1e-9
    )
    rate = 50.0 / 8.0
    coils = rate_from_wire(84000.0, 4.25, 8.0 * 4.25, 1.0) / rate
    assert coils == pytest.approx(13.9453125, rel=1e-9)
    assert math.ceil(coils) == 14
    # The book adds 15 % of the deflection as room between coils, to the unrounded coils.
    free = solid_length(coils + 2.0, 4.25, "closed_ground") + 1.15 * 300.0 / rate
    assert free == pytest.approx(123.0, rel=5e-4)
    assert free == pytest.approx(122.967578125, rel=1e-9)


def test_example_8_2_stress_amplitude_of_a_valve_spring() -> None:
    # Example 8.2, page 228: 60 to 140 N, d 3, D 18 mm, S_ut 1430 MPa. Published: factor of safety
    # 1.44. The fatigue rule is the book's, with 0.45 S_ut at yield and 0.22 S_ut at the endurance
    # limit, mean stress by 1 + 1/(2C) and amplitude by Wahl's factor; the stresses are ours.
    index = spring_index(18.0, 3.0)
    amplitude = shear_stress(40.0, 3.0, 18.0)
    mean = shear_stress(100.0, 3.0, 18.0) * (1.0 + 1.0 / (2.0 * index)) / wahl_factor(index)
    assert amplitude == pytest.approx(85.05240158831, rel=1e-9)
    assert mean == pytest.approx(183.912378684, rel=1e-9)
    inverse = (mean - amplitude) / (0.45 * 1430.0) + 2.0 * amplitude / (0.22 * 1430.0)
    assert 1.0 / inverse == pytest.approx(1.44, rel=5e-4)
    assert 1.0 / inverse == pytest.approx(1.440236497043, rel=1e-9)
