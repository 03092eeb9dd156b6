"""Which assumed and estimated inputs a torque rests on: those that would move it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from app.comparison.inputs_list import InputLine, list_inputs
from app.mechanics.inputs import MOUNTINGS, EngineInputs, Mounting, PackInputs, State
from app.mechanics.sides import engine_side, pack_side
from app.mechanics.stack import EngineSheet, PackSheet, Sheet, stack_engines, stack_packs
from app.mechanics.traced import Column, Traced

UNSURE = ("assumed", "estimated")


def pack_rests_on(
    packs: Sequence[PackInputs], state: State, sheet: PackSheet | None = None
) -> tuple[tuple[InputLine, ...], ...]:
    """Unsure inputs of each pack that its capacity depends on.

    Args:
        packs: the records, with the friction of the state filled in from the table.
        state: the state of the comparison.
        sheet: the packs as columns, where they were stacked for this state before.

    Returns:
        For each pack the lines whose quantity is assumed or estimated, in the record's order.

    Range: any records; the input list of a pack without such inputs is not even made.
    Source: an input counts where the first derivative is not 0.
    """
    unsure = [_unsure(list_inputs(pack, None, state)) for pack in packs]
    if not any(unsure):
        return tuple(() for _ in packs)
    sheet = sheet or stack_packs(packs, state)
    sheet = replace(sheet, columns=_all_doubtful(sheet))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        capacity = pack_side(sheet, state).capacity
    return tuple(
        tuple(line for line in lines if _moves(capacity, line.path, row))
        for row, lines in enumerate(unsure)
    )


def engine_rests_on(
    engines: Sequence[EngineInputs],
    state: State,
    of_speed: bool = False,
    sheet: EngineSheet | None = None,
) -> tuple[Mapping[Mounting, tuple[InputLine, ...]], ...]:
    """Unsure inputs of each engine that its required torque depends on, by mounting.

    Args:
        engines: the records.
        state: the state of the comparison.
        of_speed: those of the clutch's speed instead, on which a centrifugal clamp depends.
        sheet: the engines as columns, where they were stacked before.

    Returns:
        For each engine and mounting the lines whose quantity is assumed or estimated.

    Range: any records.
    Source: as `pack_rests_on`.
    """
    unsure = [_unsure(list_inputs(None, engine, None)) for engine in engines]
    if not any(unsure):
        return tuple(dict.fromkeys(MOUNTINGS, ()) for _ in engines)
    sheet = sheet or stack_engines(engines)
    sheet = replace(sheet, columns=_all_doubtful(sheet))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        side = engine_side(sheet, state.speed_rpm)
    figures = side.clutch_speed if of_speed else side.required
    return tuple(
        {
            mounting: tuple(line for line in lines if _moves(figures[number], line.path, row))
            for number, mounting in enumerate(MOUNTINGS)
        }
        for row, lines in enumerate(unsure)
    )


def _unsure(lines: Iterable[InputLine]) -> tuple[InputLine, ...]:
    return tuple(line for line in lines if line.quantity.how in UNSURE)


def _all_doubtful(sheet: Sheet) -> dict[str, Column]:
    """The columns with some doubt everywhere: an exact input has no derivative otherwise."""
    return {
        name: Column(c.value, np.ones_like(c.value), np.zeros_like(c.value))
        for name, c in sheet.columns.items()
    }


def _moves(figure: Traced, path: str, row: int) -> bool:
    """Whether an input, given by its path, has a derivative in one record's figure."""
    parts = path.split(".")
    group = next((int(part) for part in parts if part.isdecimal()), 0)
    name = ".".join("*" if part.isdecimal() else part for part in parts)
    partial = figure.partials.get(name)
    if partial is None:
        return False
    rows = np.broadcast_to(partial, (figure.value.shape[0], partial.shape[-1]))
    return bool(rows[row, min(group, rows.shape[1] - 1)] != 0.0)


def moving_inputs(pack: PackInputs, engine: EngineInputs, state: State) -> frozenset[str]:
    """Paths of every input of one cell that would move its ratio, exact ones too.

    Args:
        pack: the pack, with the friction of the state filled in from the table.
        engine: the engine.
        state: the state of the comparison.

    Returns:
        Paths in the JSON interface.

    Range: one cell; a figure that is not known counts every input that it was tried with.
    Source: as `pack_rests_on`.
    """
    packs, engines = stack_packs([pack], state), stack_engines([engine])
    packs = replace(packs, columns=_all_doubtful(packs))
    engines = replace(engines, columns=_all_doubtful(engines))
    number = MOUNTINGS.index(pack.mounting) if pack.mounting else 0
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        asked = engine_side(engines, state.speed_rpm)
        speed = asked.clutch_speed[number]
        figures = [pack_side(packs, state, speed).capacity, asked.required[number]]
    lines = list_inputs(pack, engine, state)
    return frozenset(
        line.path for line in lines if any(_moves(figure, line.path, 0) for figure in figures)
    )
