"""Displacement classes as JSON: the figures of the board, not rounded."""

import json

from app.comparison.class_board import ClaimMade
from app.presentation.class_interface import classes_answer
from tests.presentation.test_classes_page import VIEW, board, entry


def test_the_answer_has_the_board_s_own_figures() -> None:
    claims = [ClaimMade("strong", "Big", "Ann", 50, 640, "o1")]
    found = board(entry("Strong", 1500.0), entry("Loose", 900.0, None), claims=claims)
    answer = classes_answer(found, VIEW, "four_stroke", 7)
    json.dumps(answer, allow_nan=False)
    assert (answer["revision"], answer["packs_found"], answer["page"]) == (7, 2, 1)
    row = found.demands["geared"][3]
    assert answer["classes"][3]["geared"]["high_nm"] == row.high_nm
    assert answer["classes"][3]["displacement_cc"] == row.row.displacement_cc
    strong, loose = answer["packs"]
    assert strong["capacity_nm"]["low"] == found.packs[0].capacity.low
    assert strong["whole_cc"] == found.packs[0].held.whole_cc
    (claim,) = strong["claims"]
    assert (claim["offer"], claim["judgement"]) == ("o1", found.packs[0].claims[0].verdict)
    assert (loose["whole_cc"], loose["half_cc"]) == (None, None)
    assert loose["why_not"] == "its mounting is not recorded"


def test_a_page_beyond_the_last_is_the_last() -> None:
    found = board(*(entry(f"Pack {n}", 900.0 + n) for n in range(5)))
    view = VIEW.but(per=2, page=9)
    answer = classes_answer(found, view, "four_stroke", 1)
    assert (answer["page"], [p["name"] for p in answer["packs"]]) == (3, ["Pack 4"])
