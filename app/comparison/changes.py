"""Single changes that would bring a cell to a wanted ratio, each solved in closed form.

Every option is applied to the records and evaluated again, so that the ratio it promises is the
one that the board would show.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from app.comparison import clamp_changes
from app.comparison.change_step import Step, moved, scaled
from app.comparison.check import Check
from app.comparison.checks import checks
from app.comparison.run import compare
from app.errors import BadInput, Problem
from app.mechanics.derived import primary_ratio, working_faces
from app.mechanics.disc_friction import facing_area
from app.mechanics.facing_limits import pressure_row
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import (
    CentrifugalClamp,
    EngineInputs,
    PackInputs,
    Quantity,
    State,
)
from app.mechanics.release import LIFT_PER_FACE_LEAST_MM, lift_per_face
from app.mechanics.tables import FrictionRow, friction_rows

ROUNDING = 1e-9
"""Share by which a ratio may miss the wanted one and still be it: the last digits' rounding."""


@dataclass(frozen=True, slots=True)
class Option:
    """One change: the field that changes, by how much, what follows, or why it can't be done.

    `by` is added to the present value, in `unit`; "%" means of the present value, for all groups.
    """

    change: str
    by: float | None
    unit: str
    result_ratio: float | None
    consequences: tuple[str, ...]
    possible: bool
    why_not: str | None = None


@dataclass(frozen=True, slots=True)
class _Case:
    pack: PackInputs
    engine: EngineInputs
    state: State
    target: float
    ratio: float
    required: float
    per_newton: float
    before: Mapping[str, int]

    @property
    def factor(self) -> float:
        return self.target / self.ratio if self.ratio > 0.0 else math.inf


def changes(
    pack: PackInputs, engine: EngineInputs, state: State, target_ratio: float
) -> list[Option]:
    """Every single change that could give the wanted ratio, upwards or downwards.

    With R = μ z F Re/T_req and f = target/R: clamp F f (by shim, rate, load or weights), faces
    z f rounded up to whole plates, friction μ f, primary ratio i/f.

    Args:
        pack: the pack, units by its names.
        engine: the engine, units by its names.
        state: the state of the comparison.
        target_ratio: wanted available/required [1], a scalar.

    Returns:
        Options in the order in which they are tried on a bench; empty when the ratio isn't known.
        One that brings a failed check with it (springs solid, no room, pressure) isn't possible.

    Errors: BadInput when the target is not positive.
    Range: nominal values; doubts stay as they are.
    Source: the terms of T = μ z F R.
    """
    if not target_ratio > 0.0:
        raise BadInput([Problem("target_ratio", "Write a ratio above 0, like 1.2.")])
    known = with_friction(pack, state.lubrication, state.friction)
    board = compare([known], [engine], state)
    ratio = float(board.ratio[0, 0])
    required = float(board.required[0, 0])
    # A clamp of 1 N carries μ z R/1000.
    one = replace(known, clamp=clamp_changes.unit_clamp())
    per_newton = float(compare([one], [engine], state).capacity[0, 0])
    if not (math.isfinite(ratio) and required > 0.0 and per_newton > 0.0):
        return []
    before = {c.name: _RANK[c.outcome] for c in checks(known, engine, state)}
    case = _Case(known, engine, state, target_ratio, ratio, required, per_newton, before)
    needed = target_ratio * required / per_newton
    found = [_clamp_option(case, step)
             for step in clamp_changes.steps(known, engine, state, needed)]
    return [_told(option) for option in (*found, _plates(case), _friction(case), _primary(case))]


def _told(option: Option) -> Option:
    """The option, or why it has no figures where they are too large or too small to be any."""
    if all(math.isfinite(f) for f in (option.by, option.result_ratio) if f is not None):
        return option
    return Option(option.change, None, option.unit, None, (), False,
                  "that is beyond any figure that can be built")


def _result(pack: PackInputs, engine: EngineInputs, state: State) -> float:
    return float(compare([pack], [engine], state).ratio[0, 0])


def _clamp_option(case: _Case, step: Step) -> Option:
    if step.clamp is None or step.by is None:
        return Option(step.change, step.by, step.unit, None, step.consequences, False, step.why_not)
    changed = replace(case.pack, clamp=step.clamp)
    return _checked(case, changed, step.change, step.by, step.unit, step.consequences, step.why_not)


def _checked(
    case: _Case, changed: PackInputs, name: str, by: float, unit: str,
    consequences: tuple[str, ...], why_not: str | None,
) -> Option:
    """An option with what else it would bring: every check that comes out worse than before."""
    worse: list[Check] = [
        c for c in checks(changed, case.engine, case.state)
        if c.outcome in ("caution", "fail") and _RANK[c.outcome] > case.before.get(c.name, 0)
        and c.name not in _SAID
    ]
    failed = next((f"{c.name}: {c.text}" for c in worse if c.outcome == "fail"), None)
    words = tuple(f"{c.name}: {c.text}" for c in worse if c.outcome == "caution")
    why_not = why_not or failed
    return Option(name, by, unit, _result(changed, case.engine, case.state),
                  consequences + words, why_not is None, why_not)


