"""Single changes that would bring a cell to a wanted ratio, each solved in closed form.

Every option is applied to the records and evaluated again, so that the ratio it promises is the
one that the board would show.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from app.comparison import clamp_changes
from app.comparison.clamp_changes import Step
from app.comparison.run import compare
from app.errors import BadInput, Problem
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import (
    CentrifugalClamp,
    EngineInputs,
    PackInputs,
    Quantity,
    State,
)
from app.mechanics.stack import working_faces
from app.mechanics.tables import friction_rows


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
    capacity: float
    required: float

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

    Errors: BadInput when the target is not positive.
    Range: nominal values; doubts stay as they are.
    Source: the terms of T = μ z F R.
    """
    if not target_ratio > 0.0:
        raise BadInput([Problem("target_ratio", "Write a ratio above 0, like 1.2.")])
    known = with_friction(pack, state.lubrication, state.friction)
    board = compare([known], [engine], state)
    ratio = float(board.ratio[0, 0])
    if math.isnan(ratio):
        return []
    case = _Case(known, engine, state, target_ratio, ratio,
                 float(board.capacity[0, 0]), float(board.required[0, 0]))
    per_newton = _torque_per_newton(case)
    needed = target_ratio * case.required / per_newton if per_newton else math.nan
    found = [_clamp_option(case, step)
             for step in clamp_changes.steps(known, engine, state, needed)]
    return [*found, _plates(case), _friction(case), _primary(case)]


def _torque_per_newton(case: _Case) -> float:
    """Torque per newton of clamp, μ z R/1000 [N·m/N], from the pack's own figures."""
    one = replace(case.pack, clamp=clamp_changes.unit_clamp())
    return float(compare([one], [case.engine], case.state).capacity[0, 0])


def _result(pack: PackInputs, engine: EngineInputs, state: State) -> float:
    return float(compare([pack], [engine], state).ratio[0, 0])


def _clamp_option(case: _Case, step: Step) -> Option:
    if step.clamp is None or step.by is None:
        return Option(step.change, step.by, step.unit, None, step.consequences, False, step.why_not)
    changed = replace(case.pack, clamp=step.clamp)
    ratio = _result(changed, case.engine, case.state)
    return Option(step.change, step.by, step.unit, ratio, step.consequences,
                  step.why_not is None, step.why_not)


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
    # A whisker below a whole plate is the whole plate: the ratio's own rounding.
    wanted = math.ceil(faces * case.factor / lined - 1e-9) * lined
    extra = max(wanted - faces, lined * (1 - plates)) // lined
    if extra == 0:
        return Option("friction_plates", 0.0, unit, case.ratio, (), False,
                      "no whole plate can be taken out without falling below the wanted ratio")
    changed = replace(
        pack, friction_plates=plates + extra,
        surfaces=None if pack.surfaces is None else pack.surfaces + extra * lined,
    )
    ratio = _result(changed, case.engine, case.state)
    height = _stack_height(pack, extra)
    pairs = "pair" if abs(extra) == 1 else "pairs"
    text = (f"{abs(extra)} {pairs} of plates {'more' if extra > 0 else 'fewer'}; "
            f"{height}; the lift spreads over {faces + extra * lined} faces")
    enough = ratio >= case.target * (1.0 - 1e-9)
    return Option("friction_plates", float(extra), unit, ratio, (text,), enough,
                  None if enough else "even a single plate is too many for this ratio"
                  if extra < 0 else "too few plates")


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
    wanted = now.value * case.factor
    relative = wanted / now.value
    quantity = Quantity(
        wanted, None if now.plus_minus is None else now.plus_minus * relative,
        None if now.std is None else now.std * relative, now.how)
    changed = replace(case.pack, friction={**case.pack.friction, key: quantity})
    rows = [r for r in friction_rows()
            if r.lubrication == key[0] and r.kind in (key[1], "both")]
    names = sorted({r.facing for r in rows if r.nominal >= wanted})
    text = f"μ {wanted:.3g} {key[0]}, {key[1]}: "
    text += ("the table has " + ", ".join(names)) if names else "no facing of the table reaches it"
    other = "" if case.factor < 1.0 else "; mind each facing's allowable pressure"
    return Option(
        "friction", wanted - now.value, "1", _result(changed, case.engine, case.state),
        (text + other,), bool(names) or case.factor <= 1.0,
        None if names or case.factor <= 1.0 else "no facing of the published table has as much",
    )


def _primary(case: _Case) -> Option:
    engine, name = case.engine, "primary_ratio"
    if case.pack.mounting == "crankshaft":
        return Option(name, None, "1", None, (), False,
                      "the pack sits on the crankshaft, in front of any gear")
    if math.isinf(case.factor):
        return Option(name, None, "1", None, (), False,
                      "nothing presses the plates together, so no gear helps")
    teeth = engine.primary_teeth
    now = teeth[1] / teeth[0] if teeth else engine.primary_ratio.value if engine.primary_ratio \
        else math.nan
    wanted = _ratio_for_weights(case, now) if isinstance(case.pack.clamp, CentrifugalClamp) \
        else now / case.factor
    if wanted is None:
        return Option(name, None, "1", None, (), False,
                      "no gear ratio gives this ratio: the weights lose more than the gear gains")
    changed = replace(engine, primary_teeth=None, primary_ratio=Quantity(wanted))
    words = [f"primary ratio {wanted:.4g} instead of {now:.4g}; every road speed shifts with it"]
    if teeth:
        words.append(f"{round(wanted * teeth[0])} driven teeth on {teeth[0]} driving come nearest")
    speed = "faster" if wanted < now else "slower"
    words.append(f"the clutch turns {speed}, which moves drag and wear with it")
    return Option(name, wanted - now, "1", _result(case.pack, changed, case.state),
                  tuple(words), True)


def _ratio_for_weights(case: _Case, now: float) -> float | None:
    """Weights turn with the clutch: R(i) = (A/i² − B)/(C i) = target, a cubic in 1/i."""
    def at(i: float) -> tuple[float, float]:
        geared = replace(case.engine, primary_teeth=None, primary_ratio=Quantity(i))
        clamp = case.pack.clamp
        free = replace(clamp, return_force_n=Quantity(0.0)) if isinstance(
            clamp, CentrifugalClamp) else clamp
        board = compare([replace(case.pack, clamp=free)], [geared], case.state)
        return float(board.capacity[0, 0]), float(board.required[0, 0])

    pull, required = at(now)
    lost = pull - case.capacity
    a, b, c = pull * now**2, lost, required / now
    roots = np.roots([a, 0.0, -b, -case.target * c])
    real = [float(1.0 / r.real) for r in roots if abs(r.imag) < 1e-9 * abs(r) and r.real > 0.0]
    return min(real, key=lambda i: abs(i - now)) if real else None


