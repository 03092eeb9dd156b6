"""The board's page as ready text."""

from dataclasses import replace

from app.comparison.board import Charted, work_out_cells
from app.comparison.board_view import BoardView, Order
from app.mechanics.inputs import CentrifugalClamp
from app.presentation.board_page import board_page
from tests.shop import shop_board


def test_the_count_and_the_state_are_said() -> None:
    page = board_page(shop_board(), None)
    assert page.found == "21 packs found"
    assert page.state == "oiled, sliding, new"
    assert page.title == "Board"
    assert page.empty is None
    one = board_page(replace(shop_board(), found=1), None)
    assert one.found == "1 pack found"


def test_engines_left_out_are_said_and_the_csv_is_of_those_shown() -> None:
    page = board_page(shop_board(engines=3), None)
    assert page.shown.startswith("The first 3 of 9 engines are shown")
    assert page.csv_address == "/board.csv?engine=e0&engine=e1&engine=e2"
    assert page.csv_all_address == "/board.csv"
    every = board_page(shop_board(), None)
    assert (every.shown, every.csv_address, every.csv_all_address) == ("", "/board.csv", "")


def test_the_form_keeps_what_it_has_no_box_for() -> None:
    view = BoardView(order=Order("capacity", None, True), unit="lbf_ft", packs=("p1",))
    page = board_page(shop_board(view), None)
    assert set(page.kept) == {("order", "-capacity"), ("unit", "lbf_ft"), ("pack", "p1")}


def test_a_phone_is_offered_each_engine_by_itself() -> None:
    page = board_page(shop_board(BoardView(wear_mm=None, order=Order())), None)
    assert len(page.engine_links) == len(shop_board().engines)
    assert page.engine_links[0][1] == "/?wear=worn&engine=e0"
    for j, (_, _, holding) in enumerate(page.engine_links):
        cells = [row.cells[j] for row in page.rows]
        count = sum(cell.chip == "holds" for cell in cells)
        assert holding.startswith(f"{count} of {len(cells)} hold" if count else "none holds")
    alone = board_page(shop_board(engines=1), None)
    assert alone.engine_links == ()
    assert alone.one_engine != ""


def test_the_page_s_number_is_in_the_title() -> None:
    board = replace(
        shop_board(BoardView(per=5, page=2)), found=21, first=5, packs=shop_board().packs[5:10]
    )
    packs = [p.inputs for p in board.packs]
    engines = [e.inputs for e in board.engines]
    board = replace(board, cells=work_out_cells(packs, engines, board.view.state))
    page = board_page(board, None)
    assert page.title == "Board, page 2"
    assert page.pager is not None
    assert page.pager.summary == "Packs 6–10 of 21"
    assert page.pager.previous == "/?per=5"
    assert page.pager.next == "/?page=3&per=5"
    assert [label for label, _, current in page.pager.pages if current] == ["2"]


def test_a_page_that_is_not_there_is_said() -> None:
    page = board_page(shop_board(BoardView(page=7)), None)
    assert page.pager is not None
    assert "there is no page 7" in page.pager.summary


def test_an_empty_catalogue_shows_the_first_three_steps_and_the_demo() -> None:
    board = replace(shop_board(), packs=(), all_packs=0, all_engines=(), engines=(), found=0)
    page = board_page(board, None)
    assert page.empty is not None
    assert [href for _, href in page.empty.steps] == ["/packs/new", "/engines/new", ""]
    assert "gripledger demo" in page.empty.text
    only_packs = board_page(replace(shop_board(), all_engines=(), engines=()), None)
    assert only_packs.empty is not None
    assert "21 packs entered" in only_packs.empty.heading
    assert [href for _, href in only_packs.empty.steps] == ["/engines/new", ""]


def test_nothing_found_offers_all_packs() -> None:
    board = shop_board()
    nothing = work_out_cells([], [e.inputs for e in board.engines], board.view.state)
    page = board_page(replace(board, packs=(), found=0, cells=nothing), None)
    assert page.found == "0 packs found"
    assert page.empty is not None
    assert page.empty.steps == (("Show all packs", "/"),)


def test_the_chart_is_drawn_with_the_board_s_own_cells() -> None:
    board = shop_board(engines=1)
    page = board_page(board, Charted("engine", board.packs, board.engines, board.cells))
    assert page.chart is not None
    assert page.chart.verdicts == tuple(row.cells[0].verdict for row in page.rows)


def test_the_speed_is_said_where_a_clamp_by_weights_is_shown() -> None:
    assert "each engine’s stated torque" in board_page(shop_board(), None).speed
    fixed = board_page(shop_board(BoardView(speed_rpm=5000.0)), None).speed
    assert "5000\xa0r/min, as chosen" in fixed
    board = shop_board()
    packs = tuple(p for p in board.packs if not isinstance(p.inputs.clamp, CentrifugalClamp))
    engines = [e.inputs for e in board.engines]
    cells = work_out_cells([p.inputs for p in packs], engines, board.view.state)
    assert board_page(replace(board, packs=packs, cells=cells), None).speed == ""


def test_one_engine_or_one_pack_is_a_list_with_its_own_heading() -> None:
    assert board_page(shop_board(), None).list is None
    page = board_page(shop_board(engines=1), None)
    assert page.list is not None
    assert page.heading == page.title == f"Packs for {page.one_engine}"


def test_the_printed_sheet_says_which_filters_are_in_use() -> None:
    view = BoardView(q="six", verdicts=("holds", "tight"), mounting="geared", packs=("p1", "p2"))
    page = board_page(shop_board(view), None)
    assert page.used == "name contains “six”; geared; torque holds or tight; 2 packs chosen"
    assert board_page(shop_board(), None).used == ""


def test_packs_side_by_side_take_the_state_the_engines_and_the_way_back_along() -> None:
    view = BoardView(wear_mm=None, engines=("e1",), q="six")
    page = board_page(shop_board(view), None)
    assert dict(page.side_kept) == {
        "wear": "worn",
        "from": "wear=worn&q=six&engine=e1",
        "engine": "e1",
    }
