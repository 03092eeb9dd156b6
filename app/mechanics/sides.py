"""The two sides of a comparison: what each pack carries and what each engine asks.

Traced figures over all records at once; a figure that lacks an input is NaN, never a guess.
"""

import math
from dataclasses import dataclass

import numpy as np

from app.mechanics import coil_spring, disc_friction, engine_torque
from app.mechanics.clamp import Springs, clamp_load, coil_springs
from app.mechanics.inputs import CoilClamp, RadiusModel, State
from app.mechanics.spline_loss import effective_faces_of
from app.mechanics.stack import EngineSheet, PackSheet
from app.mechanics.traced import Traced, lift, where

_ZERO = Traced(np.zeros((1, 1)))
_UNKNOWN = Traced(np.full((1, 1), math.nan))


@dataclass(frozen=True, eq=False)
class PackSide:
    """What every pack carries: torque [N·m], clamp [N], radius [mm], (records, 1).

    `faces` counts those that the whole clamp would need for the same torque: all of them, unless
    the state takes the loss along the splines off.
    """

    capacity: Traced
    clamp: Traced
    radius: Traced
    wear: Traced
    springs: Springs | None
    faces: Traced


def wear_of(sheet: PackSheet, state: State) -> Traced:
    """Stack wear of every pack in a state: as stated, or each pack's own limit.

    Args:
        sheet: the packs as columns.
        state: its wear_mm is a length [mm], or None for the limit.

    Returns:
        w [mm], (records, 1); NaN where the limit is not known.

    Range: w ≥ 0.
    Source: definition.
    """
    if state.wear_mm is None:
        return sheet.get("pack.stack_wear_limit_mm")
    return Traced(np.full((sheet.records, 1), state.wear_mm))


def effective_radius(sheet: PackSheet, model: RadiusModel) -> Traced:
    """Effective radius of every pack by the model of the state.

    Args:
        sheet: the packs as columns.
        model: uniform_wear or uniform_pressure.

    Returns:
        R [mm], (records, 1).

    Range: see the two functions of disc_friction.
    Source: theirs.
    """
    outer, inner = radii(sheet)
    if model == "uniform_pressure":
        return disc_friction.radius_uniform_pressure(outer, inner)
    return disc_friction.radius_uniform_wear(outer, inner)


def radii(sheet: PackSheet) -> tuple[Traced, Traced]:
    """Outer and inner facing radius, half of each diameter.

    Args:
        sheet: the packs as columns.

    Returns:
        r_o and r_i [mm], (records, 1) each.

    Range: 0 ≤ r_i < r_o.
    Source: geometry.
    """
    return sheet.get("pack.facing_od_mm") / 2.0, sheet.get("pack.facing_id_mm") / 2.0


def pack_side(
    sheet: PackSheet,
    state: State,
    shaft_speed_rpm: Traced | None = None,
    wear: Traced | None = None,
) -> PackSide:
    """Capacity of every pack in one state, T = μ z F(w) R.

    Args:
        sheet: the packs as columns, stacked for this state.
        state: lubrication, friction, wear and radius model.
        shaft_speed_rpm: speed of the shaft that carries weights; None: not known.
        wear: wear of each pack's stack [mm], (records, 1); None: the state's.

    Returns:
        PackSide with capacity [N·m], clamp [N] and radius [mm], (records, 1).

    Range: see the functions of disc_friction and clamp.
    Source: theirs.
    """
    springs = coil_springs(sheet) if np.any(sheet.has(CoilClamp)) else None
    if wear is None:
        wear = wear_of(sheet, state)
    clamp = clamp_load(sheet, springs, wear, _ZERO, shaft_speed_rpm)
    radius = effective_radius(sheet, state.radius)
    faces = pressed_faces(sheet, state, radius)
    capacity = disc_friction.torque_capacity(sheet.get(sheet.friction), faces, clamp, radius)
    return PackSide(capacity, clamp, radius, wear, springs, faces)


def pressed_faces(sheet: PackSheet, state: State, radius_mm: Traced) -> Traced:
    """Faces that count for the torque: all, or less what the splines keep from the inner ones.

    A pack's own tested friction was fitted to torques that its splines had lowered already, so
    nothing is taken off there.

    Args:
        sheet: the packs as columns, stacked for this state.
        state: its spline_friction [1]; None leaves the loss out.
        radius_mm: effective radius of the facings [mm], (records, 1).

    Returns:
        z_eff [1], (records, 1).

    Range: as `effective_faces_of`.
    Source: as there.
    """
    faces = lift(sheet.surfaces)
    if state.spline_friction is None:
        return faces
    outer, inner = (sheet.get(f"pack.{name}") / 2.0
                    for name in ("basket_spline_mm", "spline_major_mm"))
    left = effective_faces_of(sheet.surfaces, sheet.get(sheet.friction), state.spline_friction,
                              radius_mm, outer, inner)
    return where(sheet.tested, faces, left)


@dataclass(frozen=True, eq=False)
class PackFigures:
    """Everything else about packs that a cell page shows, traced.

    Record figures are (records, 1), spring figures (records, groups); units by their names.
    """

    facing_area_mm2: Traced
    facing_pressure_mean_mpa: Traced
    facing_pressure_max_mpa: Traced
    radius_uniform_wear_mm: Traced
    radius_uniform_pressure_mm: Traced
    clamp_worn_n: Traced
    clamp_lifted_n: Traced
    clash_allowance: Traced | None
    stress_installed_mpa: Traced | None
    stress_lifted_mpa: Traced | None
    index: Traced | None


