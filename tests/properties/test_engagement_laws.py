"""Laws of an engagement without and with outside torques."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.mechanics.slip_heat import Engagement, engage

torques = st.floats(1.0, 500.0)
speeds = st.floats(-12_000.0, 12_000.0)
inertias = st.floats(1e-3, 10.0)
RPM = math.pi / 30.0


def figures(found: Engagement) -> tuple[float, float, float]:
    assert found.energy_j is not None
    assert found.slip_time_s is not None
    assert found.common_speed_rpm is not None
    return found.energy_j, found.slip_time_s, found.common_speed_rpm


@given(torques, st.floats(0.1, 10.0), speeds, speeds, inertias, st.none() | inertias)
def test_energy_knows_no_torque_and_time_is_inverse_to_it(
    torque: float, factor: float, driver: float, driven: float, i2: float, i1: float | None
) -> None:
    energy, time, common = figures(engage(torque, driver, driven, i2, i1))
    energy2, time2, common2 = figures(engage(factor * torque, driver, driven, i2, i1))
    assert energy2 == pytest.approx(energy, rel=1e-9)
    assert time2 * factor == pytest.approx(time, rel=1e-9)
    assert common2 == pytest.approx(common, rel=1e-9, abs=1e-9)


@given(torques, st.floats(10.0, 12_000.0), inertias)
def test_equal_inertias_lose_half_of_their_energy(
    torque: float, speed: float, inertia: float
) -> None:
    energy, _, common = figures(engage(torque, speed, 0.0, inertia, inertia))
    assert energy == pytest.approx(0.5 * (0.5 * inertia * (speed * RPM) ** 2), rel=1e-9)
    assert common == pytest.approx(speed / 2.0, rel=1e-9)


@given(torques, speeds, speeds, inertias, inertias, st.floats(-400.0, 400.0),
       st.floats(-400.0, 400.0))
def test_what_is_lost_and_put_in_adds_up(
    torque: float, driver: float, driven: float, i1: float, i2: float, drive: float, load: float
) -> None:
    assume(abs(driver - driven) > 1.0)
    found = engage(torque, driver, driven, i2, i1, drive, load)
    assume(found.energy_j is not None)
    energy, time, common = figures(found)
    assume(time < 1e4)
    w1, w2, w = driver * RPM, driven * RPM, common * RPM
    before = 0.5 * i1 * w1**2 + 0.5 * i2 * w2**2
    after = 0.5 * (i1 + i2) * w**2
    # Speeds are straight lines in time, so each torque's work is that at its mean speed.
    work = drive * time * (w1 + w) / 2.0 - load * time * (w2 + w) / 2.0
    largest = max(before, after, abs(drive * time * w1), abs(load * time * w2), energy)
    assert energy == pytest.approx(before + work - after, abs=1e-8 * largest)
    # Both momenta by themselves, too.
    sign = math.copysign(torque, w1 - w2)
    assert i1 * (w - w1) == pytest.approx((drive - sign) * time, rel=1e-6, abs=1e-6)
    assert i2 * (w - w2) == pytest.approx((sign - load) * time, rel=1e-6, abs=1e-6)


@given(torques, speeds, speeds, inertias, st.none() | inertias, st.floats(-400.0, 400.0),
       st.floats(-400.0, 400.0))
def test_heat_and_time_are_never_negative(
    torque: float, driver: float, driven: float, i2: float, i1: float | None, drive: float,
    load: float,
) -> None:
    found = engage(torque, driver, driven, i2, i1, drive, load)
    if found.energy_j is None:
        assert found.slip_time_s is None
        assert found.common_speed_rpm is None
        return
    energy, time, _ = figures(found)
    assert energy >= 0.0
    assert time >= 0.0


@given(torques, st.floats(100.0, 12_000.0), inertias)
def test_a_heavy_driver_is_as_good_as_held(torque: float, speed: float, inertia: float) -> None:
    held = figures(engage(torque, speed, 0.0, inertia))
    heavy = figures(engage(torque, speed, 0.0, inertia, 1e12))
    assert heavy == pytest.approx(held, rel=1e-9)
