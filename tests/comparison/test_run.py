"""A board: axis order, both mountings, clamps that depend on speed, blocks, what is unknown."""

import math
from dataclasses import fields, replace

import numpy as np
import pytest

from app.comparison import run
from app.comparison.run import Comparison, Side, carried, compare, speed_cell, work_out_sides
from app.comparison.verdict import VERDICTS
from app.mechanics import doubt
from app.mechanics.friction_source import table_friction
from app.mechanics.inputs import EngineInputs, MeasuredTorque, PackInputs, Quantity, State
from app.mechanics.tables import friction_rows
from app.mechanics.traced import Column, Traced
from tests.mechanics.samples import (
    GIVEN_SPRING,
    coil_pack,
    every_engine,
    every_pack,
    load_pack,
    measured_engine,
    power_engine,
    q,
    weights_pack,
)
from tests.properties.random_records import Maker

STATE = State()
EXACT = {"facing_od_mm": q(100.0), "facing_id_mm": q(76.0), "friction": {
    ("oiled", "sliding"): q(0.12)}}


def exact_pack(force, **changes):
    return load_pack(clamp=replace(load_pack().clamp, force_n=q(force)), **{**EXACT, **changes})


def exact_engine(torque, **changes):
    return EngineInputs(torque=MeasuredTorque(q(torque), q(5000.0)), **changes)


def test_rows_are_packs_and_columns_are_engines():
    packs = [exact_pack(f, mounting="crankshaft") for f in (500.0, 1000.0)]
    engines = [exact_engine(t) for t in (20.0, 40.0, 63.36)]
    board = compare(packs, engines, STATE)
    capacity = [0.12 * 12 * f * 44.0 / 1000.0 for f in (500.0, 1000.0)]
    assert board.capacity.tolist() == [[pytest.approx(c)] * 3 for c in capacity]
    assert board.required.tolist() == [[20.0, 40.0, 63.36]] * 2
    assert board.ratio == pytest.approx(np.outer(capacity, [1 / 20.0, 1 / 40.0, 1 / 63.36]))
    assert np.array_equal(board.low, board.ratio)
    assert np.array_equal(board.high, board.ratio)
    assert not board.ratio_std.any()
    assert [[VERDICTS[v] for v in row] for row in board.verdict] == [
        ["holds", "slips", "slips"], ["holds", "holds", "holds"]]
    assert board.p_slip.tolist() == [[0.0, 1.0, 1.0], [0.0, 0.0, 0.0]]


def test_each_pack_is_asked_for_torque_at_its_own_mounting():
    engine = exact_engine(20.0, primary_ratio=q(3.0), primary_efficiency=q(0.98))
    board = compare([exact_pack(900.0), exact_pack(900.0, mounting="crankshaft"),
                     exact_pack(900.0, mounting=None)], [engine], STATE)
    assert board.required[:2, 0].tolist() == pytest.approx([58.8, 20.0])
    assert np.isnan(board.ratio[2, 0])
    assert VERDICTS[board.verdict[2, 0]] == "unknown"


def test_the_interval_is_that_of_both_sides_cumulants():
    pack, engine = load_pack(), measured_engine()
    board, sides = compare([pack], [engine], STATE), work_out_sides([pack], [engine], STATE)
    cumulants = doubt.ratio_cumulants(sides.packs.cumulants, sides.engines[1].cumulants)
    low, high = doubt.interval(board.ratio[0], cumulants)
    assert (board.low[0, 0], board.high[0, 0]) == pytest.approx((low[0], high[0]))
    assert board.ratio_std[0, 0] == pytest.approx(
        board.ratio[0, 0] * math.sqrt(sides.packs.relative_variance[0]
                                      + sides.engines[1].relative_variance[0]))
    assert board.low[0, 0] < board.ratio[0, 0] < board.high[0, 0]


def test_the_ratio_without_the_factor_is_that_of_the_same_engine_without_one():
    with_, without = measured_engine(), measured_engine(service_factor=None)
    board = compare([load_pack()], [with_, without], STATE)
    assert board.ratio_without_factor[0] == pytest.approx([board.ratio[0, 1]] * 2)
    assert board.ratio[0, 0] == pytest.approx(board.ratio[0, 1] / 1.4)


def test_a_clamp_by_weights_depends_on_each_engines_speed_at_its_own_mounting():
    slow, fast = (exact_engine(20.0, primary_ratio=q(3.0)) for _ in range(2))
    fast = replace(fast, torque=MeasuredTorque(q(20.0), q(9000.0)))
    unknown = replace(fast, torque=MeasuredTorque(q(20.0)))
    packs = [weights_pack(), weights_pack(mounting="crankshaft"), load_pack()]
    board = compare(packs, [slow, fast, unknown], STATE)

    def clamp(rpm):
        omega = rpm * math.pi / 30.0
        pull = 6 * 0.020 * 0.045 * omega**2 / math.tan(math.radians(35.0))
        return max(0.0, pull - 150.0)

    expected = [[0.12 * 12 * clamp(n / i) * 44.0 / 1000.0 for n in (5000.0, 9000.0)]
                for i in (3.0, 1.0)]
    assert board.capacity[:2, :2] == pytest.approx(np.array(expected))
    assert np.isnan(board.ratio[:2, 2]).all()
    assert not np.isnan(board.ratio[2]).any()
    assert VERDICTS[board.verdict[0, 2]] == "unknown"
    stated = compare(packs, [unknown], replace(STATE, speed_rpm=9000.0))
    assert stated.capacity[:2, 0] == pytest.approx(board.capacity[:2, 1])


