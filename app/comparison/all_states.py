"""One pack against one engine in every state side by side."""

from dataclasses import dataclass, replace

import numpy as np

from app.comparison.cell import Reading
from app.comparison.run import compare
from app.comparison.verdict import VERDICTS, Verdict
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import EngineInputs, FrictionKind, Lubrication, PackInputs, State
from app.mechanics.missing import missing_in_pack

FRICTIONS: tuple[tuple[Lubrication, FrictionKind], ...] = (
    ("oiled", "sliding"),
    ("oiled", "static"),
    ("dry", "sliding"),
    ("dry", "static"),
)
WEARS: tuple[float | None, ...] = (0.0, None)


@dataclass(frozen=True, slots=True)
class StateAnswer:
    """The verdict in one state; `missing` holds what this pack lacks for it."""

    state: State
    verdict: Verdict
    ratio: Reading | None
    missing: tuple[str, ...] = ()


def all_states(
    pack: PackInputs, engine: EngineInputs, state: State
) -> tuple[tuple[StateAnswer, ...], ...]:
    """Dry and oiled, static and sliding, new and worn.

    Args:
        pack: the pack.
        engine: the engine.
        state: gives the radius model and the speed [r/min]; its other parts are varied.

    Returns:
        One row for each friction of FRICTIONS, in it one answer for each wear of WEARS.

    Range: any records.
    Source: app.comparison.run.compare, one cell at a time.
    """
    return tuple(
        tuple(
            _answer(pack, engine, replace(state, lubrication=oil, friction=kind, wear_mm=wear))
            for wear in WEARS
        )
        for oil, kind in FRICTIONS
    )


def _answer(pack: PackInputs, engine: EngineInputs, state: State) -> StateAnswer:
    board = compare([pack], [engine], state)
    if np.isnan(board.ratio[0, 0]):
        known = with_friction(pack, state.lubrication, state.friction)
        return StateAnswer(state, "unknown", None, tuple(missing_in_pack(known, state)))
    figures = (board.ratio, board.ratio_std, board.low, board.high)
    ratio = Reading(*(float(a[0, 0]) for a in figures))
    return StateAnswer(state, VERDICTS[board.verdict[0, 0]], ratio)
