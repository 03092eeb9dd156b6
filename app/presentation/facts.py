"""One cell of a board as plain values, which tables, charts and the CSV all write from."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import isnan

from app.comparison.board import Board, Cells, EngineEntry, FrictionUsed, PackEntry, Spread
from app.comparison.cell import Reading
from app.comparison.failed_checks import FailedCheck
from app.comparison.inputs_list import InputLine
from app.comparison.verdict import VERDICTS, Verdict
from app.mechanics.inputs import State


@dataclass(frozen=True, slots=True)
class CellFacts:
    """Everything that a board knows of one cell; torques in N·m, what is not known is None.

    `state` is the worst one's, None where the whole board has one state.
    """

    pack: PackEntry
    engine: EngineEntry
    verdict: Verdict
    available: Reading | None
    required: Reading | None
    ratio: Reading | None
    ratio_without_factor: float | None
    p_slip: float | None
    heavy: bool
    missing: tuple[str, ...]
    rests_on: tuple[InputLine, ...]
    friction: FrictionUsed
    failed: tuple[FailedCheck, ...]
    state: State | None


def facts_of(
    packs: tuple[PackEntry, ...],
    engines: tuple[EngineEntry, ...],
    cells: Cells,
    heavy_above: float,
) -> Iterator[list[CellFacts]]:
    """The cells of a block, one list for each pack.

    Args:
        packs: the block's packs, in the order of the arrays.
        engines: likewise.
        cells: their figures.
        heavy_above: ratio without the service factor above which a pack is called heavy.
    """
    f = cells.figures
    rows = zip(
        _readings(cells.available),
        _readings(cells.required),
        _readings(Spread(f.ratio, f.ratio_std, f.low, f.high)),
        f.ratio_without_factor.tolist(),
        f.p_slip.tolist(),
        f.verdict.tolist(),
        strict=True,
    )
    for i, (available, required, ratio, without, chance, codes) in enumerate(rows):
        worst = None if cells.state_of is None else cells.state_of[i].tolist()
        yield [
            CellFacts(
                pack=packs[i],
                engine=engine,
                verdict=VERDICTS[codes[j]],
                available=available[j],
                required=required[j],
                ratio=ratio[j],
                ratio_without_factor=_known(without[j]),
                p_slip=_known(chance[j]),
                heavy=without[j] > heavy_above,
                missing=cells.missing.get((i, j), ()),
                rests_on=cells.rests_on.get((i, j), ()),
                friction=cells.friction[i] if worst is None else cells.frictions[worst[j]][i],
                failed=cells.failed.get((i, j), ()),
                state=None if worst is None else cells.states[worst[j]],
            )
            for j, engine in enumerate(engines)
        ]


def board_facts(board: Board) -> list[list[CellFacts]]:
    """The shown cells of a board, one list for each pack."""
    return list(facts_of(board.packs, board.engines, board.cells, board.heavy_above))


def _known(figure: float) -> float | None:
    return None if isnan(figure) else figure


def _readings(spread: Spread) -> Iterator[list[Reading | None]]:
    parts = (spread.value, spread.std, spread.low, spread.high)
    for row in zip(*(part.tolist() for part in parts), strict=True):
        yield [
            None if isnan(value) else Reading(value, std, low, high)
            for value, std, low, high in zip(*row, strict=True)
        ]
