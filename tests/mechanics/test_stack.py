"""Records as columns: unknown stays NaN, counts stay counts, filled-up groups weigh nothing."""

import math
from dataclasses import replace

import numpy as np

from app.mechanics import stack
from app.mechanics.inputs import (
    CoilClamp,
    DiscClamp,
    EngineInputs,
    LoadClamp,
    PackInputs,
    Quantity,
    State,
)
from tests.mechanics.samples import (
    GIVEN_SPRING,
    POINT_SPRING,
    WIRE_SPRING,
    bmep_engine,
    coil_pack,
    curve_engine,
    disc_pack,
    load_pack,
    measured_engine,
    power_engine,
    q,
    table_pack,
    weights_pack,
)

OILED = State()


def test_every_pack_lands_in_its_row_with_its_kind_and_mounting():
    packs = [coil_pack(), load_pack(), disc_pack(), table_pack(), weights_pack(),
             PackInputs()]
    sheet = stack.stack_packs(packs, OILED)
    assert sheet.records == 6
    assert sheet.kind[:, 0].tolist() == [0, 3, 1, 2, 4, -1]
    assert sheet.mounting.tolist() == [0, 1, 0, 0, 1, -1]
    assert sheet.has(LoadClamp)[:, 0].tolist() == [False, True, False, False, False, False]
    assert sheet.columns["pack.facing_od_mm"].value[:2, 0].tolist() == [100.0, 100.0]
    assert math.isnan(sheet.columns["pack.facing_od_mm"].value[5, 0])
    assert sheet.weights[2].tolist() == [2.0, 2.0]
    assert sheet.weights[4].tolist() == [6.0, 1.0]
    assert np.isnan(sheet.weights[0]).all()
    assert len(sheet.tables[3]) == 4
    assert sheet.tables[0] == ()


def test_a_figure_that_nobody_has_is_unknown_for_all():
    sheet = stack.stack_packs([PackInputs(), PackInputs()], OILED)
    assert "pack.facing_od_mm" not in sheet.columns
    figure = sheet.get("pack.facing_od_mm")
    assert np.isnan(figure.value).all()
    assert figure.value.shape == (2, 1)
    assert figure.partials == {}


def test_limits_and_standard_uncertainties_go_to_their_own_arrays():
    sheet = stack.stack_packs([load_pack(facing_od_mm=Quantity(90.0, std=0.3)), load_pack()],
                              OILED)
    column = sheet.columns["pack.facing_od_mm"]
    assert column.limit.tolist() == [[0.0], [0.1]]
    assert column.std.tolist() == [[0.3], [0.0]]


def test_whole_numbers_become_floats_so_that_draws_are_not_cut_off():
    sheet = stack.stack_packs([load_pack(facing_od_mm=Quantity(90, plus_minus=1))], OILED)
    assert sheet.columns["pack.facing_od_mm"].value.dtype == np.float64


def test_friction_is_that_of_the_state_and_of_no_other():
    pack = load_pack(friction={("dry", "static"): q(0.4, 0.04)})
    dry = stack.stack_packs([pack], State("dry", "static"))
    assert dry.get(dry.friction).value == 0.4
    oiled = stack.stack_packs([pack], OILED)
    assert np.isnan(oiled.get(oiled.friction).value)


def test_missing_groups_are_filled_up_with_no_springs():
    sheet = stack.stack_packs([coil_pack(), coil_pack(WIRE_SPRING, POINT_SPRING, GIVEN_SPRING),
                               load_pack()], OILED)
    assert sheet.count.tolist() == [[6.0, 0.0, 0.0], [6.0, 5.0, 3.0], [0.0, 0.0, 0.0]]
    assert sheet.widths[stack.SPRING + "wire_mm"] == 3
    assert sheet.widths["pack.facing_od_mm"] == 1


def test_coil_springs_that_nobody_entered_are_unknown_and_not_a_clamp_of_zero():
    sheet = stack.stack_packs([replace(coil_pack(), clamp=CoilClamp())], OILED)
    assert math.isnan(sheet.count[0, 0])


def test_an_unknown_number_of_springs_or_faces_is_unknown():
    sheet = stack.stack_packs(
        [coil_pack(replace(WIRE_SPRING, count=None), friction_plates=None)], OILED)
    assert math.isnan(sheet.count[0, 0])
    assert math.isnan(sheet.surfaces[0, 0])


def test_the_testers_limit_is_one_scale_for_all_points_and_only_where_there_are_points():
    sheet = stack.stack_packs([coil_pack(POINT_SPRING, GIVEN_SPRING)], OILED)
    tester = sheet.columns[stack.SPRING + "tester"]
    assert np.array_equal(tester.value, [[1.0, math.nan]], equal_nan=True)
    assert tester.limit.tolist() == [[0.02, 0.0]]


def test_every_engine_lands_in_its_row_with_the_way_its_torque_is_known():
    engines = [measured_engine(), power_engine(), bmep_engine(strokes=2), curve_engine(),
               EngineInputs()]
    sheet = stack.stack_engines(engines)
    assert sheet.kind[:, 0].tolist() == [0, 1, 2, 3, -1]
    assert np.array_equal(sheet.revolutions[:, 0], [2.0, math.nan, 1.0, math.nan, math.nan],
                          equal_nan=True)
    assert sheet.curve_at_wheel[:, 0].tolist() == [False, False, False, True, False]
    assert sheet.curve_speed[3, 0] == 5000.0
    assert np.isnan(sheet.curve_speed[[0, 1, 2, 4], 0]).all()


def test_an_absent_service_factor_is_exactly_one():
    sheet = stack.stack_engines([EngineInputs(), measured_engine()])
    factor = sheet.columns["engine.service_factor"]
    assert factor.value.tolist() == [[1.0], [1.4]]
    assert factor.limit.tolist() == [[0.0], [0.1]]


def test_a_disc_spring_of_a_board_keeps_its_own_count():
    single = replace(disc_pack().clamp, in_parallel=1, in_series=3)
    sheet = stack.stack_packs([disc_pack(), disc_pack(clamp=single), disc_pack(clamp=DiscClamp())],
                              OILED)
    assert sheet.weights.tolist() == [[2.0, 2.0], [1.0, 3.0], [1.0, 1.0]]


def test_some_packs_of_a_sheet_keep_their_order_and_their_figures():
    packs = [coil_pack(), load_pack(), coil_pack(WIRE_SPRING, POINT_SPRING), disc_pack()]
    some = stack.stack_packs(packs, OILED).rows(np.array([3, 1]))
    apart = stack.stack_packs([packs[3], packs[1]], OILED)
    assert some.records == 2
    assert some.kind.tolist() == apart.kind.tolist()
    assert some.tables == apart.tables
    for name, column in apart.columns.items():
        assert np.array_equal(some.columns[name].value[:, :1], column.value, equal_nan=True), name
