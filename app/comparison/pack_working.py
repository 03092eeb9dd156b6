"""The working of a pack's side: faces, radius, clamp, capacity, pressures."""

from collections.abc import Mapping

import numpy as np

from app.comparison.spring_working import add_springs
from app.comparison.working_lines import (
    DEFINITION,
    SHIGLEY_CLUTCH,
    SHIGLEY_SPRING,
    Lines,
    WorkingLine,
    entered,
    number,
    plain,
)
from app.mechanics.inputs import (
    CentrifugalClamp,
    CoilClamp,
    DiscClamp,
    DiscTableClamp,
    LoadClamp,
    PackInputs,
    State,
)
from app.mechanics.sides import PackFigures, PackSide
from app.mechanics.stack import PackSheet
from app.mechanics.traced import Column, lift

SPLINES = "our derivation, an upper bound; the effect: ASME J. Lubrication Technology 90 (1968), 65"


def pack_working(
    pack: PackInputs, state: State, sheet: PackSheet, side: PackSide, figures: PackFigures,
    columns: Mapping[str, Column],
) -> list[WorkingLine]:
    """The steps of a pack's side, units as the names say.

    Args:
        pack: the record.
        state: the state of the comparison.
        sheet: the record as columns.
        side: its capacity side.
        figures: its other figures.
        columns: every input that they rest on.

    Returns:
        Lines in the order in which one would work by hand.

    Range: one record.
    Source: named in each line.
    """
    lines = Lines(columns, [])
    _faces(lines, pack, sheet, side, state)
    if side.springs is not None and isinstance(pack.clamp, CoilClamp):
        add_springs(lines, pack.clamp, side.springs, figures, sheet)
    _clamp(lines, pack, sheet, side, figures, state)
    _pressure(lines, pack, side, figures)
    return lines.found


def _faces(
    lines: Lines, pack: PackInputs, sheet: PackSheet, side: PackSide, state: State
) -> None:
    stated = pack.surfaces is not None
    lines.add(
        "surfaces", lift(sheet.surfaces), "1",
        "z as stated" if stated else "z = n_f · lined faces a plate",
        f"{pack.surfaces} ({pack.surfaces_reason or 'no reason given'})" if stated
        else f"{pack.friction_plates} · {pack.lined_faces_per_plate}",
        "common practice",
    )
    od, inner = entered(sheet, "pack.facing_od_mm"), entered(sheet, "pack.facing_id_mm")
    if state.radius == "uniform_pressure":
        formula = "R = (2/3)(r_o³ − r_i³)/(r_o² − r_i²)"
        text = f"(2/3)(({od}/2)³ − ({inner}/2)³)/(({od}/2)² − ({inner}/2)²)"
    else:
        formula, text = "R = (r_o + r_i)/2", f"({od}/2 + {inner}/2)/2"
    lines.add("effective_radius_mm", side.radius, "mm", formula, text, SHIGLEY_CLUTCH)


def _clamp_text(pack: PackInputs, sheet: PackSheet, side: PackSide) -> tuple[str, str, str]:
    clamp = pack.clamp
    wear = number(side.wear)
    if isinstance(clamp, CoilClamp) and side.springs is not None:
        s = side.springs
        parts = " + ".join(
            f"{plain(sheet.count[0, g])} · {number(s.rate, g)} · ({number(s.compression, g)} − "
            f"{wear})" for g in range(len(clamp.springs)))
        return "F = Σ n_s k (L0 − L1 + shim − wear)", parts, SHIGLEY_SPRING
    if isinstance(clamp, LoadClamp):
        text = entered(sheet, "pack.clamp.force_n")
        if float(side.wear.value[0, 0]) != 0.0:
            text += f" − {entered(sheet, 'pack.clamp.rate_n_per_mm')} · {wear}"
        return "F measured, less rate · wear", text, "this pack's own figure"
    deflection = entered(sheet, "pack.clamp.installed_deflection_mm")
    if isinstance(clamp, DiscClamp):
        return ("F = 4E/(1−ν²) · t⁴/(K1 D_e²) · (s/t)[(h0/t − s/t)(h0/t − s/2t) + 1] · parallel",
                f"s = ({deflection} − {wear})/{clamp.in_series}, {clamp.in_parallel} in parallel",
                "EN 16984 (formerly DIN 2092)")
    if isinstance(clamp, DiscTableClamp):
        return ("F(s) from the load points by a monotone cubic",
                f"s = {deflection} − {wear}", "Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980)")
    return ("F = n m r ω²/tan α − F_return",
            "" if not isinstance(clamp, CentrifugalClamp) else
            f"{clamp.weights} · {entered(sheet, 'pack.clamp.weight_mass_g')} g · "
            f"({entered(sheet, 'pack.clamp.radius_mm')} mm + wear/tan α) · ω²/"
            f"tan {entered(sheet, 'pack.clamp.ramp_angle_deg')}° − "
            f"{entered(sheet, 'pack.clamp.return_force_n')}",
            "m r ω² and the wedge, our derivation")


