import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.comparison.cell import evaluate
from app.comparison.slip_load import ring_positions, slip_load, with_springs
from app.mechanics.inputs import PackInputs, State
from tests.mechanics.samples import (
    GIVEN_SPRING,
    OILED_SLIDING,
    POINT_SPRING,
    WIRE_SPRING,
    coil_pack,
    disc_pack,
    load_pack,
    table_pack,
    weights_pack,
)


@pytest.mark.parametrize(
    "pack",
    [coil_pack(), coil_pack(WIRE_SPRING, POINT_SPRING), load_pack(), disc_pack(), table_pack()],
)
def test_the_load_is_that_of_the_cell_s_working(pack: PackInputs) -> None:
    result = evaluate(pack, None, OILED_SLIDING)
    steps = {line.name: line.value for line in result.working}
    load = slip_load(pack, OILED_SLIDING)
    assert load.clamp_n == steps["clamp_n"]
    assert load.surfaces == steps["surfaces"]
    assert load.effective_radius_mm == steps["effective_radius_mm"]
    assert load.predicted == result.capacity


@given(st.integers(1, 6))
def test_the_clamp_goes_with_the_springs_that_are_fitted(springs: int) -> None:
    whole, some = (slip_load(with_springs(coil_pack(), k), OILED_SLIDING) for k in (6, springs))
    assert whole.clamp_n is not None
    assert some.clamp_n == pytest.approx(whole.clamp_n * springs / 6)
    assert some.predicted is not None
    # T = μ z F R by hand.
    radius = (100.0 + 76.0) / 4.0
    assert some.predicted.value == pytest.approx(0.12 * 12 * some.clamp_n * radius / 1000.0)


def test_positions_are_those_that_all_groups_share() -> None:
    nested = coil_pack(GIVEN_SPRING, GIVEN_SPRING)
    assert ring_positions(coil_pack()) == 6
    assert ring_positions(nested) == 3
    assert ring_positions(coil_pack(WIRE_SPRING, POINT_SPRING)) is None
    assert ring_positions(load_pack()) is None
    assert ring_positions(coil_pack(replace(WIRE_SPRING, count=17))) is None
    assert with_springs(load_pack(), 3) == load_pack()


def test_what_is_not_known_is_none_and_the_rest_is_there() -> None:
    load = slip_load(coil_pack(friction={}), OILED_SLIDING)
    assert load.predicted is None
    assert load.clamp_n is not None
    assert load.effective_radius_mm == 44.0
    assert slip_load(PackInputs(), OILED_SLIDING).surfaces is None


def test_weights_press_by_the_speed_of_their_shaft() -> None:
    pack = weights_pack(mounting="crankshaft")
    assert slip_load(pack, State()).clamp_n is None
    loads = [slip_load(pack, State(), rpm).clamp_n or 0.0 for rpm in (4000.0, 8000.0)]
    # n m r ω²/tan α − F, so the centrifugal part is four times as large at twice the speed.
    assert (loads[1] + 150.0) / (loads[0] + 150.0) == pytest.approx(4.0)
    assert math.isfinite(loads[1])
