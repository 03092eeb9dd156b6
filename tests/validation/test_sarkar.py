"""B. K. Sarkar, Theory of Machines."""

import pytest

from app.mechanics.disc_friction import (
    faces_working,
    max_pressure_uniform_wear,
    radius_uniform_wear,
    torque_capacity,
)
from app.mechanics.engine_torque import torque_from_power


def test_illustration_15_five_discs() -> None:
    # Illustration 15, page 111: 3 + 2 discs, diameters 300 and 150 mm, μ 0.3, 30 kW at 1800 r/min,
    # uniform wear. Published: 0.033 N/mm², two digits (and a companion that takes π as 3.147).
    torque = torque_from_power(30.0, 1800.0)
    radius = radius_uniform_wear(150.0, 75.0)
    clamp = torque / torque_capacity(0.3, faces_working(2), 1.0, radius)
    pressure = max_pressure_uniform_wear(clamp, 150.0, 75.0, 0.0)
    assert pressure == pytest.approx(0.033, rel=1.5e-2)
    assert torque == pytest.approx(159.1549430919, rel=1e-9)
    assert clamp == pytest.approx(1178.925504384, rel=1e-9)
    assert pressure == pytest.approx(0.03335676827731, rel=1e-9)
