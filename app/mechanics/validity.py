"""Checks of validity as data: what is unusual, doubtful or outside a model, in words.

Nothing here prints or warns; whoever shows a figure shows its cautions beside it.
"""

from dataclasses import dataclass

import numpy as np

from app.errors import AppError
from app.mechanics.coil_spring import RateFit, rate_from_load_points
from app.mechanics.derived import curve_peak, modulus, working_faces
from app.mechanics.disc_friction import radius_uniform_pressure, radius_uniform_wear
from app.mechanics.doubt import DOMINANT_SHARE, NORMAL_UP_TO
from app.mechanics.engine_torque import displacement
from app.mechanics.friction_source import OWN, TESTED
from app.mechanics.inputs import (
    CoilClamp,
    CurveTorque,
    DiscTableClamp,
    EngineInputs,
    Mounting,
    PackInputs,
    PowerTorque,
    Quantity,
    SpringGroup,
    State,
)
from app.mechanics.sides import PackFigures, PackSide
from app.mechanics.spring_set import set_findings
from app.mechanics.traced import Traced

CLASH_LEAST = 0.15
FRICTION_UNUSUAL = 0.6
INDEX_USUAL = (4.0, 12.0)
RADIUS_RATIO_USUAL = (0.45, 0.90)
DISPLACEMENT_TOLERANCE = 0.02
# Lengths that make up a small difference, the springs' compression; their doubt grows in it.
AMPLIFIED = ("free_length_mm", "installed_length_mm", "shim_mm", "installed_deflection_mm")
AMPLIFIED_MOST = 0.15


@dataclass(frozen=True, slots=True)
class Caution:
    """One remark: a stable code, a sentence, and the path of the figure it is about."""

    code: str
    text: str
    where: str | None = None


def pack_cautions(pack: PackInputs, state: State | None) -> list[Caution]:
    """Remarks on a pack's inputs alone.

    Args:
        pack: one record, units by its names.
        state: the state asked for, or None.

    Returns:
        Cautions, in the order of the record.

    Range: one record.
    Source: the sentence of each caution.
    """
    found = _plates(pack)
    if pack.facing_od_mm is not None and pack.facing_id_mm is not None:
        part = pack.facing_id_mm.value / pack.facing_od_mm.value
        low, high = RADIUS_RATIO_USUAL
        if not low <= part <= high:
            found.append(Caution(
                "facing_width_unusual",
                f"inside over outside diameter of the facing is {part:.2f}; {low} to {high} is "
                "usual, so check both diameters", "pack.facing_id_mm"))
    if state is not None:
        found += _friction(pack, state)
    if isinstance(pack.clamp, CoilClamp):
        total = sum(g.count or 0 for g in pack.clamp.springs)
        if pack.clamp.springs and total < 3:
            found.append(Caution(
                "few_springs", "fewer than three springs let the pressure plate tilt",
                "pack.clamp.springs.0.count"))
        for i, group in enumerate(pack.clamp.springs):
            found += _wire(group, f"pack.clamp.springs.{i}.wire_material")
            found += _load_points(group, f"pack.clamp.springs.{i}.load_points")
            found += [Caution(code, text, f"pack.clamp.springs.{i}.{name}")
                      for code, name, text in set_findings(group)]
    return found


def _plates(pack: PackInputs) -> list[Caution]:
    found = []
    plates, plain = pack.friction_plates, pack.plain_plates
    if plates is not None and plain is not None and abs(plain - plates) > 1:
        found.append(Caution(
            "plain_plates_unusual",
            f"{plates} friction plates go with {plates - 1}, {plates} or {plates + 1} plain "
            f"plates; {plain} is entered", "pack.plain_plates"))
    if pack.surfaces is not None and plates is not None:
        usual = plates * pack.lined_faces_per_plate
        if usual != pack.surfaces and not pack.surfaces_reason:
            found.append(Caution(
                "surfaces_overridden",
                f"{pack.surfaces} working faces are stated where the plates give {usual}; say why",
                "pack.surfaces"))
    if working_faces(pack) is not None and pack.lined_faces_per_plate not in (1, 2):
        found.append(Caution(
            "lined_faces_unusual", "a friction plate is lined on one side or on both",
            "pack.lined_faces_per_plate"))
    return found


def _friction(pack: PackInputs, state: State) -> list[Caution]:
    key = (state.lubrication, state.friction)
    quantity = pack.friction.get(key)
    where = f"pack.friction.{state.lubrication}.{state.friction}"
    if quantity is None:
        return []
    found = []
    tested = pack.friction_source.get(key) == TESTED
    if state.spline_friction is not None:
        found.append(_splines(tested, state.spline_friction))
    if tested and state.radius == "uniform_pressure":
        found += _tested_radius(pack, where)
    if quantity.value > FRICTION_UNUSUAL:
        found.append(Caution(
            "friction_unusual",
            f"a friction coefficient of {quantity.value:.3g} is above {FRICTION_UNUSUAL}, which no "
            "common facing reaches", where))
    if pack.friction_source.get(key, OWN) not in (OWN, TESTED):
        found.append(Caution(
            "friction_from_table",
            f"the friction coefficient is a published one ({pack.friction_source[key]}), not this "
            "pack's own", where))
    return found


