"""Yield and plastic torque of bars."""

import math

import numpy as np
import pytest

from app.mechanics.torsion import (
    ELASTIC_FACTORS,
    PLASTIC_FACTORS,
    Section,
    plastic_torque,
    shear_yield,
    yield_torque,
)

SECTIONS: tuple[Section, ...] = ("round", "square", "hexagon")


def test_shear_yield_by_von_mises() -> None:
    assert shear_yield(520.0) == pytest.approx(300.22, abs=5e-3)


def test_a_round_bar_by_its_polar_moment() -> None:
    # W = J/(d/2) with J = π d⁴/32.
    d, tau = 12.0, 500.0 / math.sqrt(3.0)
    assert yield_torque("round", d, 500.0) == pytest.approx(
        tau * (math.pi * d**4 / 32.0) / (d / 2.0) / 1000.0)
    # All of it at τ: ∫ τ r dA = 2π τ r³/3.
    assert plastic_torque("round", d, 500.0) == pytest.approx(
        tau * 2.0 * math.pi * (d / 2.0) ** 3 / 3.0 / 1000.0)


@pytest.mark.parametrize("section", SECTIONS)
def test_the_plastic_torque_lies_above_that_at_first_yield(section: Section) -> None:
    assert 1.2 < plastic_torque(section, 10.0, 400.0) / yield_torque(section, 10.0, 400.0) < 1.7


@pytest.mark.parametrize(
    ("section", "area"),
    [("round", math.pi / 4.0), ("square", 1.0), ("hexagon", math.sqrt(3.0) / 2.0)],
)
def test_a_sand_heap_on_a_section_with_an_incircle(section: Section, area: float) -> None:
    # Twice the heap's volume: every side has the same distance to the middle, so the heap is a
    # cone or pyramid of height τ w/2, and T = 2 · A · (τ w/2)/3 = τ A w/3.
    assert PLASTIC_FACTORS[section] == pytest.approx(area / 3.0)


def test_printed_factors() -> None:
    assert ELASTIC_FACTORS["square"] == 0.208
    assert ELASTIC_FACTORS["hexagon"] == 0.188


@pytest.mark.parametrize("section", SECTIONS)
def test_torque_goes_with_the_cube_of_the_size(section: Section) -> None:
    size = np.array([5.0, 10.0])
    for torque in (yield_torque(section, size, 400.0), plastic_torque(section, size, 400.0)):
        assert torque[1] / torque[0] == pytest.approx(8.0)
