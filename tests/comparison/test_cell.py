"""One cell: its answer, what it lacks, its shares and cautions, and the draws beside it."""

import math
import warnings
from dataclasses import asdict, replace

import pytest

from app.comparison.cell import CellResult, evaluate
from app.comparison.inputs_list import InputLine
from app.comparison.run import compare
from app.mechanics.inputs import (
    CentrifugalClamp,
    EngineInputs,
    MeasuredTorque,
    PackInputs,
    Quantity,
    State,
)
from app.mechanics.monte_carlo import USUAL_SEED
from app.mechanics.tables import friction_for, friction_rows
from tests.mechanics.samples import (
    DISC_TABLE,
    WIRE_SPRING,
    coil_pack,
    curve_engine,
    every_engine,
    every_pack,
    load_pack,
    measured_engine,
    power_engine,
    q,
    table_pack,
    weights_pack,
)

STATE = State()


def codes(result):
    return {c.code for c in result.cautions}


def test_a_cell_answers_with_the_boards_own_figures():
    pack, engine = load_pack(), measured_engine()
    result, board = evaluate(pack, engine, STATE), compare([pack], [engine], STATE)
    assert (result.ratio.value, result.ratio.std, result.ratio.low, result.ratio.high) == (
        board.ratio[0, 0], board.ratio_std[0, 0], board.low[0, 0], board.high[0, 0])
    assert result.p_slip == board.p_slip[0, 0]
    assert result.capacity.value == board.capacity[0, 0]
    assert result.required.value == board.required[0, 0]
    assert result.ratio_without_factor.value == board.ratio_without_factor[0, 0]
    assert result.mounting == "geared"
    assert result.missing == ()


def test_without_the_factor_its_doubt_is_gone_too():
    result = evaluate(load_pack(), measured_engine(), STATE)
    bare = evaluate(load_pack(), measured_engine(service_factor=None), STATE).ratio
    without = result.ratio_without_factor
    assert (without.value, without.std, without.low, without.high) == pytest.approx(
        (bare.value, bare.std, bare.low, bare.high))


def test_heavy_is_judged_without_the_factor_against_the_teams_limit():
    pack, engine = load_pack(mounting="crankshaft"), measured_engine()
    result = evaluate(pack, engine, STATE)
    assert result.ratio.value < 3.0
    assert not result.heavy
    limit = result.ratio_without_factor.value
    assert evaluate(pack, engine, STATE, heavy_above=limit - 1e-9).heavy
    assert not evaluate(pack, engine, STATE, heavy_above=limit).heavy


def test_a_pack_alone_and_an_engine_alone_are_answered_for_their_side():
    pack_only = evaluate(load_pack(), None, STATE)
    assert pack_only.capacity.value == pytest.approx(57.024)
    assert (pack_only.required, pack_only.ratio, pack_only.p_slip) == (None, None, None)
    assert pack_only.verdict == "unknown"
    assert sum(share for _, share in pack_only.shares) == pytest.approx(1.0)
    engine_only = evaluate(None, measured_engine(), None)
    assert engine_only.required.value == pytest.approx(24.0 * 69 / 22 * 0.97 * 1.4)
    assert (engine_only.capacity, engine_only.mounting) == (None, "geared")
    ungeared = evaluate(None, measured_engine(primary_teeth=None), None)
    assert (ungeared.mounting, ungeared.missing) == ("crankshaft", ())
    assert evaluate(None, None, None) == CellResult()


def test_without_a_state_the_capacity_is_not_known():
    result = evaluate(load_pack(), measured_engine(), None)
    assert result.missing == ("state",)
    assert (result.capacity, result.ratio, result.verdict) == (None, None, "unknown")
    assert result.required is not None


def test_without_a_mounting_the_demand_is_not_known_but_the_capacity_is():
    result = evaluate(load_pack(mounting=None), measured_engine(), STATE, draws=1000)
    assert result.missing == ("pack.mounting",)
    assert (result.required, result.ratio, result.verdict) == (None, None, "unknown")
    assert result.capacity.value == pytest.approx(57.024)
    assert {name.split(".")[0] for name, _ in result.shares} == {"pack"}
    assert (result.drawn.ratio, result.drawn.required, result.drawn.p_slip) == (None, None, None)


