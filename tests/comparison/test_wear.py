"""Clamp and capacity over wear, and the wear that uses up the margin."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from app.comparison.run import compare
from app.comparison.wear import POINTS, wear_curve, wear_reserve
from app.mechanics.inputs import (
    EngineInputs,
    LoadClamp,
    MeasuredTorque,
    PackInputs,
    Quantity,
    State,
)
from tests.mechanics import samples

STATE = State(speed_rpm=6000.0)


def exact_engine(torque: float = 20.0) -> EngineInputs:
    """No doubt at all, so that the ratio's interval is the capacity's over the torque."""
    return EngineInputs(torque=MeasuredTorque(Quantity(torque), Quantity(6000.0)),
                        primary_ratio=Quantity(3.0))


@pytest.mark.parametrize("pack", samples.every_pack(), ids=lambda p: type(p.clamp).__name__)
def test_the_band_is_that_of_the_board_at_each_wear(pack: PackInputs) -> None:
    engine = exact_engine()
    curve = wear_curve(pack, STATE, 1.2, points=4, engine=engine)
    assert curve.wear.tolist() == pytest.approx([0.0, 0.4, 0.8, 1.2])
    for i, wear in enumerate(curve.wear):
        board = compare([pack], [engine], replace(STATE, wear_mm=float(wear)))
        required = board.required[0, 0]
        assert curve.capacity[i] == pytest.approx(board.capacity[0, 0], rel=1e-12)
        assert curve.low[i] == pytest.approx(board.low[0, 0] * required, rel=1e-12)
        assert curve.high[i] == pytest.approx(board.high[0, 0] * required, rel=1e-12)
        assert curve.low[i] < curve.capacity[i] < curve.high[i]
        # T = μ z F R with the sample's 12 faces and 44 mm.
        assert curve.clamp[i] == pytest.approx(
            curve.capacity[i] * 1000.0 / (0.12 * 12 * 44.0), rel=1e-9)


def test_the_engine_s_doubtful_speed_widens_the_band_of_weights() -> None:
    pack, state = samples.weights_pack(mounting="crankshaft"), State()
    engine = EngineInputs(torque=MeasuredTorque(Quantity(20.0), samples.q(6000.0, 300.0)))
    curve = wear_curve(pack, state, 0.5, points=2, engine=engine)
    for i, wear in enumerate(curve.wear):
        board = compare([pack], [engine], replace(state, wear_mm=float(wear)))
        assert curve.low[i] == pytest.approx(20.0 * board.low[0, 0], rel=1e-12)
        assert curve.high[i] == pytest.approx(20.0 * board.high[0, 0], rel=1e-12)
    sure = wear_curve(pack, replace(state, speed_rpm=6000.0), 0.5, points=2, engine=engine)
    assert sure.low[0] > curve.low[0]
    assert sure.high[0] < curve.high[0]


def test_usual_points_and_what_is_not_known() -> None:
    curve = wear_curve(samples.load_pack(clamp=LoadClamp(Quantity(900.0))), STATE, 2.0)
    assert curve.wear.shape == (POINTS,)
    # Without a rate only the new pack is known.
    assert curve.clamp[0] == 900.0
    assert np.all(np.isnan(curve.clamp[1:]))
    assert np.all(np.isnan(wear_curve(samples.weights_pack(), STATE, 1.0, 3).clamp))
    table = wear_curve(samples.table_pack(), STATE, 3.0, 4)
    assert np.isnan(table.clamp).tolist() == [False, False, False, True]


def test_friction_of_the_table_counts() -> None:
    pack = samples.load_pack(friction={}, facing="paper")
    assert wear_curve(pack, STATE, 1.0, 2).capacity[0] == pytest.approx(0.12 * 12 * 900 * 0.044)


@pytest.mark.parametrize(
    ("clamp", "torque"),
    [("coil", 40.0), ("coil", 66.0), ("load", 15.0), ("disc", 120.0), ("table", 60.0)],
)
def test_at_the_reserve_the_ratio_is_one(clamp: str, torque: float) -> None:
    pack = {"coil": samples.coil_pack(), "load": samples.load_pack(mounting="crankshaft"),
            "disc": samples.disc_pack(), "table": samples.table_pack()}[clamp]
    engine = exact_engine(torque)
    reserve = wear_reserve(pack, engine, STATE)
    assert reserve.at_margin_gone is not None
    assert reserve.at_margin_gone > 0.0
    worn = replace(STATE, wear_mm=reserve.at_margin_gone)
    assert compare([pack], [engine], worn).ratio[0, 0] == pytest.approx(1.0, abs=1e-9)


def test_the_state_s_own_wear_is_not_counted() -> None:
    pack, engine = samples.coil_pack(), exact_engine(40.0)
    assert wear_reserve(pack, engine, STATE) == wear_reserve(
        pack, engine, replace(STATE, wear_mm=0.7))


def loaded(**changed: Any) -> PackInputs:
    # 57.024 N·m new, falling by 60/900 a millimetre.
    return samples.load_pack(mounting="crankshaft", **changed)


@pytest.mark.parametrize(
    ("torque", "limit", "first", "told"),
    [
        # 900 (1 − 1/1.1)/60 = 1.364 mm against 1.5 and 1.3 mm.
        (51.84, 1.5, "margin", "gone at 1.36 mm of stack wear, before the facings' limit of 1.50"),
        (51.84, 1.3, "limit", "gone at 1.36 mm of stack wear, after the facings' limit of 1.30"),
        (51.84, None, "not known", "gone at 1.36 mm of stack wear; the facings' limit is not"),
        (60.0, 1.5, "margin", "no margin even when new"),
    ],
)
def test_which_comes_first(torque: float, limit: float | None, first: str, told: str) -> None:
    pack = loaded(stack_wear_limit_mm=None if limit is None else Quantity(limit))
    reserve = wear_reserve(pack, exact_engine(torque), STATE)
    assert reserve.first == first
    assert reserve.at_limit == limit
    assert told in reserve.words
    assert reserve.at_margin_gone == pytest.approx(0.0 if torque == 60.0 else 15.0 / 11.0)


def test_what_is_needed_is_said() -> None:
    rateless = wear_reserve(loaded(clamp=LoadClamp(Quantity(900.0))), exact_engine(), STATE)
    assert (rateless.at_margin_gone, rateless.first) == (None, "not known")
    assert "needs a rate" in rateless.words
    unknown = wear_reserve(loaded(clamp=None), exact_engine(), STATE)
    assert (unknown.at_margin_gone, unknown.first) == (None, "not known")


def test_weights_press_harder_as_they_wear() -> None:
    pack = samples.weights_pack(mounting="crankshaft")
    reserve = wear_reserve(pack, exact_engine(), STATE)
    assert (reserve.at_margin_gone, reserve.first) == (None, "limit")
    assert "does not use up" in reserve.words


def test_a_table_says_nothing_below_its_points() -> None:
    # The points end at 0.5 mm, 2 mm of wear below the installed 2.5 mm.
    table = replace(samples.DISC_TABLE, points=samples.DISC_TABLE.points[1:])
    pack = samples.table_pack(clamp=table)
    engine = exact_engine(20.0)
    near = wear_reserve(pack, engine, STATE)  # its limit is 1.5 mm, as far as the points go
    assert (near.at_margin_gone, near.first) == (None, "limit")
    far = wear_reserve(replace(pack, stack_wear_limit_mm=Quantity(2.0)), engine, STATE)
    assert far.first == "not known"
    assert "up to 1.50 mm" in far.words
    assert far.at_margin_gone is None
    assert not math.isnan(far.at_limit or math.nan)
