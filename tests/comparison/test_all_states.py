"""All states side by side are the single states."""

from app.comparison.all_states import FRICTIONS, WEARS, all_states
from app.comparison.cell import evaluate
from app.mechanics.inputs import State
from tests.factories import make_engine_document, make_pack
from tests.shop import shop


def test_each_answer_is_the_cell_in_that_state() -> None:
    packs, engines = shop()
    asked = State(radius="uniform_pressure", speed_rpm=5000.0)
    known = 0
    for pack in packs:
        rows = all_states(pack.inputs, engines[0].inputs, asked)
        assert [row[0].state.lubrication for row in rows] == [oil for oil, _ in FRICTIONS]
        for row in rows:
            assert [answer.state.wear_mm for answer in row] == list(WEARS)
            for answer in row:
                assert (answer.state.radius, answer.state.speed_rpm) == ("uniform_pressure", 5000.0)
                one = evaluate(pack.inputs, engines[0].inputs, answer.state)
                assert (answer.verdict, answer.ratio) == (one.verdict, one.ratio)
                known += answer.ratio is not None
    assert known > 10


def test_a_state_without_a_coefficient_says_so() -> None:
    pack = make_pack(stack_wear_limit_mm=0.8).to_inputs()
    rows = all_states(pack, make_engine_document().to_inputs(), State())
    assert [answer.verdict == "unknown" for answer in rows[0]] == [False, False]
    assert [answer.missing for answer in rows[1]] == [("pack.friction.oiled.static",)] * 2
    worn_only = all_states(make_pack().to_inputs(), make_engine_document().to_inputs(), State())
    assert worn_only[0][1].missing == ("pack.stack_wear_limit_mm",)