@pytest.mark.parametrize(
    ("pack", "engine", "missing"),
    [
        (PackInputs(mounting="geared"), measured_engine(),
         ("pack.friction_plates", "pack.facing_od_mm", "pack.facing_id_mm",
          "pack.friction.oiled.sliding", "pack.clamp")),
        (load_pack(), EngineInputs(), ("engine.torque", "engine.primary_ratio")),
        (weights_pack(), None, ("engine",)),
        (weights_pack(), EngineInputs(torque=MeasuredTorque(q(20.0)), primary_teeth=(20, 60)),
         ("state.speed_rpm",)),
    ],
)
def test_what_is_missing_is_named_and_nothing_is_made_up(pack, engine, missing):
    result = evaluate(pack, engine, STATE, draws=1000)
    assert result.missing == missing
    assert (result.verdict, result.ratio, result.p_slip) == ("unknown", None, None)
    assert result.drawn.ratio is None


def test_coil_springs_without_an_entry_are_unknown_and_do_not_slip():
    result = evaluate(replace(coil_pack(), clamp=type(coil_pack().clamp)()), measured_engine(),
                      STATE)
    assert result.missing == ("pack.clamp.springs",)
    assert (result.verdict, result.capacity) == ("unknown", None)


def test_weights_carry_more_with_speed_and_their_capacity_has_the_speeds_doubt():
    engine = measured_engine(torque=MeasuredTorque(q(24.0), q(9000.0, 900.0)))
    result = evaluate(weights_pack(), engine, STATE)
    steady = evaluate(weights_pack(), engine, replace(STATE, speed_rpm=9000.0))
    assert result.capacity.value == pytest.approx(steady.capacity.value)
    assert result.capacity.std > steady.capacity.std
    assert ("engine.torque.speed_rpm") in dict(result.shares)
    unknown = evaluate(weights_pack(clamp=CentrifugalClamp()), engine, STATE)
    assert unknown.capacity is None


def test_published_friction_stands_in_and_is_said():
    facing = next(r.facing for r in friction_rows() if r.lubrication == "oiled")
    row = friction_for(facing, "oiled", "sliding")
    pack = load_pack(friction={}, facing=facing)
    result = evaluate(pack, measured_engine(), STATE)
    assert result.missing == ()
    assert "friction_from_table" in codes(result)
    line = next(n for n in result.inputs if n.path == "pack.friction.oiled.sliding")
    assert line.source == row.source


def test_shares_are_the_first_order_variance_of_the_ratio_largest_first():
    result = evaluate(load_pack(), measured_engine(), STATE)
    shares = dict(result.shares)
    assert sum(shares.values()) == pytest.approx(1.0)
    assert list(shares.values()) == sorted(shares.values(), reverse=True)
    relative = (result.ratio.std / result.ratio.value) ** 2
    assert shares["pack.friction.oiled.sliding"] == pytest.approx(0.1**2 / 3.0 / relative)
    assert shares["engine.service_factor"] == pytest.approx((0.1 / 1.4) ** 2 / 3.0 / relative)
    assert shares["pack.facing_od_mm"] == pytest.approx((0.1 / 176.0) ** 2 / 3.0 / relative)


def test_the_first_advice_is_the_largest_share_that_is_not_yet_measured():
    result = evaluate(load_pack(), measured_engine(), STATE)
    assert result.measure_next.path == "pack.friction.oiled.sliding"
    measured = load_pack(friction={("oiled", "sliding"): q(0.12, 0.012)})
    assert evaluate(measured, measured_engine(), STATE).measure_next is None
    estimated = replace(measured_engine(), service_factor=q(1.4, 0.1, "estimated"))
    assert evaluate(measured, estimated, STATE).measure_next == InputLine(
        "engine.service_factor", q(1.4, 0.1, "estimated"))


def test_spring_shares_are_numbered_by_group():
    second = replace(WIRE_SPRING, count=4, wire_mm=q(2.0, 0.05))
    shares = dict(evaluate(coil_pack(WIRE_SPRING, second), None, STATE).shares)
    assert shares["pack.clamp.springs.1.wire_mm"] > shares["pack.clamp.springs.0.wire_mm"] > 0.0


def test_no_doubt_at_all():
    exact = load_pack(facing_od_mm=q(100.0), facing_id_mm=q(76.0),
                      clamp=replace(load_pack().clamp, force_n=q(900.0), rate_n_per_mm=None),
                      friction={("oiled", "sliding"): q(0.12)})
    engine = EngineInputs(torque=MeasuredTorque(q(20.0)), primary_teeth=(20, 60))
    result = evaluate(exact, engine, STATE, draws=1000)
    assert result.ratio.low == result.ratio.value == result.ratio.high
    assert (result.ratio.std, result.p_slip) == (0.0, 1.0)
    assert all(share == 0.0 for _, share in result.shares)
    assert result.measure_next is None
    assert result.drawn.agrees