def _clamp(
    lines: Lines, pack: PackInputs, sheet: PackSheet, side: PackSide, figures: PackFigures,
    state: State,
) -> None:
    formula, text, source = _clamp_text(pack, sheet, side)
    lines.add("clamp_n", side.clamp, "N", formula, text, source)
    worn = entered(sheet, "pack.stack_wear_limit_mm")
    lines.add("clamp_worn_n", figures.clamp_worn_n, "N", "F at the stack's wear limit",
              f"the same at {worn} mm wear", source)
    lifted = entered(sheet, "pack.lift_mm")
    if not isinstance(pack.clamp, CentrifugalClamp):
        lines.add("clamp_lifted_n", figures.clamp_lifted_n, "N", "F at full lift, unworn",
                  f"the same at {lifted} mm lift", source)
    if np.isnan(side.capacity.value[0, 0]):
        return
    mu = entered(sheet, sheet.friction)
    faces = plain(sheet.surfaces[0, 0])
    if state.spline_friction is not None and not sheet.tested[0, 0]:
        outer, inner = (entered(sheet, f"pack.{name}")
                        for name in ("basket_spline_mm", "spline_major_mm"))
        lines.add(
            "effective_faces", side.faces, "1",
            "z_eff = Σ F_j/F_1, F_{j+1}/F_j = (1 − κ)/(1 + κ), κ = μ μ_s R/r_s",
            f"μ_s = {plain(state.spline_friction)}; r_s = {outer}/2 and {inner}/2 in turn over "
            f"{faces} faces", SPLINES)
        faces = number(side.faces)
    lines.add("capacity_nm", side.capacity, "N·m", "T = μ z F R/1000",
              f"{mu} · {faces} · {number(side.clamp)} · "
              f"{number(side.radius)}/1000", SHIGLEY_CLUTCH)


def _pressure(lines: Lines, pack: PackInputs, side: PackSide, figures: PackFigures) -> None:
    area = number(figures.facing_area_mm2)
    lines.add("facing_area_mm2", figures.facing_area_mm2, "mm²", "A = π (r_o² − r_i²)(1 − g)",
              _area_text(pack), "geometry")
    lines.add("facing_pressure_mean_mpa", figures.facing_pressure_mean_mpa, "MPa", "p = F/A",
              f"{number(side.clamp)}/{area}", DEFINITION)
    lines.add("facing_pressure_max_mpa", figures.facing_pressure_max_mpa, "MPa",
              "p_max = F/(2π r_i (r_o − r_i)(1 − g)), uniform wear",
              f"{number(side.clamp)} with {_area_text(pack)}", SHIGLEY_CLUTCH)


def _area_text(pack: PackInputs) -> str:
    if pack.facing_od_mm is None or pack.facing_id_mm is None:
        return ""
    return (f"r_o = {plain(pack.facing_od_mm.value / 2)}, "
            f"r_i = {plain(pack.facing_id_mm.value / 2)}, "
            f"g = {plain(pack.grooved_fraction.value)}")
