"""Heat, slip time and common speed of engagements: solved examples of four books."""

import math

import pytest

from app.mechanics.disc_friction import radius_uniform_wear, torque_capacity
from app.mechanics.slip_heat import engage, temperature_rise

EXACT = 1e-9
RPM = math.pi / 30.0


def test_khurmi_gupta_example_3_12() -> None:
    # R. S. Khurmi and J. K. Gupta, Theory of Machines, example 3.12, page 47: 150 N·m between
    # 60 kg at 140 mm, at 750 r/min, and 20 kg at 80 mm at rest. Published: 70.8 rad/s, 0.06 s,
    # 356 J.
    found = engage(150.0, 750.0, 0.0, 20.0 * 0.08**2, 60.0 * 0.14**2)
    assert found.common_speed_rpm is not None
    speed = found.common_speed_rpm * RPM
    assert speed == pytest.approx(70.8, rel=1e-3)  # three digits
    assert found.slip_time_s == pytest.approx(0.06, rel=1e-2)  # one digit
    assert found.energy_j == pytest.approx(356.0, rel=1e-3)  # three digits
    assert speed == pytest.approx(70.83039, rel=1e-6)
    assert found.slip_time_s == pytest.approx(0.06044192982612, rel=EXACT)
    assert found.energy_j == pytest.approx(356.0323550822, rel=EXACT)


def test_khurmi_gupta_example_10_27_motor_and_flywheel() -> None:
    # Theory of Machines, example 10.27, page 306: facings 220/160 mm, 570 N, μ 0.35, two faces;
    # 800 kg at 200 mm and 1250 r/min against 1300 kg at 180 mm at rest. Published: 56.51 rad/s,
    # 62.8 s, 156 kJ; 33.1 s with 60 N·m against the armature, 624 s with 60 N·m driving it.
    torque = torque_capacity(0.35, 2, 570.0, radius_uniform_wear(110.0, 80.0))
    motor, rotor = 800.0 * 0.2**2, 1300.0 * 0.18**2
    found = engage(torque, 1250.0, 0.0, rotor, motor)
    assert torque == pytest.approx(37.905, rel=EXACT)
    assert found.common_speed_rpm is not None
    assert found.common_speed_rpm * RPM == pytest.approx(56.51, rel=1e-4)  # four digits
    assert found.common_speed_rpm * RPM == pytest.approx(56.51363, rel=1e-6)
    assert found.slip_time_s == pytest.approx(62.8, rel=1e-3)  # three digits
    assert found.slip_time_s == pytest.approx(62.79789122079, rel=EXACT)
    # The book rounds its kinetic energies before it takes their difference.
    assert found.energy_j == pytest.approx(156e3, rel=2e-3)
    assert found.energy_j == pytest.approx(155793.8093534, rel=EXACT)
    braked = engage(torque, 1250.0, 0.0, rotor, motor, drive_torque_nm=-60.0)
    assert braked.slip_time_s == pytest.approx(33.1, rel=2e-3)
    assert braked.slip_time_s == pytest.approx(33.05998622929, rel=EXACT)
    driven = engage(torque, 1250.0, 0.0, rotor, motor, drive_torque_nm=60.0)
    # A difference of two nearly equal terms: the book's rounding counts twice.
    assert driven.slip_time_s == pytest.approx(624.0, rel=2e-3)
    assert driven.slip_time_s == pytest.approx(624.938786979, rel=EXACT)


def test_khurmi_gupta_example_10_34_cone_clutch_on_a_steady_shaft() -> None:
    # Theory of Machines, example 10.34, page 316: a cone of 75 mm mean diameter and 15°, 180 N,
    # μ 0.3, brings 13.5 kg at 150 mm to 1000 r/min. Published: 7.8 N·m, 4.1 s, 1674 J. The book
    # rounds torque and time before the energy, hence 1674 for 1665.5.
    torque = torque_capacity(0.3, 1, 180.0, 37.5) / math.sin(math.radians(15.0))
    found = engage(torque, 1000.0, 0.0, 13.5 * 0.15**2)
    assert torque == pytest.approx(7.8, rel=4e-3)  # two digits
    assert found.slip_time_s == pytest.approx(4.1, rel=1e-2)  # two digits
    assert found.energy_j == pytest.approx(1674.0, rel=6e-3)
    assert found.slip_time_s == pytest.approx(4.065520053516, rel=EXACT)
    assert found.energy_j == pytest.approx(1665.495742684, rel=EXACT)


def test_jindal_example_22_1() -> None:
    # U. C. Jindal, Machine Design, example 22-1, page 588: 7.2 kg·m² to 300 r/min by 44.33 N·m.
    # Published: 5.1 s, 3553.06 J.
    found = engage(44.33, 300.0, 0.0, 7.2)
    assert found.slip_time_s == pytest.approx(5.1, rel=1e-3)
    assert found.energy_j == pytest.approx(3553.06, rel=1e-6)
    assert found.slip_time_s == pytest.approx(7.2 * 10.0 * math.pi / 44.33, rel=EXACT)
    assert found.energy_j == pytest.approx(3553.057584392, rel=EXACT)


def test_jindal_example_22_8() -> None:
    # Machine Design, example 22-8, page 594: 0.4 kg·m² at 1440 r/min. Published: 4548 J. Whatever
    # the torque, a shaft held at its speed makes as much heat as it gives motion.
    found = engage(25.0, 1440.0, 0.0, 0.4)
    assert found.energy_j == pytest.approx(4548.0, rel=1e-4)
    assert found.energy_j == pytest.approx(4547.913708022, rel=EXACT)


def test_wentzell_example_16_5_temperature_of_a_disc() -> None:
    # T. H. Wentzell, Machine Design, example 16.5, page 365: 3500 lb at 73 ft/s, all its energy
    # into a 40 lb disc of 93 ft·lbf/(lb·°F). Published: 289619.57 ft·lbf, 77.85 °F.
    energy = 3500.0 / 32.2 * 73.0**2 / 2.0
    assert energy == pytest.approx(289619.57, rel=1e-7)
    # m c in foot-pounds a degree gives degrees Fahrenheit: the formula knows no units.
    rise = temperature_rise(energy, 40.0, 93.0)
    assert rise == pytest.approx(77.85, rel=1e-4)
    assert rise == pytest.approx(77.8547218, rel=EXACT)
