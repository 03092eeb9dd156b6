"""What a cell's torque figure leaves open, worked out together."""

from dataclasses import replace

import pytest

from app.comparison.beyond import HEAVY_TARGET, USUAL_TARGET, beyond
from app.comparison.changes import changes
from app.comparison.run import compare
from app.comparison.wear import wear_reserve
from app.errors import BadInput
from app.mechanics.inputs import (
    CentrifugalClamp,
    CurveTorque,
    EngineInputs,
    MeasuredTorque,
    PackInputs,
    Quantity,
    State,
)

STATE = State()


def plates():
    return PackInputs(
        name="a", friction_plates=6, facing_od_mm=Quantity(140.0), facing_id_mm=Quantity(104.0),
        mounting="geared", friction={("oiled", "sliding"): Quantity(0.12, plus_minus=0.012)},
        stack_wear_limit_mm=Quantity(1.0),
    )


ENGINE = EngineInputs(
    name="e", torque=MeasuredTorque(Quantity(12.0), Quantity(7000.0)), primary_ratio=Quantity(3.0))
WEIGHTS = replace(plates(), clamp=CentrifugalClamp(
    6, Quantity(60.0), Quantity(40.0), Quantity(30.0), Quantity(100.0)))


def test_it_gathers_what_the_single_questions_answer():
    found = beyond(WEIGHTS, ENGINE, STATE)
    assert found.required_nm == pytest.approx(compare([WEIGHTS], [ENGINE], STATE).required[0, 0])
    assert found.reserve == wear_reserve(WEIGHTS, ENGINE, STATE)
    assert found.target == USUAL_TARGET
    assert list(found.options) == changes(WEIGHTS, ENGINE, STATE, USUAL_TARGET)
    assert found.limit_mm == 1.0


def test_only_weights_have_a_curve_over_speed():
    assert beyond(WEIGHTS, ENGINE, STATE).speed is not None
    assert beyond(replace(WEIGHTS, clamp=None), ENGINE, STATE).speed is None


def test_the_curve_over_speed_passes_the_engines_last_speed():
    assert beyond(WEIGHTS, ENGINE, STATE).speed.speed[-1] == pytest.approx(10_500.0)
    curved = replace(ENGINE, torque=CurveTorque(((3000.0, 8.0), (9000.0, 12.0))))
    assert beyond(WEIGHTS, curved, STATE).speed.speed[-1] == pytest.approx(10_800.0)


def test_a_heavy_pack_is_solved_downwards_and_a_wanted_ratio_wins():
    assert beyond(WEIGHTS, ENGINE, STATE, heavy=True).target == HEAVY_TARGET
    assert beyond(WEIGHTS, ENGINE, STATE, 0.9, heavy=True).target == 0.9
    with pytest.raises(BadInput):
        beyond(WEIGHTS, ENGINE, STATE, -1.0)


def test_what_is_missing_leaves_its_part_out():
    bare = beyond(PackInputs(name="?"), EngineInputs(name="?"), STATE)
    assert bare.curve is None
    assert bare.required_nm is None
    assert bare.options == ()
    assert bare.reserve.first == "not known"
    assert {c.outcome for c in bare.checks} == {"not known"}


def test_the_usual_target_brings_the_lower_end_to_one():
    doubtful = replace(WEIGHTS, friction={("oiled", "sliding"): Quantity(0.12, plus_minus=0.05)})
    board = compare([doubtful], [ENGINE], STATE)
    found = beyond(doubtful, ENGINE, STATE)
    needed = board.ratio[0, 0] / board.low[0, 0]
    assert needed > USUAL_TARGET
    assert needed <= found.target < needed + 0.0101