def _tested_radius(pack: PackInputs, where: str) -> list[Caution]:
    """A tested μ goes with the radius that it was fitted with, the one of run-in facings."""
    outer, inner = pack.facing_od_mm, pack.facing_id_mm
    if outer is None or inner is None:
        return []
    more = radius_uniform_pressure(outer.value, inner.value) / radius_uniform_wear(
        outer.value, inner.value) - 1.0
    return [Caution(
        "tested_radius",
        "this pack's own tested friction goes with the radius of run-in facings; with that of "
        f"new, flat ones the torque comes out {100.0 * float(more):.2g} % above what was tested",
        where)]


def _splines(tested: bool, friction: float) -> Caution:
    if tested:
        return Caution(
            "spline_loss_tested",
            "this pack's own tested friction has the loss along its splines in it already, so it "
            "is not taken off again", "pack.friction")
    return Caution(
        "spline_loss_most",
        f"with a friction of {friction:g} along the splines taken off; that is the most that can "
        "be lost, as vibration and slip give part of it back", "pack.basket_spline_mm")


def _wire(group: SpringGroup, where: str) -> list[Caution]:
    if group.wire_material is None or group.shear_modulus_mpa is not None:
        return []
    if group.wire_mm is None or modulus(group) is not None:
        return []
    return [Caution("wire_material_not_in_table",
                    f"{group.wire_material!r} is not in the table of wire materials; enter its "
                    "shear modulus", where)]


def _load_points(group: SpringGroup, where: str) -> list[Caution]:
    if not group.load_points or group.rate_n_per_mm is not None:
        return []
    x = [p.deflection_mm for p in group.load_points]
    y = [p.force_n for p in group.load_points]
    try:
        fit = rate_from_load_points(x, y, through_origin=len(x) == 1)
    except AppError as unfit:
        return [Caution("load_points_unfit", unfit.message, where)]
    return rate_cautions(fit, where)


def rate_cautions(fit: RateFit, where: str = "load_points") -> list[Caution]:
    """Remarks on a rate fitted to load points [N/mm].

    Args:
        fit: the fitted rate [N/mm] with its intercept [N].
        where: path of the load points.

    Returns:
        Cautions.

    Range: one fit.
    Source: the sentence of each caution.
    """
    found = []
    if fit.rate <= 0.0:
        found.append(Caution(
            "rate_not_positive", "the force falls as the spring is pressed: check the readings",
            where))
    if fit.freedom == 0:
        found.append(Caution(
            "load_points_no_doubt",
            "so few load points give a rate but no doubt of it; take three or more", where))
    if fit.intercept_significant and fit.intercept is not None:
        found.append(Caution(
            "load_points_intercept",
            f"the line through the load points meets zero deflection at {fit.intercept:.1f} N: "
            "the free length or the seating is off", where))
    return found


def figure_cautions(pack: PackInputs, side: PackSide, figures: PackFigures) -> list[Caution]:
    """Remarks on what was computed for one pack: slack springs, coil bind, index, pressure.

    Args:
        pack: the record.
        side: its capacity side, (1, 1).
        figures: its other figures, units by their names.

    Returns:
        Cautions.

    Range: one record.
    Source: clash allowance 0.15: Shigley, Mechanical Engineering Design, 10-3; index 4 to 12: the
        same.
    """
    found = []
    if side.clamp.value[0, 0] == 0.0:
        found.append(Caution("no_clamp", "nothing presses the plates together in this state",
                             "pack.clamp"))
    found += _table(pack, side)
    for group, left in _groups(figures.clash_allowance):
        where = f"pack.clamp.springs.{group}"
        if left <= 0.0:
            found.append(Caution(
                "coil_bind", "the springs go solid before full lift: the pack can't release",
                where))
        elif left < CLASH_LEAST:
            found.append(Caution(
                "clash_allowance_low",
                f"at full lift {100 * left:.0f} % of the working deflection is left; keep "
                f"{100 * CLASH_LEAST:.0f} % or more", where))
    low, high = INDEX_USUAL
    for group, index in _groups(figures.index):
        if not low <= index <= high:
            found.append(Caution(
                "spring_index_unusual",
                f"a spring index of {index:.2f} is outside the usual {low:g} to {high:g}",
                f"pack.clamp.springs.{group}.wire_mm"))
    pressure = float(figures.facing_pressure_mean_mpa.value[0, 0])
    limit = pack.pressure_limit_mpa
    if limit is not None and pressure > limit:
        found.append(Caution(
            "facing_pressure_high",
            f"the mean facing pressure of {pressure:.3g} MPa is above {limit:.3g} MPa "
            f"({pack.pressure_limit_source or 'stated limit'})", "pack.facing"))
    return found