SOLVED_TO = 1e-6
SOLVING_STEPS = 40
"""Steps of a fixed point whose error shrinks by more than half in each."""

# The plates' own words give this figure whatever it is.
_SAID = ("lift per face",)
_RANK = {"pass": 0, "not known": 1, "caution": 2, "fail": 3}


def _plates(case: _Case) -> Option:
    pack, unit = case.pack, "plates"
    plates, faces = pack.friction_plates, working_faces(pack)
    if plates is None or faces is None:
        return Option("friction_plates", None, unit, None, (), False,
                      "the number of friction plates is not known")
    if math.isinf(case.factor):
        return Option("friction_plates", None, unit, None, (), False,
                      "nothing presses the plates together, so more of them carry nothing")
    lined = pack.lined_faces_per_plate
    # A whisker above a whole plate is the whole plate: the ratio's own rounding.
    extra = math.ceil(faces * (case.factor - 1.0) / lined - ROUNDING) \
        if case.factor < 1e6 else MOST_PLATES
    # At least one plate and one face stay.
    extra = max(extra, 1 - plates, -((faces - 1) // lined))
    if extra >= MOST_PLATES:
        return Option("friction_plates", None, unit, None, (), False,
                      "it would take more plates than any pack holds")
    if extra == 0:
        return Option("friction_plates", 0.0, unit, case.ratio, (), False,
                      "no whole plate can be taken out without falling below the wanted ratio")
    changed = _with_plates(pack, plates, lined, extra)
    # Along splines with friction each further plate is pressed less than the one before.
    while case.state.spline_friction is not None and extra > 0 and extra < MOST_PLATES:
        if _result(changed, case.engine, case.state) >= case.target * (1.0 - ROUNDING):
            break
        extra += 1
        changed = _with_plates(pack, plates, lined, extra)
    if extra >= MOST_PLATES:
        return Option("friction_plates", None, unit, None, (), False,
                      "the splines keep too much from further plates")
    pairs = "pair" if abs(extra) == 1 else "pairs"
    words = [f"{abs(extra)} {pairs} of plates {'more' if extra > 0 else 'fewer'}",
             _stack_height(pack, extra)]
    if pack.lift_mm is not None:
        each = float(lift_per_face(pack.lift_mm.value, float(faces + extra * lined)))
        words.append(f"lift of {each:.3f} mm a face (keep {LIFT_PER_FACE_LEAST_MM:g} mm or more)")
    why = None if extra <= plates else (
        f"it would need {extra} more {pairs} of plates, more than double what the pack has")
    return _checked(case, changed, "friction_plates", float(extra), unit, tuple(words), why)


def _with_plates(pack: PackInputs, plates: int, lined: int, extra: int) -> PackInputs:
    return replace(
        pack, friction_plates=plates + extra,
        surfaces=None if pack.surfaces is None else pack.surfaces + extra * lined,
        envelope_height_mm=_taller(pack, extra),
    )


MOST_PLATES = 1000
"""More plates than this is no answer; our judgement."""


def _taller(pack: PackInputs, extra: int) -> Quantity | None:
    height, lining, plain = pack.envelope_height_mm, pack.friction_plate_mm, pack.plain_plate_mm
    if height is None or lining is None or plain is None:
        return None
    return moved(height, extra * (lining.value + plain.value))


def _stack_height(pack: PackInputs, extra: int) -> str:
    lining, plain = pack.friction_plate_mm, pack.plain_plate_mm
    if lining is None or plain is None:
        return "the stack's height changes by as many plate thicknesses, which are not recorded"
    grows = extra * (lining.value + plain.value)
    return f"the stack {'grows' if grows > 0 else 'shrinks'} by {abs(grows):.2f} mm"


def _friction(case: _Case) -> Option:
    key = (case.state.lubrication, case.state.friction)
    now = case.pack.friction[key]
    if math.isinf(case.factor):
        return Option("friction", None, "1", None, (), False,
                      "nothing presses the plates together, so no facing holds")
    factor, changed = case.factor, case.pack
    for _ in range(1 if case.state.spline_friction is None else SOLVING_STEPS):
        changed = replace(case.pack, friction={**case.pack.friction, key: scaled(now, factor)})
        if case.state.spline_friction is not None:
            # More friction at the faces loses more along the splines: the torque lags behind μ.
            factor *= case.target / _result(changed, case.engine, case.state)
    wanted = changed.friction[key].value
    reached = _result(changed, case.engine, case.state)
    if abs(reached / case.target - 1.0) > SOLVED_TO:
        return Option("friction", None, "1", None, (), False,
                      "the splines keep too much for any facing to reach it")
    fit, weak = _facings(case, now.value, wanted)
    words = [f"μ {wanted:.3g} {key[0]}, {key[1]}, instead of {now.value:.3g}"]
    if fit:
        words.append("the published table has " + ", ".join(fit))
    if weak:
        words.append("the clamp presses too hard for " + ", ".join(weak))
    why = None
    if case.factor > 1.0 and not fit:
        why = "the clamp presses too hard for every facing of the published table with as much" \
            if weak else "no facing of the published table has as much"
    return Option("friction", wanted - now.value, "1", _result(changed, case.engine, case.state),
                  tuple(words), why is None, why)


def _rows(case: _Case) -> list[FrictionRow]:
    state = case.state
    return [r for r in friction_rows()
            if r.lubrication == state.lubrication and r.kind in (state.friction, "both")]


def _facings(case: _Case, now: float, wanted: float) -> tuple[list[str], list[str]]:
    """Facings of the table from the wanted μ on: those that stand the pressure, and the others.

    For a lower μ, those between the wanted and the present one.
    """
    names = {r.facing for r in _rows(case)
             if (r.nominal >= wanted if wanted > now else wanted <= r.nominal < now)}
    pressure = case.required * case.ratio / case.per_newton / _face_area(case.pack)
    limits = {n: row.p_max_high_mpa for n in names
              if (row := pressure_row(n, case.state.lubrication)) and row.p_max_high_mpa}
    weak = sorted(n for n, limit in limits.items() if pressure > limit)
    return sorted(names - set(weak)), weak


def _face_area(pack: PackInputs) -> float:
    if pack.facing_od_mm is None or pack.facing_id_mm is None:
        return math.nan
    return facing_area(pack.facing_od_mm.value / 2.0, pack.facing_id_mm.value / 2.0,
                       pack.grooved_fraction.value)


PRIMARY_USUAL = (1.5, 5.0)
"""Primary ratios of small engines; common practice, no source."""

PRIMARY_BUILT = (1.0, 7.0)
"""Beyond these one pair of gears between crank and clutch is not built; common practice, no source.
"""


def _primary(case: _Case) -> Option:
    engine, name = case.engine, "primary_ratio"
    if case.pack.mounting == "crankshaft":
        return Option(name, None, "1", None, (), False,
                      "the pack sits on the crankshaft, in front of any gear")
    stated = primary_ratio(engine)
    now = stated.value if stated else math.nan
    if isinstance(case.pack.clamp, CentrifugalClamp):
        wanted = _ratio_for_weights(case, case.pack.clamp, now)
    elif math.isinf(case.factor):
        return Option(name, None, "1", None, (), False,
                      "nothing presses the plates together, so no gear helps")
    else:
        wanted = now / case.factor
    changed = replace(engine, primary_teeth=None, primary_ratio=Quantity(wanted))
    words = [f"primary ratio {wanted:.4g} instead of {now:.4g}; every road speed shifts with it"]
    least, most = PRIMARY_BUILT
    why = None if least <= wanted <= most or not least <= now <= most else (
        f"it would need a primary ratio of {wanted:.3g}; one pair of gears between crank and "
        f"clutch has {least:g} to {most:g}")
    low, high = PRIMARY_USUAL
    if not low <= wanted <= high:
        words.append(f"primary ratios of {low:g} to {high:g} are usual, so gears for this one may "
                     "not fit between the shafts")
    if engine.primary_teeth:
        words.append(_teeth(engine.primary_teeth, wanted))
    speed = "faster" if wanted < now else "slower"
    words.append(f"the clutch turns {speed}, which moves drag and wear with it")
    return Option(name, wanted - now, "1", _result(case.pack, changed, case.state),
                  tuple(words), why is None, why)


def _teeth(teeth: tuple[int, int], wanted: float) -> str:
    """Both gears change: their shafts stay where they are, so the sum of teeth does too."""
    both = sum(teeth)
    driving = min(max(round(both / (1.0 + wanted)), 1), both - 1) if both > 1 else 1
    driven = max(both - driving, 1)
    return (f"with the shafts where they are both gears change: {driving} on {driven} teeth of the "
            f"same module come nearest, a ratio of {driven / driving:.4g}")


def _ratio_for_weights(case: _Case, clamp: CentrifugalClamp, now: float) -> float:
    """Weights turn with the clutch: R(i) = (A/i² − B)/(C i) = target, a cubic in 1/i.

    A u³ − B u − target C = 0 has one positive root, by Descartes' rule of signs.
    """
    free = replace(case.pack, clamp=replace(clamp, return_force_n=Quantity(0.0)))
    pull = float(compare([free], [case.engine], case.state).capacity[0, 0])
    back = clamp.return_force_n.value if clamp.return_force_n else 0.0
    cubic = [pull * now * now, 0.0, -back * case.per_newton, -case.target * case.required / now]
    if not (all(map(math.isfinite, cubic)) and cubic[0] > 0.0):
        return math.nan
    roots = np.roots(cubic)
    return float(1.0 / max(r.real for r in roots if abs(r.imag) <= 1e-9 * abs(r)))
