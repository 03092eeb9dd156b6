"""The clamp side: every kind of clamp behind one answer, the load over wear, lift and speed."""

import math
from dataclasses import dataclass

import numpy as np

from app.mechanics import coil_spring
from app.mechanics.disc_spring import disc_load, table_load
from app.mechanics.inputs import (
    CentrifugalClamp,
    CoilClamp,
    DiscClamp,
    DiscTableClamp,
    LoadClamp,
)
from app.mechanics.stack import SPRING, PackSheet
from app.mechanics.traced import Traced, Value, lift, where

_NOTHING = Traced(0.0)
_UNKNOWN = Traced(math.nan)


@dataclass(frozen=True, eq=False)
class Springs:
    """Coil springs of each group, (records, groups): rates [N/mm], diameters [mm], coils [1]."""

    rate: Traced
    given: Traced
    from_load_points: Traced
    from_wire: Traced
    wire: Traced
    mean: Traced
    active: Traced
    solid: Traced
    compression: Traced


def _first_known(*candidates: Traced) -> Traced:
    chosen = candidates[-1]
    for candidate in reversed(candidates[:-1]):
        chosen = where(~np.isnan(candidate.value), candidate, chosen)
    return chosen


def coil_springs(sheet: PackSheet) -> Springs:
    """Rates, coils and installed compression of the coil springs.

    k is the given rate, else that of the load points times the tester's scale, else that of the
    wire; D = D_mean, or D_outside − d, or D_inside + d; compression s = L0 − L1 + shim.

    Args:
        sheet: the packs as columns, lengths in mm, rates in N/mm.

    Returns:
        Springs with traced figures (records, groups); NaN where an input is not known.

    Range: as the functions of coil_spring.
    Source: those of coil_spring; the order of preference is ours, measured before computed.
    """
    g = {name: sheet.get(SPRING + name) for name in (
        "rate_n_per_mm", "load_points", "tester", "wire_mm", "outside_mm", "inside_mm", "mean_mm",
        "total_coils", "shear_modulus_mpa", "free_length_mm", "installed_length_mm", "shim_mm",
    )}
    wire = g["wire_mm"]
    mean = _first_known(g["mean_mm"], g["outside_mm"] - wire, g["inside_mm"] + wire)
    active = g["total_coils"] - sheet.inactive
    # Of a spring without a working coil the formula would make an endless or a negative rate.
    working = where(active.value > 0.0, active, _UNKNOWN)
    from_wire = coil_spring.rate_from_wire(g["shear_modulus_mpa"], wire, mean, working)
    from_points = g["load_points"] * g["tester"]
    return Springs(
        rate=_first_known(g["rate_n_per_mm"], from_points, from_wire),
        given=g["rate_n_per_mm"],
        from_load_points=from_points,
        from_wire=from_wire,
        wire=wire,
        mean=mean,
        active=active,
        solid=coil_spring.length_touching(g["total_coils"], wire, sheet.extra),
        compression=g["free_length_mm"] - g["installed_length_mm"] + g["shim_mm"],
    )


def coil_load(sheet: PackSheet, springs: Springs, shortening: Traced) -> Traced:
    """Clamp load of all coil springs, F = Σ n_s k (L0 − L1 + shim + lift − wear), never below 0.

    A slack group pushes with nothing; it does not pull on its neighbours.

    Args:
        sheet: the packs as columns.
        springs: their coil springs.
        shortening: lift − wear [mm], (records, 1).

    Returns:
        F [N], (records, 1).

    Range: no coil bind; see the clash allowance.
    Source: springs in parallel; Bhandari, Design of Machine Elements, ch. 10.
    """
    load = (lift(sheet.count) * springs.rate * (springs.compression + shortening)).at_least_zero()
    return load.sum_groups(sheet.widths)


def centrifugal_load(
    weights: Value, mass_g: Value, radius_mm: Value, tan_ramp: Value, speed_rpm: Value,
    return_force_n: Value,
) -> Value:
    """Clamp load of weights on ramps, F = n m r ω²/tan α − F_return.

    Args:
        weights: n [count].
        mass_g: mass of one weight m [g].
        radius_mm: radius of its centre r [mm].
        tan_ramp: tangent of the ramp's angle α to the plane of rotation [1].
        speed_rpm: speed of the shaft that carries the weights [r/min].
        return_force_n: whole return force at the pressure plate [N], any shape that broadcasts.

    Returns:
        F [N], broadcast shape; below 0 the pack does not engage.

    Range: frictionless ramps against a flat plate: an upper bound.
    Source: m r ω² and the wedge, our derivation.
    """
    omega = speed_rpm * (math.pi / 30.0)
    pull = weights * mass_g * radius_mm * 1e-6 * (omega * omega)
    return pull / tan_ramp - return_force_n


def clamp_load(
    sheet: PackSheet,
    springs: Springs | None,
    wear: Traced,
    lift_mm: Traced,
    shaft_speed_rpm: Traced | None,
) -> Traced:
    """Clamp load of every pack by its own kind of clamp, at a wear, a lift and a speed.

    Coil springs: see `coil_load`. Measured load: F + k (lift − wear). Disc springs: the load at
    (s − wear + lift)/in series, times those in parallel. Weights: r + wear/tan α.

    Args:
        sheet: the packs as columns.
        springs: their coil springs; None when no pack has any.
        wear: wear of the whole stack w [mm], (records, 1).
        lift_mm: lift of the pressure plate [mm], (records, 1).
        shaft_speed_rpm: speed of the shaft that carries the weights; None: not known.

    Returns:
        F [N], (records, 1), never below 0; NaN where an input is not known.

    Range: a measured table holds only between its points; a lift means nothing to weights.
    Source: those of the functions named.
    """
    shortening = lift_mm - wear
    total = Traced(np.full((sheet.records, 1), math.nan))
    if springs is not None:
        total = where(sheet.has(CoilClamp), coil_load(sheet, springs, shortening), total)
    get = sheet.get
    if np.any(sheet.has(LoadClamp)):
        # Without wear or lift the rate is not needed; 0 · NaN must not make the load unknown.
        moved = where(shortening.value == 0.0, _NOTHING,
                      get("pack.clamp.rate_n_per_mm") * shortening)
        total = where(sheet.has(LoadClamp), get("pack.clamp.force_n") + moved, total)
    deflection = get("pack.clamp.installed_deflection_mm") + shortening
    if np.any(sheet.has(DiscClamp)):
        parallel, series = lift(sheet.weights[:, :1]), lift(sheet.weights[:, 1:])
        one = disc_load(
            deflection / series,
            *(get(f"pack.clamp.{name}") for name in (
                "outside_mm", "inside_mm", "thickness_mm", "cone_height_mm", "modulus_mpa",
                "poisson")),
        )
        total = where(sheet.has(DiscClamp), one * parallel, total)
    if np.any(sheet.has(DiscTableClamp)):
        total = where(sheet.has(DiscTableClamp), table_load(sheet.tables, deflection), total)
    if shaft_speed_rpm is not None and np.any(sheet.has(CentrifugalClamp)):
        ramp = (get("pack.clamp.ramp_angle_deg") * (math.pi / 180.0)).tan()
        pull = centrifugal_load(
            lift(sheet.weights[:, :1]), get("pack.clamp.weight_mass_g"),
            get("pack.clamp.radius_mm") + wear / ramp, ramp, shaft_speed_rpm,
            get("pack.clamp.return_force_n"),
        )
        total = where(sheet.has(CentrifugalClamp), pull, total)
    return total.at_least_zero()
