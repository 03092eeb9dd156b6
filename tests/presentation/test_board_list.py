"""The board of one engine or one pack as a list."""

import re
from dataclasses import replace

from app.comparison.board import Board, PackPrice, work_out_cells
from app.comparison.board_view import BoardView, Order
from app.comparison.verdict import VERDICTS
from app.presentation.board_cells import pack_rows
from app.presentation.board_list import BoardList, board_list, price_text
from app.presentation.facts import board_facts
from tests.shop import shop_board


def of_engine(board: Board | None = None) -> BoardList:
    board = board or shop_board(engines=1)
    facts = board_facts(board)
    found = board_list(board, facts, pack_rows(board, facts))
    assert found is not None
    return found


def test_many_of_both_are_no_list() -> None:
    board = shop_board()
    facts = board_facts(board)
    assert board_list(board, facts, pack_rows(board, facts)) is None


def test_a_row_has_the_pack_its_cell_the_hand_force_and_its_lowest_price() -> None:
    board = shop_board(engines=1)
    price = PackPrice(39.9, "EUR", "Oxbow", "o1", "A pack")
    board = replace(board, prices={board.packs[0].public_id: price})
    found = of_engine(board)
    first, second = found.rows[:2]
    assert first.name == board.packs[0].name
    assert (first.price, first.seller, first.offer) == ("39.90\xa0EUR", "Oxbow", "/offers/o1")
    assert (second.price, second.offer) == ("", "")
    assert first.cell.address.startswith("/cell/p0/e0")
    assert any(row.hand.endswith("\xa0N") for row in found.rows)
    assert price_text(replace(price, currency="")) == "39.90"


def test_the_cheapest_is_of_those_that_hold_and_pass_every_check() -> None:
    board = shop_board(engines=1)
    facts = [row[0] for row in board_facts(board)]
    holding = [c for c in facts if c.verdict == "holds"]
    sound = [c for c in holding if not c.failed]
    failing = [c for c in holding if c.failed]
    prices = {c.pack.public_id: PackPrice(1.0, "EUR", "", "o", "x") for c in failing}
    prices |= {
        c.pack.public_id: PackPrice(50.0 + n, "EUR", "Oxbow", "o", "x")
        for n, c in enumerate(sound)
    }
    says = of_engine(replace(board, prices=prices)).says
    assert says.startswith(f"{len(facts)} packs shown: holds for {len(holding)}")
    if sound:
        name = sound[0].pack.name
        assert f"The cheapest that holds it is {name}: 50.00\xa0EUR, from Oxbow." in says
    else:
        assert "None of them holds it and passes every check." in says


def test_without_a_price_or_a_holding_pack_it_says_so() -> None:
    whole = shop_board()
    for verdict, told in (("holds", "no offer with a price"), ("slips", "None of them holds it")):
        cell = next(
            c for r in board_facts(whole) for c in r if c.verdict == verdict and not c.failed
        )
        cells = work_out_cells([cell.pack.inputs], [cell.engine.inputs], whole.view.state)
        one = replace(whole, packs=(cell.pack,), engines=(cell.engine,), cells=cells)
        assert told in of_engine(one).says


def test_it_can_be_ordered_by_margin_price_and_name() -> None:
    found = of_engine(shop_board(BoardView(order=Order("price")), engines=1))
    assert [label for label, _, now in found.orders if now] == ["lowest price"]
    assert [href for _, href, _ in found.orders] == [
        "/?order=-margin:e0", "/?order=price", "/?order=name",
    ]
    assert found.heads[3].sorted == "ascending"
    assert found.heads[3].href == "/?order=-price"


def test_one_pack_lists_its_engines() -> None:
    whole = shop_board()
    packs = whole.packs[:1]
    cells = work_out_cells([packs[0].inputs], [e.inputs for e in whole.engines], whole.view.state)
    board = replace(whole, view=BoardView(packs=("p0",)), packs=packs, cells=cells, found=1)
    found = of_engine(board)
    assert found.kind == "pack"
    assert found.heading == f"Engines for {packs[0].name}"
    assert [row.name for row in found.rows] == [e.name for e in whole.engines]
    assert found.rows[0].address == "/engines/e0"
    assert found.says.startswith(f"{len(whole.engines)} engines shown: ")


def test_the_cheapest_leads_to_its_cell_and_says_what_wear_does_to_it() -> None:
    whole = shop_board()
    told = set()
    for cell in (c for r in board_facts(whole) for c in r if c.verdict == "holds"):
        if cell.failed:
            continue
        state = whole.view.state
        cells = work_out_cells([cell.pack.inputs], [cell.engine.inputs], state)
        worn = work_out_cells(
            [cell.pack.inputs], [cell.engine.inputs], replace(state, wear_mm=None)
        )
        verdict = VERDICTS[int(worn.figures.verdict[0, 0])]
        key = cell.pack.public_id
        board = replace(
            whole, packs=(cell.pack,), engines=(cell.engine,), cells=cells,
            prices={key: PackPrice(9.0, "EUR", "", "o", "x")},
        )
        found = of_engine(board)
        assert found.best is not None
        assert (found.best.id, found.best.name) == (key, cell.pack.name)
        assert found.best.address == found.rows[0].cell.address
        assert (f"Worn to its limit: {verdict}, " in found.after) == (
            verdict in ("tight", "slips")
        )
        told.add(verdict)
    assert "holds" in told
    assert told & {"tight", "slips"}


def test_a_pack_that_does_not_bolt_up_says_why() -> None:
    board = shop_board()
    rows = pack_rows(board, board_facts(board))
    cells = [c for row in rows for c in row.cells if c.word == "Won’t bolt up"]
    assert cells
    for cell in cells:
        assert re.fullmatch(
            r"[\d.]+\xa0mm too (wide|high)|splines .+|(teeth|module) [\d.]+ for [\d.]+", cell.why
        )
        assert len(cell.why) < 20
        assert f"won’t bolt up ({cell.why})" in cell.title
    assert not any(c.why for row in rows for c in row.cells if c.chip != "stopped")
