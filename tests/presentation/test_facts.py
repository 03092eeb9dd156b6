"""A board's arrays as plain values."""

from app.presentation.facts import board_facts
from tests.shop import shop_board


def test_what_is_not_known_is_none_and_every_cell_is_there() -> None:
    board = shop_board()
    facts = board_facts(board)
    assert [len(row) for row in facts] == [len(board.engines)] * len(board.packs)
    for row in facts:
        for cell in row:
            lacking = [cell.ratio, cell.p_slip, cell.ratio_without_factor]
            assert all(x is None for x in lacking) == (cell.verdict == "unknown")
            assert bool(cell.missing) == (cell.verdict == "unknown")


def test_figures_are_plain_floats() -> None:
    cell = next(c for row in board_facts(shop_board()) for c in row if c.ratio)
    assert cell.ratio is not None
    assert type(cell.ratio.value) is float
    assert type(cell.p_slip) is float
    assert cell.heavy in (True, False)
