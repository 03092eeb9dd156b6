"""The worst of several states: for each cell the state whose lower end is the lowest."""

from collections.abc import Callable, Sequence
from dataclasses import fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.comparison.board import Cells, Spread, work_out_cells
from app.comparison.run import Comparison
from app.comparison.verdict import VERDICTS
from app.mechanics.inputs import EngineInputs, PackInputs, State


def worst_index(parts: Sequence[Comparison]) -> NDArray[np.intp]:
    """In which of several states each cell is worst.

    The lowest lower end counts. Where a state is not known the worst isn't either, unless a known
    one slips: no other state could make that better.

    Args:
        parts: the same cells in S states, ratios [1].

    Returns:
        Indices from 0 to S − 1, shape (packs, engines).

    Range: S ≥ 1.
    Source: our decision rule.
    """
    low = np.stack([part.low for part in parts])
    slips = np.stack([part.verdict == VERDICTS.index("slips") for part in parts])
    unknown = np.isnan(np.stack([part.ratio for part in parts]))
    lowest = np.argmin(np.where(unknown, np.inf, low), axis=0)
    lost = unknown.any(axis=0) & ~slips.any(axis=0)
    return np.asarray(np.where(lost, np.argmax(unknown, axis=0), lowest), dtype=np.intp)


def worst_comparison(parts: Sequence[Comparison]) -> Comparison:
    """Every figure of the worst state of each cell.

    Args:
        parts: the same cells in several states, torques [N·m], ratios [1].

    Returns:
        Comparison of the same shape.

    Range: as `worst_index`.
    Source: as `worst_index`.
    """
    picked: Comparison = _picked(Comparison, parts, worst_index(parts))
    return picked


def cells_in(
    packs: Sequence[PackInputs], engines: Sequence[EngineInputs], states: Sequence[State]
) -> Cells:
    """A block of cells in a state, or in the worst of several for each cell.

    Args:
        packs: N records.
        engines: M records.
        states: one, or those that the worst is taken of.

    Returns:
        Cells of shape (N, M), torques in N·m; with several states `state_of` says which.

    Range: any records.
    Source: app.comparison.board.work_out_cells.
    """
    parts = [work_out_cells(packs, engines, state) for state in states]
    if len(parts) == 1:
        return parts[0]
    which = worst_index([part.figures for part in parts])

    def from_each(read: Callable[[Cells], Any]) -> dict[tuple[int, int], Any]:
        return {
            at: found
            for number, part in enumerate(parts)
            for at, found in read(part).items()
            if which[at] == number
        }

    every = {at for part in parts for at in part.failed}
    return Cells(
        figures=_picked(Comparison, [p.figures for p in parts], which),
        available=_picked(Spread, [p.available for p in parts], which),
        required=_picked(Spread, [p.required for p in parts], which),
        missing=from_each(lambda part: part.missing),
        rests_on=from_each(lambda part: part.rests_on),
        friction=parts[0].friction,
        # A check that fails in one of the states fails.
        failed={
            at: tuple(dict.fromkeys(name for part in parts for name in part.failed.get(at, ())))
            for at in every
        },
        states=tuple(states),
        state_of=which,
        frictions=tuple(part.friction for part in parts),
    )


def _picked(kind: type[Any], parts: Sequence[Any], which: NDArray[np.intp]) -> Any:
    """A record of arrays with each figure from the state that `which` names."""
    return kind(**{
        f.name: np.take_along_axis(
            np.stack([getattr(part, f.name) for part in parts]), which[None], axis=0)[0]
        for f in fields(kind)
    })
