"""The board as CSV, quickly: what a pack and an engine say is written once, figures from arrays.

Every cell reads as `csv_text` would write it.
"""

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime

import numpy as np

from app.comparison.board import Board, Cells, FrictionUsed, PackEntry, Spread
from app.comparison.board_view import BoardView, wear_text
from app.comparison.verdict import VERDICTS
from app.mechanics.traced import Array
from app.presentation.board_failed import chip_of
from app.presentation.columns import COLUMNS, RUN_COLUMNS
from app.presentation.csv_guard import BOM, Variant
from app.presentation.csv_text import csv_line, number_lines

BLOCK_CELLS = 16384
"""Cells that are worked out at a time."""
WRITTEN_CELLS = 1024
"""Cells that are written at a time, at the least one pack's."""
WORST = "worst"
"""In the columns of the run: each row's own state stands in its column `state`."""
_KEPT = 64
"""Rows of engines' torques whose text is kept: there is one for each mounting, as a rule."""

CellsOf = Callable[[Board, int, int], Cells]


def board_csv(
    board: Board, cells_of: CellsOf, at: datetime, version: str, variant: Variant = "comma"
) -> Iterator[str]:
    """The headings and one row for each cell of a board, in blocks of text.

    Args:
        board: packs and engines in their order; its own cells are not used.
        cells_of: gives the cells of a block of its packs, from one up to another.
        at: when the file was asked for, in UTC.
        version: the program's version.
        variant: ``comma``, or ``semicolon`` with decimal commas.
    """
    yield BOM + csv_line([*(c.csv_name for c in COLUMNS), *RUN_COLUMNS], variant) + "\r\n"
    writer = _Writer(board, _run(board.view, board.heavy_above, at, version), variant)
    width = max(1, len(board.engines))
    worked, written = max(1, BLOCK_CELLS // width), max(1, WRITTEN_CELLS // width)
    # One pack first, so that the first rows go out while the others are worked out.
    starts = (0, *range(1, len(board.packs), worked))
    for first, last in zip(starts, (*starts[1:], len(board.packs)), strict=True):
        cells = cells_of(board, first, last)
        for start in range(first, last, written):
            end = min(start + written, last)
            yield writer.rows(cells, range(start - first, end - first), board.packs[start:end])


def _run(view: BoardView, heavy_above: float, at: datetime, version: str) -> list[object]:
    """Facts of the run, in the order of `RUN_COLUMNS`."""
    wear = (view.wear if view.wear in ("new", "worn") else "stated", view.wear_mm)
    return [
        WORST if "lubrication" in view.worst else view.lubrication,
        WORST if "friction" in view.worst else view.friction,
        *((WORST, None) if "wear" in view.worst else wear),
        view.radius,
        view.speed_rpm,
        view.spline_friction,
        heavy_above,
        at.isoformat(),
        version,
    ]


class _Writer:
    """What all blocks of one file share."""

    def __init__(self, board: Board, run: Sequence[object], variant: Variant) -> None:
        self._variant = variant
        self._engines = [self._line(e.public_id, e.version, e.name) for e in board.engines]
        self._heavy_above = board.heavy_above
        self._run = self._line(*run)
        self._verdicts = [self._line(verdict) for verdict in VERDICTS]
        self._torques: dict[bytes, list[str]] = {}
        self._words: dict[tuple[str, ...], str] = {}

    def rows(self, cells: Cells, places: range, packs: Sequence[PackEntry]) -> str:
        """The rows of some packs of a block, at these places in it."""
        if not packs or not self._engines:
            return ""
        some = slice(places.start, places.stop)
        f, width = cells.figures, len(self._engines)
        readings = [f.ratio, f.ratio_std, f.low, f.high]
        # Without a ratio there is no doubt of it; the chance stands apart, for it is often tiny.
        spread = [np.where(np.isnan(f.ratio[some]), np.nan, part[some]) for part in readings]
        parts = [*spread, f.ratio_without_factor[some]]
        ratios = number_lines(np.stack([p.ravel() for p in parts], axis=1), self._variant)
        chances = number_lines(f.p_slip[some].reshape(-1, 1), self._variant)
        heavy = (f.ratio_without_factor[some] > self._heavy_above).ravel().tolist()
        codes = f.verdict[some].ravel().tolist()
        separator, lines = self._separator, []
        for n, (i, pack) in enumerate(zip(places, packs, strict=True)):
            row = slice(n * width, (n + 1) * width)
            columns = (
                [self._line(pack.public_id, pack.version, pack.name)] * width,
                self._engines,
                [self._line(pack.inputs.mounting)] * width,
                [self._verdicts[code] for code in codes[row]],
                self._four(cells.available, i),
                self._four(cells.required, i),
                ratios[row],
                chances[row],
                ["true" if one else "false" for one in heavy[row]],
                *self._said(cells, i),
                self._frictions(cells, i),
                self._shown(cells, i, codes[row]),
                [self._run] * width,
            )
            lines += [separator.join(cell) for cell in zip(*columns, strict=True)]
        return "\r\n".join(lines) + "\r\n"

    @property
    def _separator(self) -> str:
        return "," if self._variant == "comma" else ";"

    def _line(self, *values: object) -> str:
        return csv_line(values, self._variant)

    def _four(self, spread: Spread, row: int) -> list[str]:
        """A torque with its doubt, for each engine; written once where many rows are the same."""
        parts = [part[row] for part in (spread.value, spread.std, spread.low, spread.high)]
        if all(part.strides == (0,) for part in parts):
            return _torques(parts, slice(1), self._variant) * len(self._engines)
        key = b"".join(part.tobytes() for part in parts)
        found = self._torques.get(key)
        if found is None:
            found = _torques(parts, slice(None), self._variant)
            if len(self._torques) < _KEPT:
                self._torques[key] = found
        return found

    def _said(self, cells: Cells, row: int) -> tuple[list[str], ...]:
        """Worst state, failed checks, missing and assumed inputs of each cell of a row."""
        at = [(row, column) for column in range(len(self._engines))]
        if cells.state_of is None:
            states = [""] * len(at)
        else:
            words = [
                self._line(f"{s.lubrication} {s.friction} {wear_text(s.wear_mm)}")
                for s in cells.states
            ]
            states = [words[number] for number in cells.state_of[row].tolist()]
        return (
            states,
            [self._text(cells.failed.get(cell, ())) for cell in at],
            [self._text(cells.missing.get(cell, ())) for cell in at],
            [
                self._line(" ".join([line.path for line in cells.rests_on.get(cell, ())]))
                for cell in at
            ],
        )

    def _shown(self, cells: Cells, row: int, codes: Sequence[int]) -> list[str]:
        """The word that the board shows first in each cell of a row."""
        return [
            self._text((chip_of(VERDICTS[code], cells.failed.get((row, column), ())).word,))
            for column, code in enumerate(codes)
        ]

    def _text(self, words: tuple[str, ...]) -> str:
        found = self._words.get(words)
        if found is None:
            found = self._line(" ".join(words))
            if len(self._words) < _KEPT:
                self._words[words] = found
        return found

    def _frictions(self, cells: Cells, row: int) -> list[str]:
        if cells.state_of is None:
            return [self._friction(cells.friction[row])] * len(self._engines)
        used = [self._friction(in_state[row]) for in_state in cells.frictions]
        return [used[number] for number in cells.state_of[row].tolist()]

    def _friction(self, used: FrictionUsed) -> str:
        q = used.quantity
        if q is None:
            return self._line(None, None, None, used.source)
        return self._line(q.value, q.standard_uncertainty, q.how, used.source)


def _torques(parts: Sequence[Array], columns: slice, variant: Variant) -> list[str]:
    four = np.stack([part[columns] for part in parts], axis=1)
    return number_lines(np.where(np.isnan(four[:, :1]), np.nan, four), variant)