def test_a_speed_that_drives_both_sides_is_one_variable():
    """Power over speed sets the demand, the same speed the clamp: their doubts do not add."""
    pack = weights_pack(**EXACT)
    engine = power_engine(torque=replace(power_engine().torque, power_kw=q(15.0)),
                          primary_ratio=q(3.0))
    sides = work_out_sides([pack], [engine], STATE)
    cell = speed_cell(sides.pack_sheet, sides, STATE, 1, 0)
    relative = cell.ratio.partials["engine.torque.speed_rpm"] * 8000.0 / cell.ratio.value
    force = cell.capacity.value[0, 0] / (0.12 * 12 * 44.0 / 1000.0)
    # F grows with n², T falls with 1/n: ln R has the slope 2 (F + F_return)/F + 1.
    assert relative[0, 0] == pytest.approx(2.0 * (force + 150.0) / force + 1.0)
    board = compare([pack], [engine], STATE)
    assert board.ratio[0, 0] == pytest.approx(cell.ratio.value[0, 0])


def test_weights_that_do_not_engage_slip_for_certain():
    idle = exact_engine(20.0, primary_ratio=q(3.0))
    board = compare([weights_pack()], [idle], replace(STATE, speed_rpm=500.0))
    assert (board.ratio[0, 0], board.p_slip[0, 0], board.low[0, 0]) == (0.0, 1.0, 0.0)
    assert VERDICTS[board.verdict[0, 0]] == "slips"


def test_slack_springs_slip_for_certain_without_a_crash():
    slack = coil_pack(replace(GIVEN_SPRING, installed_length_mm=q(40.0, 0.1)))
    board = compare([slack], every_engine(), STATE)
    for name, value in {"ratio": 0.0, "low": 0.0, "high": 0.0, "ratio_std": 0.0, "p_slip": 1.0,
                        "capacity": 0.0}.items():
        assert (getattr(board, name) == value).all(), name
    assert (board.verdict == VERDICTS.index("slips")).all()


def test_the_table_stands_in_for_a_pack_without_its_own_friction():
    facing = next(r.facing for r in friction_rows() if r.lubrication == "oiled")
    mu, _ = table_friction(facing, "oiled", "sliding")
    packs = [load_pack(facing=facing, friction={}), load_pack(friction={})]
    board = compare(packs, [measured_engine()], STATE)
    assert board.capacity[0, 0] == pytest.approx(mu.value * 12 * 900.0 * 44.0 / 1000.0)
    assert VERDICTS[board.verdict[1, 0]] == "unknown"


@pytest.mark.parametrize("engines", [[], every_engine()])
@pytest.mark.parametrize("packs", [[], every_pack()])
def test_boards_of_any_size_keep_their_shape(packs, engines):
    board = compare(packs, engines, STATE)
    for f in fields(Comparison):
        assert getattr(board, f.name).shape == (len(packs), len(engines)), f.name


def test_unknown_records_are_unknown_and_spoil_no_other():
    packs, engines = [PackInputs(), load_pack()], [EngineInputs(), measured_engine()]
    board = compare(packs, engines, STATE)
    alone = compare([load_pack()], [measured_engine()], STATE)
    assert [[VERDICTS[v] for v in row] for row in board.verdict] == [
        ["unknown", "unknown"], ["unknown", VERDICTS[alone.verdict[0, 0]]]]
    assert board.low[1, 1] == alone.low[0, 0]
    assert np.isnan(board.p_slip[0]).all()


@pytest.mark.parametrize("cells", [1, 3, 7])
def test_the_size_of_a_block_changes_no_bit(monkeypatch, cells):
    whole = compare(every_pack(), every_engine(), STATE)
    monkeypatch.setattr(run, "BLOCK_CELLS", cells)
    blocks = compare(every_pack(), every_engine(), STATE)
    for f in fields(Comparison):
        assert np.array_equal(getattr(whole, f.name), getattr(blocks, f.name), equal_nan=True)


def test_a_side_holds_value_cumulants_and_relative_variance_by_record():
    columns = {"x": Column(np.array([[2.0], [0.0], [np.nan]]), np.full((3, 1), 0.2),
                           np.zeros((3, 1)))}
    side = Side.of(3.0 * Traced.of("x", columns["x"]), columns)
    assert np.array_equal(side.value, [6.0, 0.0, np.nan], equal_nan=True)
    assert side.relative_variance.tolist() == [pytest.approx(0.01 / 3.0), 0.0, 0.0]
    assert side.cumulants[:, 0] == pytest.approx(doubt.rectangular_log_cumulants(0.1))
    last = side.rows(np.array([2, 0]))
    assert np.array_equal(last.value, [np.nan, 6.0], equal_nan=True)
    assert last.cumulants[:, 1].tolist() == side.cumulants[:, 0].tolist()


def test_a_ratio_that_is_exactly_one_holds():
    pack = exact_pack(1000.0, mounting="crankshaft")
    board = compare([pack], [exact_engine(0.12 * 12 * 1000.0 * 44.0 / 1000.0)], STATE)
    assert board.ratio[0, 0] == 1.0
    assert VERDICTS[board.verdict[0, 0]] == "holds"
    doubtful = replace(pack, clamp=replace(pack.clamp, force_n=Quantity(1000.0, plus_minus=1.0)))
    assert VERDICTS[compare([doubtful], [exact_engine(63.36)], STATE).verdict[0, 0]] == "tight"


def test_what_packs_carry_without_doubts_has_the_same_bits() -> None:
    packs = [Maker(seed).pack() for seed in range(40)]
    for state in (State(), State("dry", "static", None, spline_friction=0.1)):
        whole = work_out_sides(packs, [EngineInputs()], state).packs.value
        np.testing.assert_array_equal(carried(packs, state), whole)