def test_draws_are_seeded_and_agree_with_the_interval():
    pack, engine = coil_pack(), measured_engine()
    first, again, other = (
        evaluate(pack, engine, STATE, draws=200_000, seed=seed) for seed in (5, 5, 6))
    assert asdict(first.drawn.ratio) == asdict(again.drawn.ratio)
    assert asdict(first.drawn.ratio) != asdict(other.drawn.ratio)
    assert first.drawn.agrees
    assert "intervals_differ" not in codes(first)
    half = (first.ratio.high - first.ratio.low) / 2.0
    assert first.drawn.ratio.low == pytest.approx(first.ratio.low, abs=0.1 * half)
    assert first.drawn.ratio.std == pytest.approx(first.ratio.std, rel=0.03)
    assert first.drawn.capacity.mean == pytest.approx(first.capacity.value, rel=0.01)
    assert first.drawn.p_slip == pytest.approx(first.p_slip, abs=0.025)


def test_seed_zero_is_a_seed_and_none_is_the_usual_one():
    def seed(asked):
        return evaluate(load_pack(), None, STATE, draws=1000, seed=asked).drawn

    assert (seed(0).seed, seed(None).seed) == (0, USUAL_SEED)
    assert seed(0).capacity.mean != seed(None).capacity.mean


def test_speed_is_drawn_once_for_both_sides_of_a_centrifugal_cell():
    engine = power_engine(torque=replace(power_engine().torque, speed_rpm=q(8000.0, 800.0)))
    result = evaluate(weights_pack(), engine, STATE, draws=200_000)
    assert result.drawn.ratio.std == pytest.approx(result.ratio.std, rel=0.05)


def test_intervals_that_differ_are_said():
    """Two rough lengths in a small difference bend the logarithm far beyond the first order."""
    rough = replace(WIRE_SPRING, free_length_mm=q(40.0, 6.0, "estimated"))
    result = evaluate(coil_pack(rough), measured_engine(), STATE, draws=50_000)
    assert result.drawn.agrees is False
    assert "intervals_differ" in codes(result)


def test_a_doubt_that_reaches_beyond_a_load_table_draws_no_interval_and_says_so():
    edge = table_pack(clamp=replace(DISC_TABLE, installed_deflection_mm=q(3.99, 0.05)))
    result = evaluate(edge, measured_engine(), STATE, draws=5_000)
    assert result.ratio is not None
    assert (result.drawn.ratio, result.drawn.capacity, result.drawn.p_slip) == (None, None, None)
    assert result.drawn.required is not None
    assert "draws_outside_table" in codes(result)
    assert "intervals_differ" not in codes(result)
    inside = evaluate(table_pack(), measured_engine(), STATE, draws=5_000)
    assert "draws_outside_table" not in codes(inside)


def test_a_deflection_beyond_the_table_is_unknown_and_says_why():
    beyond = table_pack(clamp=replace(DISC_TABLE, installed_deflection_mm=q(4.5, 0.05)))
    result = evaluate(beyond, measured_engine(), STATE)
    assert result.verdict == "unknown"
    assert "outside_load_table" in codes(result)


def test_rates_that_disagree_are_said():
    odd = replace(WIRE_SPRING, rate_n_per_mm=Quantity(20.0, std=0.3))
    assert "rates_disagree" in codes(evaluate(coil_pack(odd), None, STATE))
    assert "rates_disagree" not in codes(evaluate(coil_pack(), None, STATE))


@pytest.mark.parametrize("engine", every_engine())
@pytest.mark.parametrize("pack", every_pack())
def test_every_kind_of_cell_is_answered_with_finite_figures(pack, engine):
    result = evaluate(pack, engine, STATE, draws=1000)
    unknown_speed = isinstance(pack.clamp, CentrifugalClamp) and engine == every_engine()[2]
    assert result.missing == (("state.speed_rpm",) if unknown_speed else ())
    assert (result.ratio is None) == unknown_speed
    if result.ratio is not None:
        assert result.ratio.low <= result.ratio.value <= result.ratio.high
        assert math.isfinite(result.drawn.ratio.mean)
    assert all(math.isfinite(line.value) and math.isfinite(line.std) for line in result.working)


def test_numpy_warnings_stay_silent_over_unknown_and_slack_records():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        evaluate(PackInputs(), EngineInputs(), STATE, draws=1000)
        slack = coil_pack(replace(WIRE_SPRING, installed_length_mm=q(45.0, 0.1)))
        result = evaluate(slack, curve_engine(), STATE, draws=1000)
    assert (result.verdict, result.p_slip) == ("slips", 1.0)
