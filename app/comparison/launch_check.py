"""Whether a facing stands a start from rest, where the engine records what it sets moving."""

import math
from collections.abc import Sequence

import numpy as np

from app.comparison.check import Check, Outcome
from app.mechanics.derived import primary_ratio, working_faces
from app.mechanics.disc_friction import facing_area
from app.mechanics.facing_limits import energy_row, power_row
from app.mechanics.inputs import EngineInputs, PackInputs, State
from app.mechanics.slip_heat import slip_power, vehicle_inertia
from app.mechanics.traced import Array, Mask

NAME = "launch heat"
LAUNCH_RPM = 4000.0
"""Crank speed at a start from rest unless the state names one; our choice."""


def launch_check(
    pack: PackInputs, engine: EngineInputs, state: State, capacity_nm: float
) -> Check | None:
    """Slip power and energy of one start over the faces, against what the facing stands.

    The engine is held at its speed while the clutch passes its whole capacity: P = T ω at the
    start, E = ½ I ω².

    Args:
        pack: the pack, units by its names.
        engine: the engine.
        state: lubrication, and the crank speed [r/min] where it names one.
        capacity_nm: what the pack carries in this state [N·m]; NaN: not known.

    Returns:
        The check; None where the engine records nothing that is set moving.

    Range: constant torque, no cooling. A limit from memory makes a caution at most.
    Source: app.mechanics.slip_heat; limits: app.mechanics.facing_limits.
    """
    load = _moved(engine)
    if load is None:
        return None
    speed, area = _clutch_speed(pack, engine, state), _area(pack)
    if math.isnan(capacity_nm * speed * area):
        return Check(NAME, "not known", "needs the pack's torque, its faces and diameters, and the "
                                        "primary ratio", "table of facings")
    power = slip_power(capacity_nm, speed) / area
    energy = 0.5 * vehicle_inertia(*load) * (speed * math.pi / 30.0) ** 2 / area
    told = (f"a start at {_crank_speed(state):.0f} r/min of the crank takes {power:.2g} W/mm² at "
            f"first and {energy:.2g} J/mm² in all")
    facing = pack.facing or ""
    most, indication = power_row(facing, state.lubrication), energy_row(facing, state.lubrication)
    if most is None and indication is None:
        return Check(NAME, "not known", f"{told}; what this facing stands is not known",
                     "table of facings")
    outcome: Outcome = "pass"
    sources = []
    if indication is not None:
        band = f"{indication.low_j_mm2:g} to {indication.high_j_mm2:g} J/mm²"
        told += f"; about {band} is usual at most"
        sources.append(f"{indication.source}, from memory")
        outcome = "caution" if energy > indication.low_j_mm2 else "pass"
    if most is not None and most.power_w_mm2 is not None:
        told += f"; {most.power_w_mm2:g} W/mm² are allowed"
        sources.insert(0, most.source)
        outcome = "fail" if power > most.power_w_mm2 else outcome
    return Check(NAME, outcome, told, "; ".join(sources))


def launch_fails(
    packs: Sequence[PackInputs], engines: Sequence[EngineInputs], state: State, capacity_nm: Array
) -> Mask:
    """Where `launch_check` fails, for many packs and engines at once.

    Args:
        packs: N records.
        engines: M records.
        state: as there.
        capacity_nm: what each pack carries with each engine [N·m], (N, M).

    Returns:
        True where the slip power is more than the facing stands, (N, M).

    Range: as `launch_check`.
    Source: as `launch_check`.
    """
    moved = np.array([_moved(e) is not None for e in engines], dtype=bool)
    if not moved.any():
        return np.zeros((len(packs), len(engines)), dtype=bool)
    speeds = np.array([[_crank_speed(state) / _ratio(e, kind) for e in engines]
                       for kind in ("crankshaft", "geared", None)])
    rows = [("crankshaft", "geared", None).index(p.mounting) for p in packs]
    limits = [power_row(p.facing or "", state.lubrication) for p in packs]
    most = np.array([math.nan if r is None or r.power_w_mm2 is None else r.power_w_mm2
                     for r in limits])
    area = np.array([_area(p) for p in packs])
    with np.errstate(invalid="ignore"):
        power = capacity_nm * (speeds[rows] * (math.pi / 30.0)) / area[:, None]
        return np.asarray(moved & (power > most[:, None]))


def _moved(engine: EngineInputs) -> tuple[float, float, float] | None:
    parts = engine.vehicle_mass_kg, engine.wheel_radius_m, engine.clutch_to_wheel_ratio
    if any(part is None for part in parts):
        return None
    mass, radius, ratio = (part.value for part in parts if part is not None)
    return mass, radius, ratio


def _crank_speed(state: State) -> float:
    return state.speed_rpm or LAUNCH_RPM


def _ratio(engine: EngineInputs, mounting: str | None) -> float:
    if mounting == "crankshaft":
        return 1.0
    ratio = None if mounting is None else primary_ratio(engine)
    return math.nan if ratio is None else ratio.value


def _clutch_speed(pack: PackInputs, engine: EngineInputs, state: State) -> float:
    return _crank_speed(state) / _ratio(engine, pack.mounting)


def _area(pack: PackInputs) -> float:
    """Area of all working faces, net of grooves [mm²]; NaN where it is not known."""
    faces, outer, inner = working_faces(pack), pack.facing_od_mm, pack.facing_id_mm
    if faces is None or outer is None or inner is None:
        return math.nan
    return faces * facing_area(outer.value / 2.0, inner.value / 2.0, pack.grooved_fraction.value)
