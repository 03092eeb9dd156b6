"""Every cell as text: word, ratio, interval, and what stands beside it."""

from dataclasses import replace

import pytest

from app.comparison.board_view import BoardView, Order
from app.presentation.board_cells import (
    cell_text,
    engine_heads,
    failed_words,
    name_head,
    pack_rows,
    required_rows,
)
from app.presentation.facts import board_facts
from app.presentation.torques import fast_ratio, state_words
from tests.shop import shop_board

VIEWS = [BoardView(), BoardView("dry", "static"), BoardView(wear_mm=None, unit="lbf_ft")]


@pytest.mark.parametrize("view", VIEWS)
def test_a_shown_figure_never_contradicts_its_verdict(view: BoardView) -> None:
    board = shop_board(view)
    facts = board_facts(board)
    for row, cells in zip(pack_rows(board, facts), facts, strict=True):
        for text, cell in zip(row.cells, cells, strict=True):
            assert text.verdict == cell.verdict
            if cell.ratio is None:
                assert text.missing
                assert (text.ratio, text.span) == ("", "")
                continue
            low = float(text.span.partition("–")[0])
            assert (float(text.ratio) < 1) == (text.verdict == "slips")
            if text.verdict != "slips":
                assert (low >= 1) == (text.verdict == "holds")
            assert text.ratio == fast_ratio(cell.ratio.value)


def test_a_cell_leads_to_its_working_in_the_same_state() -> None:
    board = shop_board(BoardView(wear_mm=None))
    cell = board_facts(board)[2][1]
    text = cell_text(cell, board.view, board.view.cell_query)
    assert text.address == "/cell/p2/e1?wear=worn"


def test_an_assumed_value_is_marked_beside_its_verdict_and_leads_to_the_value() -> None:
    board = shop_board()
    facts = board_facts(board)
    marked = 0
    for row in facts:
        for cell in row:
            text = cell_text(cell, board.view, "")
            assert bool(text.assumed) == bool(cell.rests_on)
            if cell.rests_on:
                marked += 1
                path = cell.rests_on[0].path.replace(".", "-").replace("_", "-")
                assert text.assumed.endswith(f"#input-{path}")
                assert cell.rests_on[0].quantity.how in text.assumed_words
    assert marked > 0


def test_heavy_is_by_the_limit_in_force() -> None:
    board = shop_board(BoardView(heavy_above=0.001))
    known = [c for row in board_facts(board) for c in row if c.ratio]
    assert all(cell_text(c, board.view, "").heavy for c in known)
    strict = replace(known[0], heavy=False)
    assert not cell_text(strict, board.view, "").heavy


def test_a_pack_whose_clamp_depends_on_speed_has_no_one_torque() -> None:
    board = shop_board()
    rows = {row.name: row for row in pack_rows(board, board_facts(board))}
    assert rows["Alder 3 automatic"].available == "by speed"
    assert rows["Alder 3"].available_span != ""


def test_what_the_engines_ask_is_told_for_each_mounting() -> None:
    board = shop_board()
    rows = required_rows(board, board_facts(board))
    assert [row.mounting for row in rows] == ["on the crankshaft", "geared"]
    assert all(len(row.texts) == len(board.engines) for row in rows)


def test_a_press_on_a_heading_turns_the_order_round() -> None:
    board = shop_board(engines=2)
    assert name_head(board).sorted == "ascending"
    assert name_head(board).href == "/?order=-name"
    first = engine_heads(board)[0]
    assert (first.sorted, first.href) == ("", "/?order=-margin:e0")
    sorted_by_margin = shop_board(BoardView(order=Order("margin", "e0", True), page=3), engines=2)
    first = engine_heads(sorted_by_margin)[0]
    assert (first.sorted, first.href) == ("descending", "/?order=margin:e0")


