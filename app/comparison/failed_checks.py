"""Which cells of a board fail a check that outranks torque, many at once."""

from collections.abc import Sequence
from typing import Literal

import numpy as np

from app.comparison.check import Check
from app.comparison.checks import checks_of_packs, shaft_speeds
from app.comparison.launch_check import launch_fails
from app.mechanics.fit import misfits
from app.mechanics.inputs import CentrifugalClamp, EngineInputs, PackInputs, State
from app.mechanics.stack import PackSheet
from app.mechanics.traced import Array

FailedCheck = Literal[
    "bolts_up", "can_release", "facing_pressure", "spring_stress", "launch_heat"
]

NAMES: dict[str, FailedCheck] = {
    "bolts up": "bolts_up",
    "can release": "can_release",
    "facing pressure": "facing_pressure",
    "spring stress": "spring_stress",
    "launch heat": "launch_heat",
}


def failed_checks(
    packs: Sequence[PackInputs],
    engines: Sequence[EngineInputs],
    state: State,
    capacity_nm: Array,
    sheet: PackSheet | None = None,
) -> dict[tuple[int, int], tuple[FailedCheck, ...]]:
    """The checks that each cell of a block fails, of those that fail any.

    Args:
        packs: N records.
        engines: M records.
        state: the state of the comparison.
        capacity_nm: what each pack carries with each engine [N·m], (N, M).
        sheet: the packs as columns, where they were stacked for this state before.

    Returns:
        By (pack, engine): names of failed checks, in the order in which they would stop a job.

    Range: nominal values; what isn't recorded fails nothing.
    Source: app.comparison.checks, which says the same of one cell.
    """
    if not packs or not engines:
        return {}
    wrong = misfits(packs, engines)
    hot = launch_fails(packs, engines, state, capacity_nm)
    found: dict[tuple[int, int], tuple[FailedCheck, ...]] = {}
    each = checks_of_packs(packs, state, sheet=sheet)
    for i, (pack, alone) in enumerate(zip(packs, each, strict=True)):
        own = [_names(alone)] * len(engines)
        if isinstance(pack.clamp, CentrifugalClamp):
            # What weights press with depends on the engine's speed.
            speeds = shaft_speeds(pack, engines, state)
            own = list(map(_names, checks_of_packs([pack] * len(engines), state, speeds)))
        any_own = np.array([bool(names) for names in own])
        for j in np.flatnonzero(wrong[i] | hot[i] | any_own).tolist():
            fit: tuple[FailedCheck, ...] = ("bolts_up",) if wrong[i, j] else ()
            heat: tuple[FailedCheck, ...] = ("launch_heat",) if hot[i, j] else ()
            found[i, j] = fit + own[j] + heat
    return found


def failed_alone(packs: Sequence[PackInputs], state: State) -> list[tuple[FailedCheck, ...]]:
    """The checks that each pack fails on any engine.

    Args:
        packs: N records.
        state: the state of the comparison.

    Returns:
        For each pack the names of failed checks, in the order in which they would stop a job.

    Range: nominal values; what isn't recorded fails nothing, nor what depends on speed.
    Source: app.comparison.checks.
    """
    return [_names(alone) for alone in checks_of_packs(packs, state)]


def _names(found: Sequence[Check]) -> tuple[FailedCheck, ...]:
    """Names of the failed ones, each once whatever the spring group."""
    names = [NAMES[c.name.split(",")[0]] for c in found if c.outcome == "fail"]
    return tuple(dict.fromkeys(names))
