"""Laws of the engine side."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.mechanics.engine_torque import (
    bmep_from_torque,
    displacement,
    power_from_torque,
    torque_at_clutch,
    torque_from_bmep,
    torque_from_power,
)

torques = st.floats(0.5, 200.0)
speeds = st.floats(500.0, 15_000.0)
powers = st.floats(0.5, 100.0)
pressures = st.floats(200.0, 2000.0)
volumes = st.floats(20.0, 2000.0)


@given(torques, speeds)
def test_torque_times_angular_speed_is_power(torque: float, speed: float) -> None:
    omega = speed * 2.0 * math.pi / 60.0
    assert power_from_torque(torque, speed) * 1000.0 == pytest.approx(torque * omega, rel=1e-14)


@given(powers, speeds)
def test_power_and_torque_undo_one_another(power: float, speed: float) -> None:
    torque = torque_from_power(power, speed)
    assert power_from_torque(torque, speed) == pytest.approx(power, rel=1e-14)
    # 9549.2966 is 30000/π as handbooks print it.
    assert torque == pytest.approx(9549.2966 * power / speed, rel=5e-9)


@given(pressures, volumes, st.sampled_from([2, 4]))
def test_pressure_and_torque_undo_one_another(bmep: float, swept: float, strokes: int) -> None:
    torque = torque_from_bmep(bmep, swept, strokes)
    assert bmep_from_torque(torque, swept, strokes) == pytest.approx(bmep, rel=1e-14)


@given(pressures, volumes)
def test_a_two_stroke_has_twice_the_torque_at_the_same_pressure(bmep: float, swept: float) -> None:
    assert torque_from_bmep(bmep, swept, 2) == 2.0 * torque_from_bmep(bmep, swept, 4)


@pytest.mark.parametrize(
    ("strokes", "swept", "bmep", "torque"),
    [
        # Recomputed by hand from bmep V_d/(2π n_R).
        (4, 125.0, 1000.0, 9.947183943243),
        (4, 250.0, 1050.0, 20.88908628081),
        (2, 125.0, 900.0, 17.90493109784),
        (2, 50.0, 550.0, 4.376760935027),
        (4, 600.0, 1200.0, 57.29577951308),
    ],
)
def test_torque_of_usual_engines(strokes: int, swept: float, bmep: float, torque: float) -> None:
    assert torque_from_bmep(bmep, swept, strokes) == pytest.approx(torque, rel=1e-12)


@given(st.floats(20.0, 120.0), st.floats(20.0, 120.0), st.integers(1, 8))
def test_displacement_is_that_of_a_cylinder_each(bore: float, stroke: float, n: int) -> None:
    one = displacement(bore, stroke, 1.0)
    assert one == pytest.approx(math.pi * (bore / 2.0) ** 2 * stroke / 1000.0, rel=1e-14)
    assert displacement(bore, stroke, float(n)) == pytest.approx(n * one, rel=1e-14)


@given(torques, speeds, st.floats(0.5, 5.0))
def test_a_gear_without_loss_keeps_the_power(torque: float, speed: float, ratio: float) -> None:
    behind = torque_at_clutch(torque, ratio, 1.0)
    assert power_from_torque(behind, speed / ratio) == pytest.approx(
        power_from_torque(torque, speed), rel=1e-13
    )


@given(st.lists(st.tuples(powers, speeds), min_size=1, max_size=6))
def test_many_engines_at_once_equal_one_by_one(rows: list[tuple[float, float]]) -> None:
    power, speed = np.array(rows).T
    singly = [torque_from_power(p, n) for p, n in rows]
    np.testing.assert_array_equal(torque_from_power(power, speed), singly)
