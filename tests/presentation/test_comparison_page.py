from app.comparison.board_view import BoardView
from app.documents import SavedComparison
from app.presentation.comparison_page import (
    comparison_row,
    comparison_sheet,
    sheet_facts,
    what_words,
)
from tests.shop import shop_board


def test_the_sheet_says_state_limits_rule_time_data_and_program() -> None:
    facts = dict(sheet_facts(BoardView(wear_mm=None), 3.0, 17, "0.1.0", "2026-11-25 09:00 UTC"))
    assert facts["State"] == "oiled, sliding, worn to each pack’s limit"
    assert facts["Limits"].startswith("called heavy above a ratio of 3")
    assert facts["Rule"].startswith("Holds: the lower end")
    assert (facts["Data"], facts["Worked out"]) == ("catalogue revision 17", "2026-11-25 09:00 UTC")
    assert facts["Program"].startswith("Gripledger 0.1.0, model ")


def test_a_large_comparison_says_how_much_is_shown() -> None:
    board = shop_board(engines=2, found=500)
    sheet = comparison_sheet("k", 3, SavedComparison(name="A"), board, "saved", (), ["Gone"])
    assert (sheet.path, sheet.lost) == ("/comparisons/k", ("Gone",))
    assert sheet.shown == f"The first {len(board.packs)} of 500 packs are shown."
    assert len(sheet.board.rows) == len(board.packs)
    assert sheet.engines[0].href == f"/engines/{board.engines[0].public_id}"


def test_a_line_of_the_list_says_what_is_compared() -> None:
    row = comparison_row("k", SavedComparison(name="A", packs=["p"]), BoardView(), "2026-11-25")
    assert (row.name, row.href, row.what) == ("A", "/comparisons/k", "1 pack × all engines")
    assert what_words(0, 2) == "packs by filter × 2 engines"
