"""Checks that outrank torque: bolts up, release, facing pressure, spring stress, hand force."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.comparison.check import Check, Outcome
from app.comparison.launch_check import launch_check
from app.errors import AppError
from app.mechanics.derived import working_faces
from app.mechanics.facing_limits import pressure_row
from app.mechanics.fit import Answer, bolts_up, overall
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import (
    CentrifugalClamp,
    CoilClamp,
    DiscClamp,
    EngineInputs,
    PackInputs,
    SpringGroup,
    State,
)
from app.mechanics.release import (
    HAND_FORCE_COMFORT_N,
    LIFT_PER_FACE_LEAST_MM,
    hand_force,
    lift_per_face,
)
from app.mechanics.sides import PackFigures, PackSide, engine_side, pack_figures, pack_side
from app.mechanics.spring_checks import critical_free_length
from app.mechanics.spring_wire import wire_material
from app.mechanics.stack import PackSheet, stack_engines, stack_packs
from app.mechanics.traced import Traced
from app.mechanics.validity import CLASH_LEAST

LEVER_EFFICIENCY = 0.85
"""Share of the hand's work that reaches the pressure plate; our assumption for a cable in order."""


@dataclass(frozen=True, eq=False)
class _Worked:
    """The figures of one pack among those of several."""

    side: PackSide
    figures: PackFigures
    row: int = 0

    def each(self, figure: Traced | None, group: int = 0) -> float:
        """One figure of this pack, of a spring group where it has several; NaN: not known."""
        if figure is None:
            return float("nan")
        rows, groups = figure.value.shape
        return float(figure.value[min(self.row, rows - 1), min(group, groups - 1)])


def checks(pack: PackInputs, engine: EngineInputs | None, state: State) -> list[Check]:
    """Every check of a pack, and of its fit to an engine where one is given.

    Args:
        pack: the record.
        engine: the engine, or None for the pack alone; it gives weights on ramps their speed.
        state: the state of the comparison.

    Returns:
        Checks in the order in which they would stop a job; units in their texts.

    Range: nominal values; what isn't recorded is "not known".
    Source: named in each check.
    """
    pack = with_friction(pack, state.lubrication, state.friction)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        sheet = stack_packs([pack], state).nominal()
        speed = None if engine is None else shaft_speeds(pack, [engine], state)
        side = pack_side(sheet, state, speed)
        worked = _Worked(side, pack_figures(sheet, side, speed))
    found = _of_pack(pack, state, worked)
    if engine is None:
        return found
    hot = launch_check(pack, engine, state, worked.each(side.capacity))
    return [_fit(pack, engine), *found, *([] if hot is None else [hot])]


def checks_of_packs(
    packs: Sequence[PackInputs],
    state: State,
    shaft_speed_rpm: Traced | None = None,
    sheet: PackSheet | None = None,
) -> list[list[Check]]:
    """The checks of packs alone, their figures worked out in one pass.

    Args:
        packs: the records.
        state: the state of the comparison.
        shaft_speed_rpm: of the shafts that carry weights [r/min], (packs, 1); None: not known.
        sheet: the packs as columns, where they were stacked for this state before.

    Returns:
        For each pack what `checks` says of it without an engine.

    Range: nominal values; what isn't recorded is "not known".
    Source: named in each check.
    """
    if not packs:
        return []
    known = [with_friction(pack, state.lubrication, state.friction) for pack in packs]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        exact = (sheet or stack_packs(known, state)).nominal()
        side = pack_side(exact, state, shaft_speed_rpm)
        figures = pack_figures(exact, side, shaft_speed_rpm)
    return [_of_pack(pack, state, _Worked(side, figures, i)) for i, pack in enumerate(known)]


def _of_pack(pack: PackInputs, state: State, worked: _Worked) -> list[Check]:
    """The checks that need no engine, but for the speed of weights."""
    coils = pack.clamp.springs if isinstance(pack.clamp, CoilClamp) else None
    found = []
    if coils is not None:
        found.append(_release(pack, coils, worked))
    if isinstance(pack.clamp, DiscClamp):
        found.append(_disc_release(pack, pack.clamp))
    found.append(_lift(pack))
    found.append(_pressure(pack, state, worked))
    for number, group in enumerate(coils or ()):
        found.append(_stress(number, group, worked))
        buckling = _buckling(number, group, worked)
        found += [] if buckling is None else [buckling]
    if not isinstance(pack.clamp, CentrifugalClamp):
        found.append(_hand(pack, worked))
    return found


