"""Questions of the Indian graduate engineering examination (GATE) on disc clutches."""

import numpy as np
import pytest

from app.mechanics.disc_friction import (
    facing_area,
    mean_pressure,
    radius_uniform_pressure,
    radius_uniform_wear,
    torque_capacity,
)


def test_ratio_of_axial_forces_of_the_two_theories() -> None:
    # Disc-type axial clutch, diameters 250 and 50 mm, the same torque by uniform pressure and by
    # uniform wear. Published: F1/F2 = 0.871 (three digits).
    by_pressure = 1.0 / torque_capacity(0.3, 1, 1.0, radius_uniform_pressure(125.0, 25.0))
    by_wear = 1.0 / torque_capacity(0.3, 1, 1.0, radius_uniform_wear(125.0, 25.0))
    assert by_pressure / by_wear == pytest.approx(0.871, rel=1e-4)
    assert by_pressure / by_wear == pytest.approx(0.8709677419355, rel=1e-9)


def test_friction_that_grows_with_the_radius() -> None:
    # Inner and outer radii 20 and 40 mm, μ = 0.01 r (r in mm), 18.85 kN·mm, uniform pressure.
    # Published: 0.5 MPa. The face is taken as many narrow rings, each with its own μ.
    edges = np.linspace(20.0, 40.0, 20_001)
    inner, outer = edges[:-1], edges[1:]
    radius = radius_uniform_pressure(outer, inner)
    clamp = 1.0 / mean_pressure(np.ones_like(inner), facing_area(outer, inner, np.zeros(1)))
    torque = torque_capacity(0.01 * radius, np.ones(1), clamp, radius).sum()
    pressure = 18.85 / torque
    assert pressure == pytest.approx(0.5, rel=1e-4)  # 18.85 is rounded to four digits
    # Rings of 0.001 mm leave an error of the order of (width/radius)².
    assert pressure == pytest.approx(0.500011779547, rel=1e-8)
