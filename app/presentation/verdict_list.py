"""One record against all others, as a short list of verdicts."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.comparison.failed_checks import FailedCheck, failed_checks
from app.comparison.run import Comparison, compare
from app.comparison.verdict import VERDICTS, Verdict
from app.mechanics.inputs import EngineInputs, PackInputs
from app.presentation.board_failed import failed_words
from app.presentation.numbers import NOT_KNOWN, probability_text, ratio_text
from app.presentation.readouts import STATE

SHOWN = 12
"""Lines of a list of verdicts; the board has the rest."""

LOOKED_AT = 5
"""So many times the lines shown are looked at for failed checks."""

_ORDER: tuple[Verdict, ...] = ("holds", "tight", "slips", "unknown")
_FAILING = _ORDER.index("slips")
"""From here on a failed check changes nothing: the torque is short already."""


@dataclass(frozen=True)
class VerdictLine:
    """One cell of a record against others; `failed` names checks that outrank its torque."""

    name: str
    href: str
    verdict: Verdict
    ratio: str
    interval: str
    chance: str
    failed: str = ""


def verdicts_of_pack(
    public_id: str,
    pack: PackInputs,
    engines: Sequence[tuple[str, str, EngineInputs]],
    shown: int = SHOWN,
) -> tuple[VerdictLine, ...]:
    """The pack against each engine (id, name, figures); so many lines at most."""
    board = compare([pack], [engine for _, _, engine in engines], STATE)
    names = [(name, f"/cell/{public_id}/{key}") for key, name, _ in engines]
    cells = _looked_at(board, [(0, j, *name) for j, name in enumerate(names)], shown)
    at = [cell[1] for cell in cells]
    failed = failed_checks([pack], [engines[j][2] for j in at], STATE, board.capacity[:, at])
    return _lines(board, [(cell, failed.get((0, n), ())) for n, cell in enumerate(cells)], shown)


def verdicts_of_engine(
    public_id: str, engine: EngineInputs, packs: Sequence[tuple[str, str, PackInputs]]
) -> tuple[VerdictLine, ...]:
    """The engine against each pack (id, name, figures)."""
    board = compare([pack for _, _, pack in packs], [engine], STATE)
    names = [(name, f"/cell/{key}/{public_id}") for key, name, _ in packs]
    cells = _looked_at(board, [(i, 0, *name) for i, name in enumerate(names)], SHOWN)
    at = [cell[0] for cell in cells]
    failed = failed_checks([packs[i][2] for i in at], [engine], STATE, board.capacity[at])
    return _lines(board, [(cell, failed.get((n, 0), ())) for n, cell in enumerate(cells)], SHOWN)


_Cell = tuple[int, int, str, str]


def _looked_at(board: Comparison, cells: Sequence[_Cell], shown: int) -> list[_Cell]:
    """The cells whose checks are looked at: more than are shown, as some may fail."""
    ordered = sorted(cells, key=lambda cell: verdict_key(board, cell[0], cell[1]))
    return ordered[: LOOKED_AT * shown]


def _lines(
    board: Comparison, cells: Sequence[tuple[_Cell, tuple[FailedCheck, ...]]], shown: int
) -> tuple[VerdictLine, ...]:
    """So many lines, by margin from the greatest down; what fails a check follows what holds.

    Where there are more, those that hold with the least margin are chosen, then the tight ones: a
    far greater margin only costs effort at the lever.
    """

    def stands(found: tuple[_Cell, tuple[FailedCheck, ...]]) -> tuple[int, float]:
        (i, j, _, _), failed = found
        place, ratio = verdict_key(board, i, j)
        # Holds, tight, the same with a failed check, slips, not known.
        return (place + 2 if place >= _FAILING or failed else place), ratio

    def margin(found: tuple[_Cell, tuple[FailedCheck, ...]]) -> tuple[int, float]:
        place, ratio = stands(found)
        return place, -abs(ratio)

    chosen = sorted(cells, key=stands)[:shown]
    return tuple(_line(board, *cell, failed) for cell, failed in sorted(chosen, key=margin))


def verdict_key(board: Comparison, i: int, j: int) -> tuple[int, float]:
    """The order of a cell: holds, tight, slips, not known; within one the least ratio first.

    Where a pack slips the greatest ratio leads: it is nearest to holding.
    """
    word = VERDICTS[board.verdict[i, j]]
    ratio = 0.0 if word == "unknown" else float(board.ratio[i, j])
    return _ORDER.index(word), -ratio if word == "slips" else ratio


def _line(
    board: Comparison, i: int, j: int, name: str, href: str, failed: tuple[FailedCheck, ...]
) -> VerdictLine:
    """One cell in words; the figures stay true to the verdict."""
    word = VERDICTS[board.verdict[i, j]]
    if word == "unknown":
        return VerdictLine(name, href, word, NOT_KNOWN, "", "")
    ratio, low, high, chance = (
        float(a[i, j]) for a in (board.ratio, board.low, board.high, board.p_slip)
    )
    interval = f"{ratio_text(low)}–{ratio_text(high)}"
    beside = failed_words(failed) if word in ("holds", "tight") else ""
    return VerdictLine(
        name, href, word, ratio_text(ratio), interval, probability_text(chance), beside
    )