def shaft_speeds(
    pack: PackInputs, engines: Sequence[EngineInputs], state: State
) -> Traced | None:
    """Speed of the shaft that carries a pack's weights, on each engine.

    Args:
        pack: one record.
        engines: M records.
        state: its speed is the crank's [r/min].

    Returns:
        Speeds [r/min], (M, 1); None for another clamp, or where the mounting is not known.

    Range: NaN where an engine's speed or gear is not known.
    Source: app.mechanics.sides.engine_side.
    """
    if not isinstance(pack.clamp, CentrifugalClamp) or pack.mounting is None:
        return None
    speeds = engine_side(stack_engines(engines), state.speed_rpm).clutch_speed
    return speeds[0 if pack.mounting == "crankshaft" else 1]


def _fit(pack: PackInputs, engine: EngineInputs) -> Check:
    answers = bolts_up(pack, engine)
    whole = overall(answers)
    shown = [a for a in answers if a.answer == whole] if whole != "yes" else list(answers)
    words = _DIFFERS if whole == "no" else {}
    told = "; ".join(f"{words.get(a.question, a.question)}: {a.reason}" for a in shown)
    return Check("bolts up", _OUTCOMES[whole], told, "geometry of both records")


_OUTCOMES: dict[Answer, Outcome] = {"yes": "pass", "no": "fail", "not known": "not known"}

_DIFFERS = {
    "room for its diameter": "no room for its diameter",
    "room for its height": "no room for its height",
    "the splines fit": "the splines differ",
    "the primary gear fits": "the primary gear differs",
}
"""How a question of the fit is told where the answer is no."""


def _disc_release(pack: PackInputs, clamp: DiscClamp) -> Check:
    name, source = "can release", "geometry of the disc: flat is as far as it goes"
    cone, now, lift = clamp.cone_height_mm, clamp.installed_deflection_mm, pack.lift_mm
    if cone is None or now is None or lift is None:
        return Check(name, "not known", "needs cone height, installed deflection and lift", source)
    flat = cone.value * clamp.in_series
    left = flat - now.value - lift.value
    # 4.8 − 3.0 − 1.8 mm is nothing, whatever the last binary digit says.
    if left < -1e-9 * flat:
        return Check(name, "fail", f"the disc springs are flat at {flat:.2f} mm and full lift asks "
                                   f"for {now.value + lift.value:.2f} mm", source)
    return Check(name, "pass", f"{max(left, 0.0):.2f} mm are left to flat at full lift", source)


def _release(pack: PackInputs, groups: tuple[SpringGroup, ...], worked: _Worked) -> Check:
    name = "can release"
    source = "clash allowance 0.15: Shigley, Mechanical Engineering Design, 10-3"
    lift = float("nan") if pack.lift_mm is None else pack.lift_mm.value
    left, springs = [], worked.side.springs
    for number in range(len(groups)):
        pressed = worked.each(springs.compression if springs else None, number) + lift
        # A spring that is slack even at full lift can't go solid.
        if not pressed <= 0.0:
            left.append(worked.each(worked.figures.clash_allowance, number))
    known = [room for room in left if not np.isnan(room)]
    least = min(known, default=float("inf"))
    if least <= 0.0:
        return Check(name, "fail", "the springs go solid before full lift", source)
    if not groups or len(known) < len(left):
        return Check(name, "not known", "needs lift, wire, coils and kind of ends of every spring",
                     source)
    if not known:
        return Check(name, "pass", "the springs are slack even at full lift", source)
    told = f"{100 * least:.0f} % of the working deflection is left at full lift"
    return Check(name, "pass" if least >= CLASH_LEAST else "caution", told, source)


def _lift(pack: PackInputs) -> Check:
    faces, source = working_faces(pack), "common practice, no source"
    if pack.lift_mm is None or faces is None:
        return Check("lift per face", "not known", "needs the lift and the plates", source)
    each = lift_per_face(pack.lift_mm.value, float(faces))
    # 1.2 mm over 12 faces is 0.1 mm, whatever the last binary digit says.
    enough = each >= LIFT_PER_FACE_LEAST_MM * (1.0 - 1e-9)
    told = f"{each:.3f} mm a face; {LIFT_PER_FACE_LEAST_MM:g} mm lets a pack run free"
    return Check("lift per face", "pass" if enough else "caution", told, source)


