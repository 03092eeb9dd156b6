"""Heat of a launch with what a pack's record adds: energy per facing area, temperature rise."""

import math
from dataclasses import dataclass

from app.errors import BadInput, Problem
from app.mechanics.derived import working_faces
from app.mechanics.disc_friction import facing_area
from app.mechanics.facing_limits import energy_row, power_row
from app.mechanics.inputs import Lubrication, PackInputs
from app.mechanics.slip_heat import (
    energy_per_area,
    engage,
    slip_power,
    temperature_rise,
    vehicle_inertia,
)


@dataclass(frozen=True, slots=True)
class Driver:
    """The engine side at the clutch shaft [r/min, kg·m²]; without an inertia it is held."""

    speed_rpm: float
    inertia_kg_m2: float | None = None


@dataclass(frozen=True, slots=True)
class Vehicle:
    """A moving mass [kg] on wheels [m]; overall_ratio is clutch speed over wheel speed [1]."""

    mass_kg: float
    wheel_radius_m: float
    overall_ratio: float


@dataclass(frozen=True, slots=True)
class Driven:
    """The driven side at the clutch shaft: an inertia [kg·m²] or a vehicle."""

    speed_rpm: float = 0.0
    inertia_kg_m2: float | None = None
    vehicle: Vehicle | None = None


@dataclass(frozen=True, slots=True)
class Launch:
    """Heat of a launch; None where a figure can't be known or the clutch never locks."""

    energy_j: float | None
    slip_time_s: float | None
    common_speed_rpm: float | None
    energy_per_area_j_mm2: float | None
    temperature_rise_k: float | None
    model: str
    words: tuple[str, ...]


def launch(
    torque_nm: float,
    driver: Driver,
    driven: Driven,
    load_torque_nm: float = 0.0,
    drive_torque_nm: float = 0.0,
    pack: PackInputs | None = None,
    plate_mass_kg: float | None = None,
    launches: float = 1.0,
) -> Launch:
    """Energy, slip time and temperature rise of a launch.

    Args:
        torque_nm: clutch torque while it slips [N·m].
        driver: the engine side.
        driven: the driven side.
        load_torque_nm: torque that loads the driven side, signed [N·m].
        drive_torque_nm: torque that drives the engine side, signed [N·m].
        pack: gives faces, area and plate mass; None: those figures stay unknown.
        plate_mass_kg: steel that takes up the heat [kg]; None: the pack's own.
        launches: launches in a row without cooling [count].

    Returns:
        Launch in J, s, r/min, J/mm² and K.

    Errors: BadInput when the driven side has no inertia, or has two.
    Range: constant torque, no cooling.
    Source: app.mechanics.slip_heat.
    """
    if (driven.inertia_kg_m2 is None) == (driven.vehicle is None):
        raise BadInput([Problem(
            "driven", "Give the driven side's inertia_kg_m2 or a vehicle, one of the two.")])
    inertia = driven.inertia_kg_m2 if driven.vehicle is None else vehicle_inertia(
        driven.vehicle.mass_kg, driven.vehicle.wheel_radius_m, driven.vehicle.overall_ratio)
    if driven.vehicle is not None and not 0.0 < (inertia or 0.0) < math.inf:
        raise BadInput([Problem(
            "driven.vehicle", "Write a mass, a wheel radius and a ratio of a vehicle's size.")])
    slip = engage(torque_nm, driver.speed_rpm, driven.speed_rpm, inertia or 0.0,
                  driver.inertia_kg_m2, drive_torque_nm, load_torque_nm)
    mass = plate_mass_kg
    if mass is None and pack is not None and pack.plate_mass_kg is not None:
        mass = pack.plate_mass_kg.value
    words = list(slip.words)
    figures = (slip.energy_j, slip.slip_time_s, slip.common_speed_rpm)
    if not all(math.isfinite(f) for f in figures if f is not None):
        words.append("The figures are too large or too small to be worked out.")
        return Launch(None, None, None, None, None, slip.model, tuple(words))
    words += _power_words(torque_nm, driver.speed_rpm - driven.speed_rpm, pack)
    per_area = rise = None
    if slip.energy_j is not None:
        per_area = _per_area(slip.energy_j, pack)
        words += _energy_words(per_area, pack)
        if mass is not None:
            rise = _finite(temperature_rise(slip.energy_j, mass) * launches)
            words.append("The temperature rise takes all heat to stay in the plates: no cooling.")
    return Launch(slip.energy_j, slip.slip_time_s, slip.common_speed_rpm, per_area, rise,
                  slip.model, tuple(words))


LUBRICATIONS: tuple[Lubrication, ...] = ("dry", "oiled")


def _power_words(torque_nm: float, slip_rpm: float, pack: PackInputs | None) -> list[str]:
    """The slip power at the start over the faces' area, held against what the facing stands."""
    per_area = _per_area(slip_power(torque_nm, abs(slip_rpm)), pack)
    if pack is None or pack.facing is None or not per_area:
        return []
    words = []
    for lubrication in LUBRICATIONS:
        row = power_row(pack.facing, lubrication)
        if row is not None and row.power_w_mm2 is not None:
            beyond = per_area > row.power_w_mm2
            words.append(
                f"At the start {per_area:.2g} W/mm² turn to heat at the faces; {row.facing}, "
                f"{lubrication}, stands {row.power_w_mm2:g} W/mm²"
                f"{': too much' if beyond else ''} ({row.source}).")
    return words


def _energy_words(per_area: float | None, pack: PackInputs | None) -> list[str]:
    """The energy of one launch against the table's band, which is from memory."""
    if pack is None or pack.facing is None or not per_area:
        return []
    rows = [row for lubrication in LUBRICATIONS
            if (row := energy_row(pack.facing, lubrication)) is not None]
    return [
        f"One launch takes {per_area:.2g} J/mm²; {row.facing}, {row.lubrication}, stands "
        f"{row.low_j_mm2:g} to {row.high_j_mm2:g} J/mm² at most"
        f"{': too much' if per_area > row.high_j_mm2 else ''} ({row.source}, from memory: "
        "an indication, no limit)." for row in rows
    ]


def _per_area(amount: float, pack: PackInputs | None) -> float | None:
    """Energy [J] or power [W] over the area of all working faces [mm²], net of grooves."""
    if pack is None or pack.facing_od_mm is None or pack.facing_id_mm is None:
        return None
    faces = working_faces(pack)
    if faces is None:
        return None
    area = facing_area(pack.facing_od_mm.value / 2.0, pack.facing_id_mm.value / 2.0,
                       pack.grooved_fraction.value)
    return _finite(energy_per_area(amount, area, float(faces))) if area > 0.0 else None


def _finite(figure: float) -> float | None:
    return figure if math.isfinite(figure) else None