def pack_figures(
    sheet: PackSheet, side: PackSide, shaft_speed_rpm: Traced | None = None
) -> PackFigures:
    """Pressures, worn and lifted clamp, and the springs' own checks.

    The clash allowance is the room left at full lift as a share of the working deflection,
    (L − L_s)/(L0 − L) with L = L1 − shim − lift; a spring that is slack even there has none.

    Args:
        sheet: the packs as columns.
        side: their capacity side in the same state.
        shaft_speed_rpm: as in `pack_side`.

    Returns:
        PackFigures; NaN where an input is not known.

    Range: see the functions of disc_friction and coil_spring.
    Source: theirs; the clash allowance: Shigley, Mechanical Engineering Design, 10-3 (ξ).
    """
    outer, inner = radii(sheet)
    area = disc_friction.facing_area(outer, inner, sheet.get("pack.grooved_fraction"))
    lift_mm = sheet.get("pack.lift_mm")
    worn = sheet.get("pack.stack_wear_limit_mm")
    springs = side.springs
    spring_figures: dict[str, Traced | None] = dict.fromkeys(
        ("clash_allowance", "stress_installed_mpa", "stress_lifted_mpa", "index")
    )
    if springs is not None:
        free = sheet.get("pack.clamp.springs.*.free_length_mm")
        lifted = springs.compression + lift_mm
        at_rest = (springs.rate * springs.compression).at_least_zero()
        spring_figures = {
            # A spring still slack at full lift works over no deflection of which to take a share.
            "clash_allowance": where(
                lifted.value > 0.0, (free - lifted - springs.solid) / lifted, _UNKNOWN
            ),
            "stress_installed_mpa": coil_spring.shear_stress(at_rest, springs.wire, springs.mean),
            "stress_lifted_mpa": coil_spring.shear_stress(
                (springs.rate * lifted).at_least_zero(), springs.wire, springs.mean
            ),
            "index": coil_spring.spring_index(springs.mean, springs.wire),
        }
    return PackFigures(
        facing_area_mm2=area,
        facing_pressure_mean_mpa=disc_friction.mean_pressure(side.clamp, area),
        facing_pressure_max_mpa=disc_friction.max_pressure_uniform_wear(
            side.clamp, outer, inner, sheet.get("pack.grooved_fraction")
        ),
        radius_uniform_wear_mm=disc_friction.radius_uniform_wear(outer, inner),
        radius_uniform_pressure_mm=disc_friction.radius_uniform_pressure(outer, inner),
        clamp_worn_n=clamp_load(sheet, springs, worn, _ZERO, shaft_speed_rpm),
        clamp_lifted_n=clamp_load(sheet, springs, _ZERO, lift_mm, shaft_speed_rpm),
        **spring_figures,
    )


@dataclass(frozen=True, eq=False)
class EngineSide:
    """What every engine asks, (records, 1): torques [N·m], speeds [r/min], factor [1].

    `clutch_torque` and `required` are keyed by mounting (0 crankshaft, 1 geared).
    """

    crank_torque: Traced
    crank_speed: Traced
    clutch_torque: tuple[Traced, Traced]
    clutch_speed: tuple[Traced, Traced]
    required: tuple[Traced, Traced]
    service_factor: Traced


def engine_side(sheet: EngineSheet, speed_rpm: float | None = None) -> EngineSide:
    """Required torque of every engine for both mountings, T_req = T i η · factor.

    On the crankshaft i and η are exactly 1 and the primary gear is not used.

    Args:
        sheet: the engines as columns.
        speed_rpm: crank speed of the state [r/min]; None: the speed of the stated torque.

    Returns:
        EngineSide with torques [N·m] and speeds [r/min], (records, 1).

    Range: see the functions of engine_torque.
    Source: theirs.
    """
    torque = _crank_torque(sheet)
    own_speed = where(~np.isnan(sheet.curve_speed), Traced(sheet.curve_speed),
                      sheet.get("engine.torque.speed_rpm"))
    speed = own_speed if speed_rpm is None else Traced(np.full((sheet.records, 1), speed_rpm))
    ratio = sheet.get("engine.primary_ratio")
    geared = engine_torque.torque_at_clutch(
        torque, ratio, sheet.get("engine.primary_efficiency")
    )
    factor = sheet.get("engine.service_factor")
    return EngineSide(
        crank_torque=torque,
        crank_speed=speed,
        clutch_torque=(torque, geared),
        clutch_speed=(speed, speed / ratio),
        required=(torque * factor, geared * factor),
        service_factor=factor,
    )


def _crank_torque(sheet: EngineSheet) -> Traced:
    get = sheet.get
    unknown = Traced(np.full((sheet.records, 1), math.nan))
    by_power = engine_torque.torque_from_power(
        get("engine.torque.power_kw"), get("engine.torque.speed_rpm")
    )
    # n_R differs by engine: the one-cycle torque is divided by each engine's own.
    by_bmep = engine_torque.torque_from_bmep(
        get("engine.torque.bmep_kpa"), get("engine.displacement_cc"), 2
    ) / lift(sheet.revolutions)
    peak = get("engine.torque.points")
    wheel = get("engine.torque.overall_ratio") * get("engine.torque.driveline_efficiency")
    by_curve = where(sheet.curve_at_wheel, peak / wheel, peak)
    kinds = (get("engine.torque.torque_nm"), by_power, by_bmep, by_curve)
    for number, torque in enumerate(kinds):
        unknown = where(sheet.kind == number, torque, unknown)
    return unknown
