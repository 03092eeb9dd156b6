"""Packs side by side."""

from dataclasses import replace

from app.comparison.board import PackPrice, work_out_cells
from app.comparison.board_view import BoardView
from app.presentation.board_side import NOT_STATED, SidePage, side_page, too_few
from tests.shop import shop_board, shop_documents


def page_of(only: bool = False, chosen: int = 3) -> SidePage:
    whole = shop_board()
    packs = whole.packs[:3]
    cells = work_out_cells(
        [p.inputs for p in packs], [e.inputs for e in whole.engines], whole.view.state
    )
    price = PackPrice(12.0, "EUR", "Oxbow", "o1", "A pack")
    board = replace(
        whole,
        view=BoardView(came_from="q=six"),
        packs=packs,
        cells=cells,
        prices={packs[0].public_id: price},
    )
    documents = {p.public_id: d for p, d in zip(packs, shop_documents()[0], strict=False)}
    return side_page(board, documents, chosen, only, "/side?other")


def test_every_row_tells_of_every_pack() -> None:
    page = page_of()
    assert len(page.packs) == 3
    assert [part.heading for part in page.parts][:2] == ["Verdicts", "In brief"]
    for part in page.parts:
        for row in part.rows:
            assert len(row.cells or row.texts) == 3, row.label
    brief = {row.label: row.texts for row in page.parts[1].rows}
    assert brief["Lowest price"] == ("12.00\xa0EUR, Oxbow", "no offer", "no offer")
    assert page.back == "/?q=six"
    assert "six" not in page.asks


def test_what_a_pack_does_not_state_is_said() -> None:
    texts = {text for part in page_of().parts for row in part.rows for text in row.texts}
    assert NOT_STATED in texts


def test_only_differences_leaves_out_what_is_the_same_and_counts_it() -> None:
    every, some = page_of(), page_of(only=True)
    rows = [row for part in every.parts for row in part.rows]
    kept = [row for part in some.parts for row in part.rows]
    assert kept == [row for row in rows if row.differs]
    assert every.alike == some.alike == len(rows) - len(kept) > 0


def test_verdicts_differ_where_word_or_figures_do() -> None:
    (row, *_) = page_of().parts[0].rows
    same = replace(row, cells=(row.cells[0],) * 3)
    assert not same.differs
    other = replace(row.cells[0], ratio="9.99")
    assert replace(row, cells=(row.cells[0], other)).differs


def test_too_many_and_too_few_are_said() -> None:
    assert page_of(chosen=7).told == "The first 5 of 7 packs are shown."
    assert page_of().told == ""
    few = too_few(BoardView(came_from="q=six"))
    assert "Tick two to five packs" in few.told
    assert few.back == "/?q=six"
    assert too_few(BoardView()).back == "/"
