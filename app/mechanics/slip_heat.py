"""Heat of an engagement: energy, slip time, common speed, temperature rise.

All speeds, inertias and torques are those at the clutch shaft.
"""

import math
from dataclasses import dataclass
from typing import Literal

from app.errors import BadInput, Problem

STEEL_HEAT = 460.0
"""Specific heat of steel [J/(kg·K)], a round figure of the handbooks, from memory."""

_TO_RAD = math.pi / 30.0


@dataclass(frozen=True, slots=True)
class Engagement:
    """An engagement: energy [J], slip time [s], common speed [r/min]; None: it never locks."""

    energy_j: float | None
    slip_time_s: float | None
    common_speed_rpm: float | None
    model: Literal["two_inertias", "held_driver"]
    words: tuple[str, ...]


def inertia_at_clutch(inertia_kg_m2: float, ratio: float) -> float:
    """An inertia on a faster shaft seen from the clutch shaft, I_c = I i².

    Args:
        inertia_kg_m2: I on its own shaft [kg·m²].
        ratio: i = speed of its shaft over clutch speed [1], a scalar.

    Returns:
        I_c [kg·m²].

    Range: I ≥ 0, i > 0.
    Source: kinetic energy is the same on both shafts.
    """
    return inertia_kg_m2 * ratio * ratio


def vehicle_inertia(mass_kg: float, wheel_radius_m: float, overall_ratio: float) -> float:
    """A moving mass seen from the clutch shaft, I = m r²/i_w².

    Args:
        mass_kg: vehicle and rider m [kg].
        wheel_radius_m: rolling radius r [m].
        overall_ratio: i_w = clutch speed over wheel speed [1], a scalar.

    Returns:
        I [kg·m²].

    Range: all positive; the wheels' own inertia left out.
    Source: kinetic energy is the same on both shafts.
    """
    arm = wheel_radius_m / overall_ratio
    return mass_kg * arm * arm


def engage(
    torque_nm: float,
    driver_speed_rpm: float,
    driven_speed_rpm: float,
    driven_inertia_kg_m2: float,
    driver_inertia_kg_m2: float | None = None,
    drive_torque_nm: float = 0.0,
    load_torque_nm: float = 0.0,
) -> Engagement:
    """Slip until both sides turn alike, at a constant clutch torque.

    a = (T − T_d)/I1 + (T − T_L)/I2, the first term absent for a driver held at its speed;
    t = Δω/a, E = ½ T Δω t, common speed ω2 + (T − T_L) t/I2. Without outside torques this is
    E = I1 I2 Δω²/(2 (I1 + I2)), or ½ I2 Δω² with a held driver.

    Args:
        torque_nm: clutch torque T while it slips [N·m].
        driver_speed_rpm: speed of the engine side at the start [r/min].
        driven_speed_rpm: speed of the driven side at the start [r/min].
        driven_inertia_kg_m2: I2 [kg·m²].
        driver_inertia_kg_m2: I1 [kg·m²]; None: the driver is held at its speed.
        drive_torque_nm: T_d that drives the engine side, signed [N·m].
        load_torque_nm: T_L that loads the driven side, signed [N·m].

    Returns:
        Engagement with energy [J], time [s] and speed [r/min]; None in them where it never locks.

    Errors: BadInput when an inertia or the torque is not positive.
    Range: constant torque, stiff shafts, scalars.
    Source: R. S. Khurmi & J. K. Gupta, Theory of Machines, ch. 10 and 3; momentum of both sides.
    """
    _check_positive(torque_nm=torque_nm, driven_inertia_kg_m2=driven_inertia_kg_m2)
    held = driver_inertia_kg_m2 is None
    if driver_inertia_kg_m2 is not None:
        _check_positive(driver_inertia_kg_m2=driver_inertia_kg_m2)
    model: Literal["two_inertias", "held_driver"] = "held_driver" if held else "two_inertias"
    words = [
        "The engine is held at its speed and gives whatever torque that takes; from rest and "
        "without a load, half of its work becomes heat."
        if held else
        "The engine's speed changes while it slips; an engine held at its speed makes other heat, "
        "so choose the one that is meant."
    ]
    slip = (driver_speed_rpm - driven_speed_rpm) * _TO_RAD
    # An overrunning driven side is braked by the clutch: the clutch torque changes its sign.
    torque = math.copysign(torque_nm, slip)
    closing = (torque - load_torque_nm) / driven_inertia_kg_m2
    if driver_inertia_kg_m2 is not None:
        closing += (torque - drive_torque_nm) / driver_inertia_kg_m2
    if slip == 0.0:
        words.append("Both sides already turn alike, so nothing slips.")
        return Engagement(0.0, 0.0, driven_speed_rpm, model, tuple(words))
    if closing * slip <= 0.0:
        words.append("The torques hold the two sides apart: it never locks and slips on and on.")
        return Engagement(None, None, None, model, tuple(words))
    time = slip / closing
    energy = 0.5 * torque * slip * time
    common = driven_speed_rpm + (torque - load_torque_nm) * time / driven_inertia_kg_m2 / _TO_RAD
    return Engagement(energy, time, common, model, tuple(words))


def _check_positive(**figures: float) -> None:
    problems = [Problem(name, "Write a number above 0.") for name, value in figures.items()
                if not value > 0.0]
    if problems:
        raise BadInput(problems)


def temperature_rise(energy_j: float, mass_kg: float, specific_heat: float = STEEL_HEAT) -> float:
    """Rise of the plates when all heat stays in them, ΔT = E/(m c).

    Args:
        energy_j: heat E [J].
        mass_kg: mass of the steel that takes it up m [kg].
        specific_heat: c [J/(kg·K)], a scalar.

    Returns:
        ΔT [K].

    Range: m > 0; no cooling, so a repeated launch adds its own rise.
    Source: T. H. Wentzell, Machine Design, ch. 16; definition of specific heat.
    """
    return energy_j / (mass_kg * specific_heat)


def energy_per_area(energy_j: float, area_mm2: float, faces: float) -> float:
    """Heat of one engagement over all working faces, net of grooves, q = E/(z A).

    Args:
        energy_j: heat E [J].
        area_mm2: area of one face without its grooves A [mm²].
        faces: working faces z [count], a scalar.

    Returns:
        q [J/mm²].

    Range: A > 0, z ≥ 1.
    Source: definition; the limits of VDI 2241 are given in these terms, from memory.
    """
    return energy_j / (area_mm2 * faces)


def slip_power(torque_nm: float, slip_rpm: float) -> float:
    """Power turned to heat while slipping, P = T Δω.

    Args:
        torque_nm: T [N·m].
        slip_rpm: difference of the speeds [r/min], a scalar.

    Returns:
        P [W].

    Range: any.
    Source: definition of power.
    """
    return torque_nm * slip_rpm * _TO_RAD
