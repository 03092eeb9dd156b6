"""T. Bevan, The Theory of Machines."""

import math

import pytest

from app.mechanics.disc_friction import (
    facing_area,
    mean_pressure,
    radius_uniform_wear,
    torque_capacity,
)
from app.mechanics.engine_torque import torque_from_power

MM_PER_IN = 25.4
MPA_PER_PSI = 0.006894757293168
KW_PER_HP = 0.7456998715822702


def test_chapter_6_example_5_number_of_faces() -> None:
    # Example 5, page 196: 100 hp at 3600 r/min, 20 lb/in² on average, μ 0.07, radii 5 and 4 in.
    # Published: 10 effective surfaces.
    outer, inner = 5.0 * MM_PER_IN, 4.0 * MM_PER_IN
    torque = torque_from_power(100.0 * KW_PER_HP, 3600.0)
    clamp = 20.0 * MPA_PER_PSI / mean_pressure(1.0, facing_area(outer, inner, 0.0))
    faces = torque / torque_capacity(0.07, 1, clamp, radius_uniform_wear(outer, inner))
    assert math.ceil(faces) == 10
    assert faces == pytest.approx(9.82833351028, rel=1e-9)
