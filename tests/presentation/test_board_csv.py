"""The board's CSV: to the last byte what is written cell by cell, whatever the blocks."""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from app.comparison.board import Board, Cells, EngineEntry, PackEntry
from app.comparison.board_view import BoardView
from app.presentation import board_csv
from app.presentation.board_csv import board_csv as csv_of_board
from app.presentation.csv_guard import Variant
from app.services.comparing import cells_of
from tests.benchmarks.catalogue import engine_inputs, pack_inputs
from tests.presentation.plain_board_csv import plain_csv
from tests.shop import shop_board

AT = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)
VIEWS = {
    "usual": BoardView(),
    "in another unit": BoardView(unit="lbf_ft"),
    "worn, at a speed": BoardView("oiled", "static", None, speed_rpm=6000.0),
    "the worst of all": BoardView(worst=("lubrication", "friction", "wear")),
    "the worst of two": BoardView(worst=("wear",), spline_friction=0.1),
}


def quick(board: Board, variant: Variant = "comma") -> str:
    return "".join(csv_of_board(board, cells_of, AT, "1.2.3", variant))


@pytest.mark.parametrize("variant", ["comma", "semicolon"])
@pytest.mark.parametrize("view", VIEWS.values(), ids=VIEWS)
def test_the_quick_way_writes_what_the_plain_way_writes(view: BoardView, variant: Variant) -> None:
    board = shop_board(view)
    assert quick(board, variant) == plain_csv(board, cells_of, AT, "1.2.3", variant)


def random_board(view: BoardView, packs: int = 60, engines: int = 9) -> Board:
    """Records of every kind, some of them with names that a spreadsheet would reckon with."""
    names = ("=1+1", "-two", 'five" pack', "a; b, c", "ordinary")
    return replace(
        shop_board(view),
        packs=tuple(
            PackEntry(f"p{i}", i, f"{names[i % 5]} {i}", p)
            for i, p in enumerate(pack_inputs(packs))
        ),
        engines=tuple(
            EngineEntry(f"e{i}", i, f"{names[-i % 5]} {i}", e)
            for i, e in enumerate(engine_inputs(engines))
        ),
    )


@pytest.mark.parametrize("view", VIEWS.values(), ids=VIEWS)
def test_records_of_every_kind_are_written_alike(view: BoardView) -> None:
    board = random_board(view)
    assert quick(board) == plain_csv(board, cells_of, AT, "1.2.3")
    assert '"\'=1+1 0"' in quick(board)


@pytest.mark.parametrize(("worked", "written"), [(1, 1), (20, 9), (30, 100), (10_000, 10_000)])
def test_blocks_change_nothing(
    monkeypatch: pytest.MonkeyPatch, worked: int, written: int
) -> None:
    board = random_board(BoardView(), packs=25, engines=7)
    whole = quick(board)
    monkeypatch.setattr(board_csv, "BLOCK_CELLS", worked)
    monkeypatch.setattr(board_csv, "WRITTEN_CELLS", written)
    assert quick(board) == whole


def test_figures_that_no_arithmetic_gives_are_written_alike_too() -> None:
    """Torques out of range, a doubt that is not known beside a value that is, signs of nothing."""
    board = random_board(BoardView(), packs=6, engines=6)
    odd = np.array([np.nan, np.inf, -np.inf, -0.0, 1e-9, 1e22])

    def odd_cells(asked: Board, first: int, last: int) -> Cells:
        cells = cells_of(asked, first, last)
        shape = cells.figures.ratio.shape

        def strewn(part: np.ndarray, turn: int) -> np.ndarray:
            places = np.arange(turn, turn + shape[1]) + np.arange(first, last)[:, None]
            return np.where(places % 5 == 0, odd[places % odd.size], part)

        f, a = cells.figures, cells.available
        return replace(
            cells,
            figures=replace(f, ratio=strewn(f.ratio, 0), ratio_std=strewn(f.ratio_std, 1),
                            p_slip=strewn(f.p_slip, 2),
                            ratio_without_factor=strewn(f.ratio_without_factor, 3)),
            available=replace(a, value=strewn(a.value, 4), low=strewn(a.low, 5)),
        )

    assert "".join(csv_of_board(board, odd_cells, AT, "1")) == plain_csv(
        board, odd_cells, AT, "1")


def test_the_first_block_is_one_pack() -> None:
    board = random_board(BoardView(), packs=5, engines=3)
    asked: list[tuple[int, int]] = []

    def noted(whole: Board, first: int, last: int) -> Cells:
        asked.append((first, last))
        return cells_of(whole, first, last)

    blocks = csv_of_board(board, noted, AT, "1")
    assert next(blocks).startswith('\ufeff"pack_id"')
    assert asked == []
    assert next(blocks).count("\r\n") == 3
    assert asked == [(0, 1)]
    assert sum(block.count("\r\n") for block in blocks) == 12
    assert asked == [(0, 1), (1, 5)]


def test_a_board_without_packs_or_engines_has_headings_alone() -> None:
    board = random_board(BoardView(), packs=2, engines=2)
    for empty in (replace(board, packs=()), replace(board, engines=())):
        assert quick(empty).count("\r\n") == 1
        assert quick(empty) == plain_csv(empty, cells_of, AT, "1.2.3")
