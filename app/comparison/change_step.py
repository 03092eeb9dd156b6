"""One change of a clamp, and what the kinds of clamp share in working it out."""

import math
from dataclasses import dataclass, replace

from app.mechanics.inputs import Clamp, PackInputs, Quantity, State


@dataclass(frozen=True, slots=True)
class Step:
    """A change of the clamp: the clamp after it, or why there is none."""

    change: str
    by: float | None
    unit: str
    clamp: Clamp | None
    consequences: tuple[str, ...] = ()
    why_not: str | None = None


def wear_mm(pack: PackInputs, state: State) -> float:
    """Wear of the stack in a state [mm]: as stated, or the pack's own limit."""
    if state.wear_mm is not None:
        return state.wear_mm
    return pack.stack_wear_limit_mm.value if pack.stack_wear_limit_mm else math.nan


def scaled(q: Quantity, factor: float) -> Quantity:
    """A figure and its doubt times a factor, in its own unit."""
    return Quantity(
        q.value * factor,
        None if q.plus_minus is None else q.plus_minus * factor,
        None if q.std is None else q.std * factor, q.how)


def moved(q: Quantity, by: float) -> Quantity:
    """A figure moved by an amount in its own unit, its doubt as it was."""
    return replace(q, value=q.value + by)