def _table(pack: PackInputs, side: PackSide) -> list[Caution]:
    clamp = pack.clamp
    if not isinstance(clamp, DiscTableClamp) or clamp.installed_deflection_mm is None:
        return []
    read = {p.deflection_mm for p in clamp.points}
    at = clamp.installed_deflection_mm.value - float(side.wear.value[0, 0])
    if len(read) < 2 or np.isnan(at) or min(read) <= at <= max(read):
        return []
    return [Caution(
        "outside_load_table",
        f"the spring is deflected by {at:.2f} mm here, but its load was measured from "
        f"{min(read):g} to {max(read):g} mm only; take readings that far", "pack.clamp.points")]


def _groups(figure: Traced | None) -> list[tuple[int, float]]:
    if figure is None:
        return []
    return [(g, float(v)) for g, v in enumerate(figure.value[0]) if not np.isnan(v)]


def engine_cautions(engine: EngineInputs, mounting: Mounting | None) -> list[Caution]:
    """Remarks on an engine's inputs for a pack at a mounting.

    Args:
        engine: one record, units by its names.
        mounting: where the pack sits; None: not known.

    Returns:
        Cautions.

    Range: one record.
    Source: the sentence of each caution.
    """
    found = []
    if engine.service_factor is None:
        found.append(Caution(
            "no_service_factor",
            "no service factor is set, so the mean torque is compared; one cylinder pulses far "
            "above its mean", "engine.service_factor"))
    if isinstance(engine.torque, PowerTorque):
        found.append(Caution(
            "torque_at_power_peak",
            "the torque is that at the speed of the stated power; the largest torque lies lower in "
            "the speed range and is usually higher", "engine.torque.power_kw"))
    if isinstance(engine.torque, CurveTorque) and curve_peak(engine) is not None:
        speeds = [speed for speed, _ in engine.torque.points]
        peak = max(engine.torque.points, key=lambda point: point[1])[0]
        if len(speeds) > 1 and peak in (min(speeds), max(speeds)):
            found.append(Caution(
                "torque_peak_at_edge", "the largest torque stands at an end of the curve; the true "
                "peak may lie beyond it", "engine.torque.points"))
    geared = engine.primary_ratio is not None or engine.primary_teeth is not None
    if mounting == "crankshaft" and geared:
        found.append(Caution(
            "primary_gear_not_used",
            "the pack sits on the crankshaft, so the primary gear does not multiply its torque",
            "engine.primary_ratio"))
    found += _displacement(engine)
    return found


def _displacement(engine: EngineInputs) -> list[Caution]:
    stated, bore, stroke = engine.displacement_cc, engine.bore_mm, engine.stroke_mm
    if stated is None or bore is None or stroke is None:
        return []
    swept = displacement(bore.value, stroke.value, float(engine.cylinders))
    if abs(swept / stated.value - 1.0) <= DISPLACEMENT_TOLERANCE:
        return []
    return [Caution(
        "displacement_disagrees",
        f"bore and stroke give {swept:.1f} cm³, but {stated.value:.1f} cm³ is entered",
        "engine.displacement_cc")]


def doubt_cautions(
    shares: list[tuple[str, float]], inputs: dict[str, Quantity], relative_std: float
) -> list[Caution]:
    """Remarks on how far the interval itself can be trusted.

    Args:
        shares: input path and its share of the variance [1], largest first.
        inputs: the quantities by path.
        relative_std: standard uncertainty of the ratio over its value [1].

    Returns:
        Cautions.

    Range: one cell.
    Source: our comparison of the expansion with draws.
    """
    found = []
    if shares and shares[0][1] > DOMINANT_SHARE:
        path = shares[0][0]
        quantity = inputs.get(path)
        if quantity is not None and quantity.plus_minus:
            found.append(Caution(
                "one_limit_dominates",
                "one limit makes up over four fifths of the doubt; the interval's ends can be off "
                "by a fifth of its half-width", path))
    found += _amplified(shares, inputs, relative_std)
    for path, quantity in inputs.items():
        if quantity.std and quantity.std > NORMAL_UP_TO * abs(quantity.value):
            found.append(Caution(
                "read_as_log_normal",
                "a standard uncertainty of more than a fifth of the value is read as log-normal, "
                "since a normal one would reach below zero", path))
    if relative_std > 0.35:
        found.append(Caution(
            "doubt_very_large",
            f"the ratio is only known to ± {100 * relative_std:.0f} % (standard uncertainty); read "
            "the interval as a rough guide"))
    return found


def _amplified(
    shares: list[tuple[str, float]], inputs: dict[str, Quantity], relative_std: float
) -> list[Caution]:
    """Lengths whose limit alone moves the ratio further than the first order follows.

    Against draws the ends were off by about as much of the half-width as the limit moves the ratio.
    """
    found = []
    for path, share in shares:
        quantity = inputs.get(path)
        moved = relative_std * (3.0 * share) ** 0.5
        if (path.endswith(AMPLIFIED) and moved > AMPLIFIED_MOST
                and quantity is not None and quantity.plus_minus):
            found.append(Caution(
                "length_doubt_amplified",
                f"within its limit this length alone moves the ratio by {100 * moved:.0f} %, since "
                "the spring is pressed by so little; the interval's ends can be off by as much of "
                "its half-width, so measure the length", path))
    return found