def test_a_failed_check_stands_before_the_torque_that_would_hold() -> None:
    board = shop_board()
    told = 0
    for row in board_facts(board):
        for cell in row:
            text = cell_text(cell, board.view, "?wear=worn")
            first = bool(cell.failed) and cell.verdict != "slips"
            assert (text.chip == "stopped") == first, text.title
            if not first:
                assert (text.chip, text.torque, text.failed) == (cell.verdict, "", "")
                continue
            told += 1
            assert text.word.lower() == failed_words(cell.failed[:1])
            assert text.verdict == cell.verdict
            assert text.checks == f"{text.address}#checks"
            assert text.failed == failed_words(cell.failed[1:])
            assert text.word.lower() in text.title
            if cell.ratio is not None:
                assert text.torque == f"torque {cell.verdict} {text.ratio} ({text.span})"
                assert text.torque in text.title
    assert told > 5


def test_a_cell_is_told_whole_to_who_cannot_see_the_table() -> None:
    board = shop_board()
    known = [c for row in board_facts(board) for c in row if not c.failed]
    cell = next(c for c in known if c.verdict == "holds")
    text = cell_text(cell, board.view, "")
    assert text.title.startswith(f"{cell.pack.name} on {cell.engine.name}: holds {text.ratio} (")
    assert "N·m available" in text.title
    assert text.title.endswith("N·m required")
    lacking = next(c for c in known if c.missing)
    assert ": not known; missing: " in cell_text(lacking, board.view, "").title


def test_a_clamp_by_weights_says_at_what_speed_it_is_judged() -> None:
    board = shop_board()
    rows = {row.name: row for row in pack_rows(board, board_facts(board))}
    told = {cell.speed for cell in rows["Alder 3 automatic"].cells}
    assert any(text.startswith("at ") and text.endswith("r/min") for text in told)
    assert {cell.speed for cell in rows["Alder 3"].cells} == {""}
    view = BoardView(speed_rpm=5000.0)
    rows = {row.name: row for row in pack_rows(shop_board(view), board_facts(shop_board(view)))}
    assert {cell.speed for cell in rows["Alder 3 automatic"].cells} == {"at 5000\xa0r/min"}


def test_a_cell_leads_back_to_the_view_that_it_was_opened_from() -> None:
    view = BoardView(q="alder", wear_mm=None)
    rows = pack_rows(shop_board(view), board_facts(shop_board(view)))
    assert rows[0].cells[0].address.endswith("?wear=worn&from=wear%3Dworn%26q%3Dalder")
    plain = BoardView(wear_mm=None)
    rows = pack_rows(shop_board(plain), board_facts(shop_board(plain)))
    assert rows[0].cells[0].address.endswith("?wear=worn")


def test_several_failed_checks_are_joined() -> None:
    assert failed_words(("bolts_up", "facing_pressure")) == "won’t bolt up, pressure too high"
    assert failed_words(()) == ""


def test_a_worst_cell_leads_to_its_own_state_and_names_it() -> None:
    view = BoardView(worst=("lubrication", "wear"), unit="lbf_ft")
    board = shop_board(view)
    seen = set()
    for row in board_facts(board):
        for cell in row:
            text = cell_text(cell, view, view.cell_query)
            assert cell.state is not None
            where = view.in_state(cell.state)
            assert text.address.endswith(where.cell_query)
            assert state_words(where) in text.title
            if cell.ratio is not None:
                seen.add(text.state)
    assert seen <= {"oiled, new", "oiled, worn", "dry, new", "dry, worn"}
    assert len(seen) > 1


def test_a_pack_whose_worst_state_differs_by_engine_has_no_one_torque() -> None:
    view = BoardView(worst=("friction", "wear"))
    board = shop_board(view)
    facts = board_facts(board)
    for row, cells in zip(pack_rows(board, facts), facts, strict=True):
        states = {cell.state for cell in cells}
        assert (row.available == "by state") == (len(states) > 1 and row.available != "by speed")
