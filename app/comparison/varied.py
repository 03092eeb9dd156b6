"""What of a state can be varied to look for the worst, and the states that come of it."""

from collections.abc import Collection
from dataclasses import replace
from itertools import product
from typing import Any, Literal

from app.mechanics.inputs import State

Varied = Literal["lubrication", "friction", "wear"]
VARIED: tuple[Varied, ...] = ("lubrication", "friction", "wear")
_VALUES: dict[Varied, tuple[str, tuple[Any, ...]]] = {
    "lubrication": ("lubrication", ("oiled", "dry")),
    "friction": ("friction", ("sliding", "static")),
    "wear": ("wear_mm", (0.0, None)),
}


def states_of(state: State, varied: Collection[Varied]) -> tuple[State, ...]:
    """The states that a worst case is looked for in.

    Args:
        state: gives what isn't varied.
        varied: of lubrication (oiled, dry), friction (sliding, static), wear (new, worn).

    Returns:
        Every combination, 1 to 8 of them; the state itself where nothing is varied.

    Range: any.
    Source: definition.
    """
    chosen = [_VALUES[name] for name in VARIED if name in varied]
    names = [name for name, _ in chosen]
    return tuple(
        replace(state, **dict(zip(names, values, strict=True)))
        for values in product(*(values for _, values in chosen))
    )
