"""M. L. Mathur and R. P. Sharma, Internal Combustion Engine, chapter 18."""

import pytest

from app.mechanics.engine_torque import bmep_from_torque, displacement, torque_from_power


def test_example_18_1_mean_effective_pressure_from_power() -> None:
    # Example 18.1, page 353: four cylinders, four-stroke, 110 x 130 mm, 36 kW at 2250 r/min.
    # Published: 3.885 bar (four digits).
    torque = torque_from_power(36.0, 2250.0)
    swept = displacement(110.0, 130.0, 4.0)
    bmep = bmep_from_torque(torque, swept, 4)
    assert bmep / 100.0 == pytest.approx(3.885, rel=1e-4)
    assert torque == pytest.approx(152.7887453682, rel=1e-9)
    assert swept == pytest.approx(4941.725244097, rel=1e-9)
    assert bmep == pytest.approx(388.5282781137, rel=1e-9)


def test_example_18_4_mean_effective_pressure_from_torque() -> None:
    # Example 18.4, page 368: four cylinders, four-stroke, 105 x 125 mm, 147 N·m at 1200 r/min.
    # Published: 4.27 bar (three digits).
    bmep = bmep_from_torque(147.0, displacement(105.0, 125.0, 4.0), 4)
    assert bmep / 100.0 == pytest.approx(4.27, rel=1e-3)
    assert bmep == pytest.approx(426.6666666667, rel=1e-9)
