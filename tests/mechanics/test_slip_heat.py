"""Heat of an engagement: worked by hand, integrated by another library, and refused."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from app.errors import BadInput
from app.mechanics.slip_heat import (
    STEEL_HEAT,
    energy_per_area,
    engage,
    inertia_at_clutch,
    slip_power,
    temperature_rise,
    vehicle_inertia,
)

RPM = math.pi / 30.0


def test_two_inertias_meet_at_their_common_momentum() -> None:
    found = engage(60.0, 3000.0, 0.0, 0.3, driver_inertia_kg_m2=0.1)
    # I1 I2/(I1 + I2) = 0.075 kg·m² and ω = 100π rad/s.
    assert found.energy_j == pytest.approx(0.075 / 2 * (100 * math.pi) ** 2)
    assert found.slip_time_s == pytest.approx(0.075 * 100 * math.pi / 60.0)
    assert found.common_speed_rpm == pytest.approx(750.0)
    assert found.model == "two_inertias"


def test_a_held_driver_makes_the_heat_that_the_driven_side_gains() -> None:
    found = engage(60.0, 3000.0, 0.0, 0.3)
    assert found.energy_j == pytest.approx(0.15 * (100 * math.pi) ** 2)
    assert found.slip_time_s == pytest.approx(0.3 * 100 * math.pi / 60.0)
    assert found.common_speed_rpm == pytest.approx(3000.0)
    assert found.model == "held_driver"
    assert "held" in found.words[0]


@pytest.mark.parametrize("held", [False, True])
@pytest.mark.parametrize(
    ("driver", "driven", "drive", "load"),
    [(4000.0, 500.0, 0.0, 0.0), (4000.0, 500.0, 12.0, 5.0), (1000.0, 3500.0, -4.0, 7.0),
     (3000.0, -800.0, -6.0, 9.0)],
)
def test_an_integration_in_time_gives_the_same(
    driver: float, driven: float, drive: float, load: float, held: bool
) -> None:
    torque, i1, i2 = 40.0, 0.08, 0.35
    sign = math.copysign(1.0, driver - driven)

    def rates(_: float, y: np.ndarray) -> list[float]:
        slip = y[0] - y[1]
        first = 0.0 if held else (drive - sign * torque) / i1
        return [first, (sign * torque - load) / i2, sign * torque * slip]

    def together(_: float, y: np.ndarray) -> float:
        return float(y[0] - y[1])

    together.terminal = True  # type: ignore[attr-defined]  # the solver's way to stop
    run = solve_ivp(rates, (0.0, 60.0), [driver * RPM, driven * RPM, 0.0], events=together,
                    rtol=1e-10, atol=1e-10)
    found = engage(torque, driver, driven, i2, None if held else i1, drive, load)
    assert found.slip_time_s == pytest.approx(run.t_events[0][0], rel=1e-7)
    assert found.energy_j == pytest.approx(run.y_events[0][0][2], rel=1e-7)
    assert found.common_speed_rpm == pytest.approx(run.y_events[0][0][1] / RPM, rel=1e-7)
    assert found.energy_j is not None
    assert found.energy_j > 0.0


@pytest.mark.parametrize("driver_inertia", [None, 0.1])
def test_a_load_above_the_clutch_torque_never_locks(driver_inertia: float | None) -> None:
    found = engage(20.0, 3000.0, 0.0, 0.3, driver_inertia, drive_torque_nm=20.0,
                   load_torque_nm=20.0)
    assert (found.energy_j, found.slip_time_s, found.common_speed_rpm) == (None, None, None)
    assert "never locks" in found.words[-1]


def test_a_held_driver_takes_no_notice_of_its_own_torque() -> None:
    assert engage(20.0, 3000.0, 0.0, 0.3, None, 500.0) == engage(20.0, 3000.0, 0.0, 0.3)


def test_equal_speeds_make_no_heat() -> None:
    found = engage(20.0, 3000.0, 3000.0, 0.3, 0.1, load_torque_nm=5.0)
    assert (found.energy_j, found.slip_time_s, found.common_speed_rpm) == (0.0, 0.0, 3000.0)


@pytest.mark.parametrize(
    ("torque", "driven", "driver", "field"),
    [(0.0, 0.3, None, "torque_nm"), (-1.0, 0.3, None, "torque_nm"),
     (5.0, 0.0, None, "driven_inertia_kg_m2"), (5.0, 0.3, 0.0, "driver_inertia_kg_m2"),
     (math.nan, 0.3, None, "torque_nm")],
)
def test_what_is_not_positive_is_refused(
    torque: float, driven: float, driver: float | None, field: str
) -> None:
    with pytest.raises(BadInput) as refused:
        engage(torque, 3000.0, 0.0, driven, driver)
    assert [p.field for p in refused.value.problems] == [field]
    assert refused.value.problems[0].message == "Write a number above 0."


def test_inertias_at_the_clutch_keep_their_kinetic_energy() -> None:
    # The crank turns 3 times as fast as the clutch.
    crank = inertia_at_clutch(0.02, 3.0)
    assert 0.5 * crank * 100.0**2 == pytest.approx(0.5 * 0.02 * 300.0**2)
    # 200 kg on wheels of 0.3 m, the clutch at 120 rad/s and 6 times as fast as the wheel.
    vehicle = vehicle_inertia(200.0, 0.3, 6.0)
    assert 0.5 * vehicle * 120.0**2 == pytest.approx(0.5 * 200.0 * (0.3 * 20.0) ** 2)


def test_heat_shares() -> None:
    assert STEEL_HEAT == 460.0
    assert temperature_rise(9200.0, 0.5) == pytest.approx(40.0)
    assert temperature_rise(9200.0, 0.5, 920.0) == pytest.approx(20.0)
    assert energy_per_area(9200.0, 2300.0, 4.0) == pytest.approx(1.0)
    assert slip_power(30.0, 3000.0) == pytest.approx(30.0 * 100.0 * math.pi)
