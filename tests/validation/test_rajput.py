"""R. K. Rajput, A Textbook of Internal Combustion Engines, chapter 17."""

import pytest

from app.mechanics.engine_torque import displacement, power_from_torque, torque_from_bmep


def test_example_17_7_power_from_mean_effective_pressure() -> None:
    # Example 17.7, page 573: 25 litres, 6 bar, 2000 r/min, four-stroke. Published: 250 kW.
    power = power_from_torque(torque_from_bmep(600.0, 25000.0, 4), 2000.0)
    assert power == pytest.approx(250.0, rel=1e-9)


def test_example_17_4_bore_of_a_square_engine() -> None:
    # Example 17.4, page 572: four cylinders, four-stroke, 160 N·m, 9.6 bar, bore = stroke. The
    # companion's 138.67 mm forgets that there are four cylinders; 87.36 mm is right.
    swept = 160.0 / torque_from_bmep(960.0, 1.0, 4)
    assert swept == pytest.approx(2094.395102393, rel=1e-9)
    assert displacement(87.35804647363, 87.35804647363, 4.0) == pytest.approx(swept, rel=1e-9)