def _pressure(pack: PackInputs, state: State, worked: _Worked) -> Check:
    figures, name = worked.figures, "facing pressure"
    pressure = worked.each(figures.facing_pressure_mean_mpa)
    row = None if pack.facing is None else pressure_row(pack.facing, state.lubrication)
    if pack.pressure_limit_mpa is not None:
        low = high = pack.pressure_limit_mpa
        source = pack.pressure_limit_source or "stated for this facing"
    elif row is not None and row.p_max_high_mpa is not None:
        high = row.p_max_high_mpa
        low, source = row.p_max_low_mpa or high, row.source
    else:
        return Check(name, "not known", "no pressure is known that this facing stands",
                     "table of facings")
    if np.isnan(pressure):
        return Check(name, "not known", "needs the clamp load and both diameters", source)
    edge = worked.each(figures.facing_pressure_max_mpa)
    band = f"{low:g}" if low == high else f"{low:g} to {high:g}"
    told = f"{pressure:.3f} MPa mean, {edge:.3f} MPa at the inner edge; allowed {band} MPa"
    outcome: Outcome = "pass" if pressure <= low else "caution" if pressure <= high else "fail"
    return Check(name, outcome, told, source)


def _stress(number: int, group: SpringGroup, worked: _Worked) -> Check:
    name, figures = f"spring stress, group {number + 1}", worked.figures
    stress = worked.each(figures.stress_lifted_mpa, number)
    word = "at full lift"
    if np.isnan(stress):
        stress, word = worked.each(figures.stress_installed_mpa, number), "installed"
    if np.isnan(stress) or group.wire_material is None or group.wire_mm is None:
        return Check(name, "not known", "needs the wire, its material and the coil diameter",
                     "table of wire materials")
    try:
        wire = wire_material(group.wire_material)
    except AppError as unknown:
        return Check(name, "not known", unknown.message, "table of wire materials")
    strength = wire.tensile_strength_mpa(group.wire_mm.value)
    beyond = "" if wire.covers(group.wire_mm.value) else (
        f"; the strength is reckoned beyond its table, which covers {wire.min_wire_mm:g} to "
        f"{wire.max_wire_mm:g} mm of wire")
    share = stress / strength
    told = (f"{stress:.0f} MPa {word}, {100 * share:.0f} % of the wire's {strength:.0f} MPa; "
            f"allowed {100 * wire.set_not_removed:.0f} %, with set removed "
            f"{100 * wire.set_removed_low:.0f} %{beyond}")
    outcome: Outcome = "pass" if share <= wire.set_not_removed and not beyond else (
        "caution" if share <= wire.set_removed_low else "fail")
    return Check(name, outcome, told, wire.source)


def _buckling(number: int, group: SpringGroup, worked: _Worked) -> Check | None:
    springs = worked.side.springs
    mean = worked.each(springs.mean if springs else None, number)
    if group.free_length_mm is None or np.isnan(mean):
        return None
    limit = critical_free_length(mean)
    if group.free_length_mm.value <= limit:
        return None
    return Check(f"buckling, group {number + 1}", "caution",
                 f"a free length of {group.free_length_mm.value:.1f} mm is above {limit:.1f} mm; "
                 "the springs need pockets or pins", "Shigley, Mechanical Engineering Design, 10-5")


def _hand(pack: PackInputs, worked: _Worked) -> Check:
    force = worked.each(worked.figures.clamp_lifted_n)
    source = "comfort limit: common practice, no source"
    if np.isnan(force) or pack.lever_ratio is None:
        return Check("hand force", "not known", "needs the lift and the lever ratio", source)
    hand = hand_force(force, pack.lever_ratio.value, LEVER_EFFICIENCY)
    easy = hand <= HAND_FORCE_COMFORT_N
    return Check("hand force", "pass" if easy else "caution",
                 f"{hand:.0f} N at the lever; {HAND_FORCE_COMFORT_N:.0f} N is comfortable "
                 f"(lever {pack.lever_ratio.value:g} : 1, {100 * LEVER_EFFICIENCY:.0f} % of the "
                 "work arrives)", source)
