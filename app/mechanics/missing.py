"""What a record lacks for a torque figure, by the paths of the JSON interface."""

from app.mechanics.coil_spring import active_coils
from app.mechanics.derived import engine_displacement, fitted_rate, modulus, working_faces
from app.mechanics.friction_source import TESTED
from app.mechanics.inputs import (
    BmepTorque,
    Clamp,
    CoilClamp,
    DiscClamp,
    DiscTableClamp,
    EngineInputs,
    LoadClamp,
    MeasuredTorque,
    Mounting,
    PackInputs,
    PowerTorque,
    SpringGroup,
    State,
    Torque,
)

_DISC = ("outside_mm", "inside_mm", "thickness_mm", "cone_height_mm", "installed_deflection_mm")
_WEIGHTS = ("weights", "weight_mass_g", "radius_mm", "ramp_angle_deg", "return_force_n")


def missing_in_pack(pack: PackInputs, state: State | None) -> list[str]:
    """Paths of the figures without which the pack's capacity is not known.

    Args:
        pack: one record.
        state: the state asked for; None is itself missing.

    Returns:
        Paths such as "pack.facing_od_mm", empty when the capacity can be computed.

    Range: one record.
    Source: the terms of T = μ z F R.
    """
    paths = [] if state is not None else ["state"]
    if working_faces(pack) is None:
        paths.append("pack.friction_plates")
    paths += [f"pack.{n}" for n in ("facing_od_mm", "facing_id_mm") if getattr(pack, n) is None]
    if state is not None and (state.lubrication, state.friction) not in pack.friction:
        paths.append(f"pack.friction.{state.lubrication}.{state.friction}")
    if state is not None and state.spline_friction is not None and not _tested(pack, state):
        paths += [f"pack.{n}" for n in ("spline_major_mm", "basket_spline_mm")
                  if getattr(pack, n) is None]
    paths += _missing_in_clamp(pack.clamp, _wear(pack, state))
    if state is not None and state.wear_mm is None and pack.stack_wear_limit_mm is None:
        paths.append("pack.stack_wear_limit_mm")
    return paths


def _tested(pack: PackInputs, state: State) -> bool:
    return pack.friction_source.get((state.lubrication, state.friction)) == TESTED


def _wear(pack: PackInputs, state: State | None) -> float | None:
    """Wear of the stack in the state [mm]; None: not known."""
    if state is None:
        return 0.0
    if state.wear_mm is not None:
        return state.wear_mm
    return None if pack.stack_wear_limit_mm is None else pack.stack_wear_limit_mm.value


def _missing_in_clamp(clamp: Clamp | None, wear_mm: float | None) -> list[str]:
    head = "pack.clamp."
    if clamp is None:
        return ["pack.clamp"]
    if isinstance(clamp, CoilClamp):
        if not clamp.springs:
            return [head + "springs"]
        return [
            f"{head}springs.{i}.{name}"
            for i, group in enumerate(clamp.springs)
            for name in _missing_in_group(group)
        ]
    if isinstance(clamp, LoadClamp):
        names = ["force_n"] if wear_mm == 0.0 else ["force_n", "rate_n_per_mm"]
    elif isinstance(clamp, DiscClamp):
        names = list(_DISC)
    elif isinstance(clamp, DiscTableClamp):
        points = [] if _read_far_enough(clamp, wear_mm) else [head + "points"]
        unknown = clamp.installed_deflection_mm is None
        return points + ([head + "installed_deflection_mm"] if unknown else [])
    else:
        names = list(_WEIGHTS)
    return [head + name for name in names if getattr(clamp, name) is None]


def _read_far_enough(clamp: DiscTableClamp, wear_mm: float | None) -> bool:
    """Whether the load is known at the worn deflection; where that is not known, at any."""
    read = {p.deflection_mm for p in clamp.points}
    if len(read) < 2 or clamp.installed_deflection_mm is None or wear_mm is None:
        return len(read) >= 2
    return min(read) <= clamp.installed_deflection_mm.value - wear_mm <= max(read)


def _missing_in_group(group: SpringGroup) -> list[str]:
    names = [n for n in ("count", "free_length_mm", "installed_length_mm")
             if getattr(group, n) is None]
    if group.rate_n_per_mm is None and fitted_rate(group) is None:
        if not _wire_known(group):
            names.append("rate_n_per_mm")
        elif not _coils_work(group):
            names.append("total_coils")
    return names


def _coils_work(group: SpringGroup) -> bool:
    total, ends = group.total_coils, group.ends
    return total is not None and ends is not None and active_coils(total.value, ends) > 0.0


def _wire_known(group: SpringGroup) -> bool:
    diameter = group.mean_mm or group.outside_mm or group.inside_mm
    parts = (group.wire_mm, diameter, group.total_coils, group.ends, modulus(group))
    return all(part is not None for part in parts)


def missing_in_engine(engine: EngineInputs, mounting: Mounting | None) -> list[str]:
    """Paths of the figures without which the required torque is not known.

    Args:
        engine: one record.
        mounting: where the pack sits; on the crankshaft, or not known, no gear is needed.

    Returns:
        Paths such as "engine.primary_ratio".

    Range: one record.
    Source: the terms of T_req = T i η · factor.
    """
    paths = [f"engine.{name}" for name in _missing_in_torque(engine.torque, engine)]
    if mounting == "geared" and engine.primary_ratio is None and engine.primary_teeth is None:
        paths.append("engine.primary_ratio")
    return paths


def _missing_in_torque(torque: Torque | None, engine: EngineInputs) -> list[str]:
    if torque is None:
        return ["torque"]
    if isinstance(torque, MeasuredTorque):
        return [] if torque.torque_nm is not None else ["torque.torque_nm"]
    if isinstance(torque, PowerTorque):
        return [f"torque.{n}" for n in ("power_kw", "speed_rpm") if getattr(torque, n) is None]
    if isinstance(torque, BmepTorque):
        gaps = [] if torque.bmep_kpa is not None else ["torque.bmep_kpa"]
        gaps += [] if engine_displacement(engine) is not None else ["displacement_cc"]
        return gaps + ([] if engine.strokes is not None else ["strokes"])
    gaps = [] if torque.points else ["torque.points"]
    if torque.at == "wheel":
        gaps += [f"torque.{n}" for n in ("overall_ratio", "driveline_efficiency")
                 if getattr(torque, n) is None]
    return gaps
