"""R. C. Juvinall and K. M. Marshek, Fundamentals of Machine Component Design, chapter 18."""

import math

import pytest

from app.mechanics.disc_friction import (
    max_pressure_uniform_wear,
    radius_uniform_wear,
    torque_capacity,
)
from app.mechanics.tables import friction_rows


def test_sample_problem_multiple_disc_clutch_in_oil() -> None:
    # Chapter 18, sample problem: 400 N·m, diameters 150 and 90 mm, 1000 kPa at the inner edge,
    # f 0.10, uniform wear. The answer, from memory: 8 faces and about 8.3 kN.
    clamp = 1.0 / max_pressure_uniform_wear(1.0, 75.0, 45.0, 0.0)
    radius = radius_uniform_wear(75.0, 45.0)
    per_face = torque_capacity(0.10, 1, clamp, radius)
    assert clamp == pytest.approx(8482.300164692, rel=1e-9)
    assert per_face == pytest.approx(50.89380098815, rel=1e-9)
    assert 400.0 / per_face == pytest.approx(7.859503362563, rel=1e-9)
    faces = math.ceil(400.0 / per_face)
    assert faces == 8
    needed = 400.0 / torque_capacity(0.10, faces, 1.0, radius)
    assert needed == pytest.approx(8300.0, rel=5e-3)  # two digits
    assert needed == pytest.approx(8333.333333333, rel=1e-9)


@pytest.mark.parametrize(
    ("facing", "lubrication", "low", "high"),
    [
        ("moulded", "dry", 0.25, 0.45),
        ("woven", "dry", 0.25, 0.45),
        ("sintered", "dry", 0.15, 0.45),
        ("cork", "dry", 0.30, 0.50),
        ("wood", "dry", 0.20, 0.30),
        ("cast_iron_or_hard_steel", "dry", 0.15, 0.25),
        ("moulded", "oiled", 0.06, 0.09),
        ("woven", "oiled", 0.08, 0.10),
        ("sintered", "oiled", 0.05, 0.08),
        ("paper", "oiled", 0.10, 0.14),
        ("cork", "oiled", 0.15, 0.25),
        ("wood", "oiled", 0.12, 0.16),
        ("cast_iron_or_hard_steel", "oiled", 0.03, 0.06),
    ],
)
def test_friction_bands_of_tables_18_1_and_18_2(
    facing: str, lubrication: str, low: float, high: float
) -> None:
    rows = [
        row
        for row in friction_rows()
        if row.source.startswith("Juvinall")
        and row.facing == facing
        and row.lubrication == lubrication
    ]
    assert [(row.low, row.high) for row in rows] == [(low, high)]
    assert rows[0].kind == ("both" if lubrication == "dry" else "sliding")
