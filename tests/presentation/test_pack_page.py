from dataclasses import replace

import pytest

from app.comparison.cell import evaluate
from app.comparison.run import compare
from app.comparison.verdict import VERDICTS
from app.comparison.working_lines import WorkingLine
from app.documents import Offer
from app.presentation.pack_page import offer_line, pack_page, pressure_words
from app.presentation.readouts import STATE
from tests.factories import make_engine_document, make_pack

PACK = make_pack()
ENGINE = make_engine_document()


def test_the_page_shows_the_figures_of_the_evaluation_itself() -> None:
    view = pack_page("p1", 3, PACK, PACK.to_inputs(), [("e1", "E", ENGINE.to_inputs())], "me")
    result = evaluate(PACK.to_inputs(), None, STATE)
    assert result.capacity is not None
    carried = view.readouts[0]
    assert float(carried.text) == pytest.approx(result.capacity.value, rel=0.005)
    assert carried.unit == "N·m"
    assert carried.range.count("–") == 1
    assert not view.missing


def test_the_verdicts_are_those_of_the_board_by_margin() -> None:
    others = {
        "much": make_engine_document("much", service_factor=0.2),
        "little": make_engine_document("little", service_factor=0.4),
        "slips": make_engine_document("slips", service_factor=9.0),
        "slips more": make_engine_document("slips more", service_factor=12.0),
        "open": make_engine_document("open", torque=None),
    }
    engines = [(name, name, engine.to_inputs()) for name, engine in others.items()]
    view = pack_page("p1", 1, PACK, PACK.to_inputs(), engines, "me")
    assert [line.name for line in view.verdicts] == [
        "much",
        "little",
        "slips",
        "slips more",
        "open",
    ]
    for line in view.verdicts:
        board = compare([PACK.to_inputs()], [others[line.name].to_inputs()], STATE)
        assert line.verdict == VERDICTS[board.verdict[0, 0]]
        assert line.href == f"/cell/p1/{line.name}"
    assert view.verdicts[-1].ratio == "not known"


def test_what_is_missing_leads_to_its_box() -> None:
    bare = make_pack(facing_od_mm=None, clamp=None)
    view = pack_page("p1", 1, bare, bare.to_inputs(), [], "me")
    found = {link.text: link.href for link in view.missing}
    assert found["Facing outside diameter"] == "/packs/p1/edit#f-facing-od-mm"
    assert found["Clamp"] == "/packs/p1/edit#f-clamp"
    assert view.readouts[0].text == "not known"


def test_what_to_measure_next_is_the_largest_share_that_is_not_measured() -> None:
    view = pack_page("p1", 1, PACK, PACK.to_inputs(), [], "me")
    line = evaluate(PACK.to_inputs(), None, STATE).measure_next
    assert line is not None
    assert line.path == "pack.friction.oiled.sliding"
    assert view.measure_next.startswith("Friction coefficient, oiled, sliding: ")
    assert view.measure_href == "/packs/p1/edit#f-friction-oiled-sliding"


def test_an_offer_is_listed_with_its_claim() -> None:
    offer = Offer.model_validate({"name": "Set", "price": 29, "currency": "EUR"})
    line = offer_line("o1", 2, offer)
    assert (line.price, line.claimed, line.href) == ("29.00\u00a0EUR", "", "/offers/o1")


@pytest.mark.parametrize(
    ("clamp", "limit", "words"),
    [
        (0.351, 0.7, "50\u00a0% of the 0.7\u00a0MPa that its facing stands"),
        (1.4, 0.7, "2 times the 0.7\u00a0MPa that its facing stands"),
        (0.351, None, "how much its facing stands is not known"),
    ],
)
def test_pressure_is_told_against_what_the_facing_stands(
    clamp: float, limit: float | None, words: str
) -> None:
    pack = replace(PACK.to_inputs(), facing=None, pressure_limit_mpa=limit)
    line = WorkingLine("facing_pressure_mean_mpa", clamp, 0.0, "MPa", "", "", "")
    assert pressure_words(pack, line) == words
    assert pressure_words(pack, None) == ""
