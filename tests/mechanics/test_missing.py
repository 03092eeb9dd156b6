"""What a record lacks is named by the path of the figure, and exactly what it lacks."""

from dataclasses import fields, replace

import numpy as np
import pytest

from app.mechanics.friction_source import TESTED
from app.mechanics.inputs import (
    BmepTorque,
    CentrifugalClamp,
    CoilClamp,
    CurveTorque,
    DiscClamp,
    DiscTableClamp,
    EngineInputs,
    LoadClamp,
    LoadPoint,
    MeasuredTorque,
    PackInputs,
    PowerTorque,
    SpringGroup,
    State,
)
from app.mechanics.missing import missing_in_engine, missing_in_pack
from app.mechanics.sides import engine_side, pack_side
from app.mechanics.stack import stack_engines, stack_packs
from app.mechanics.traced import Traced
from tests.mechanics.samples import (
    DISC_TABLE,
    POINT_SPRING,
    WIRE_SPRING,
    coil_pack,
    every_engine,
    every_pack,
    load_pack,
    q,
    table_pack,
)

WORN = State(wear_mm=None)


def test_complete_records_lack_nothing_new_or_worn():
    for pack in every_pack():
        assert missing_in_pack(pack, State()) == []
        assert missing_in_pack(pack, WORN) == []
    for engine in every_engine():
        assert missing_in_engine(engine, "geared") == []


def test_an_empty_pack_lacks_everything():
    assert missing_in_pack(PackInputs(), State()) == [
        "pack.friction_plates", "pack.facing_od_mm", "pack.facing_id_mm",
        "pack.friction.oiled.sliding", "pack.clamp"]


def test_without_a_state_the_state_is_missing_and_not_the_friction():
    assert missing_in_pack(load_pack(friction={}), None) == ["state"]


def test_friction_is_asked_for_by_state():
    assert missing_in_pack(load_pack(), State("dry", "static")) == ["pack.friction.dry.static"]


def test_worn_to_its_limit_needs_the_limit():
    assert missing_in_pack(coil_pack(stack_wear_limit_mm=None), WORN) == [
        "pack.stack_wear_limit_mm"]


@pytest.mark.parametrize(
    ("clamp", "lacks"),
    [
        (CoilClamp(), ["springs"]),
        (CoilClamp((SpringGroup(),)), [f"springs.0.{n}" for n in (
            "count", "free_length_mm", "installed_length_mm", "rate_n_per_mm")]),
        (CoilClamp((WIRE_SPRING, replace(WIRE_SPRING, ends=None))), ["springs.1.rate_n_per_mm"]),
        (CoilClamp((replace(WIRE_SPRING, outside_mm=None),)), ["springs.0.rate_n_per_mm"]),
        (CoilClamp((replace(WIRE_SPRING, shear_modulus_mpa=None),)), ["springs.0.rate_n_per_mm"]),
        (CoilClamp((replace(WIRE_SPRING, total_coils=q(2.0)),)), ["springs.0.total_coils"]),
        (CoilClamp((POINT_SPRING,)), []),
        (CoilClamp((replace(POINT_SPRING, load_points=(LoadPoint(0.0, 1.0),)),)),
         ["springs.0.rate_n_per_mm"]),
        (LoadClamp(), ["force_n"]),
        (LoadClamp(q(900.0)), []),
        (DiscClamp(), ["outside_mm", "inside_mm", "thickness_mm", "cone_height_mm",
                       "installed_deflection_mm"]),
        (DiscTableClamp(), ["points", "installed_deflection_mm"]),
        (DiscTableClamp((LoadPoint(1.0, 5.0), LoadPoint(1.0, 6.0)), q(1.0)), ["points"]),
        (CentrifugalClamp(), ["weights", "weight_mass_g", "radius_mm", "ramp_angle_deg",
                              "return_force_n"]),
    ],
)
def test_each_kind_of_clamp_names_what_it_lacks(clamp, lacks):
    assert missing_in_pack(load_pack(clamp=clamp), State()) == [f"pack.clamp.{n}" for n in lacks]


def test_a_load_table_lacks_readings_where_the_worn_spring_is_deflected_beyond_them():
    first = min(p.deflection_mm for p in DISC_TABLE.points)
    room = DISC_TABLE.installed_deflection_mm.value - first
    assert missing_in_pack(table_pack(), State(wear_mm=room)) == []
    assert missing_in_pack(table_pack(), State(wear_mm=room + 0.1)) == ["pack.clamp.points"]
    worn = table_pack(stack_wear_limit_mm=q(room + 0.1))
    assert missing_in_pack(worn, WORN) == ["pack.clamp.points"]
    assert missing_in_pack(worn, State()) == []
    deep = table_pack(clamp=replace(DISC_TABLE, installed_deflection_mm=q(99.0)))
    assert missing_in_pack(deep, State()) == ["pack.clamp.points"]
    assert missing_in_pack(deep, None) == ["state", "pack.clamp.points"]


def test_a_measured_load_needs_a_rate_only_where_the_facings_are_worn():
    bare = load_pack(clamp=LoadClamp(q(900.0)))
    assert missing_in_pack(bare, State(wear_mm=0.3)) == ["pack.clamp.rate_n_per_mm"]
    assert missing_in_pack(bare, WORN) == ["pack.clamp.rate_n_per_mm"]


@pytest.mark.parametrize(
    ("torque", "lacks"),
    [
        (None, ["torque"]),
        (MeasuredTorque(), ["torque.torque_nm"]),
        (PowerTorque(), ["torque.power_kw", "torque.speed_rpm"]),
        (PowerTorque(q(5.0)), ["torque.speed_rpm"]),
        (BmepTorque(), ["torque.bmep_kpa", "displacement_cc", "strokes"]),
        (CurveTorque(), ["torque.points"]),
        (CurveTorque(((1.0, 2.0),), "wheel"), ["torque.overall_ratio",
                                               "torque.driveline_efficiency"]),
    ],
)
def test_each_way_to_know_a_torque_names_what_it_lacks(torque, lacks):
    assert missing_in_engine(EngineInputs(torque=torque), None) == [f"engine.{n}" for n in lacks]


def test_bore_and_stroke_stand_in_for_the_displacement():
    engine = EngineInputs(torque=BmepTorque(q(900.0)), strokes=4, bore_mm=q(54.0),
                          stroke_mm=q(54.0))
    assert missing_in_engine(engine, "crankshaft") == []


def test_only_a_geared_pack_needs_the_primary_ratio():
    engine = EngineInputs(torque=MeasuredTorque(q(20.0)))
    assert missing_in_engine(engine, "geared") == ["engine.primary_ratio"]
    assert missing_in_engine(engine, "crankshaft") == missing_in_engine(engine, None) == []
    assert missing_in_engine(replace(engine, primary_teeth=(20, 60)), "geared") == []


def without_one(record):
    """The record once for each figure taken out, clamp and torque included."""
    for f in fields(record):
        value = getattr(record, f.name)
        if f.name in ("clamp", "torque"):
            yield from (replace(record, **{f.name: part}) for part in without_one(value))
        elif f.name == "springs":
            yield from (replace(record, springs=(part, *value[1:]))
                        for part in without_one(value[0]))
        elif f.default is None and value is not None:
            yield replace(record, **{f.name: None})


@pytest.mark.parametrize("state", [State(), WORN])
@pytest.mark.parametrize("number", range(len(every_pack())))
def test_a_pack_lacks_something_exactly_where_its_capacity_is_unknown(number, state):
    for pack in without_one(every_pack()[number]):
        sheet = stack_packs([pack], state)
        side = pack_side(sheet, state, Traced(np.array([[3000.0]])))
        unknown = bool(np.isnan(side.capacity.value[0, 0]))
        assert unknown == bool(missing_in_pack(pack, state)), missing_in_pack(pack, state)


@pytest.mark.parametrize("mounting", ["crankshaft", "geared"])
@pytest.mark.parametrize("number", range(len(every_engine())))
def test_an_engine_lacks_something_exactly_where_its_demand_is_unknown(number, mounting):
    for engine in without_one(every_engine()[number]):
        side = engine_side(stack_engines([engine]))
        required = side.required[("crankshaft", "geared").index(mounting)]
        unknown = bool(np.isnan(required.value[0, 0]))
        assert unknown == bool(missing_in_engine(engine, mounting))


def test_a_table_pack_lacks_nothing_while_its_deflection_lies_on_the_table():
    assert missing_in_pack(table_pack(), State(wear_mm=0.4)) == []


def test_the_splines_are_missing_only_where_their_loss_is_asked_for() -> None:
    lossy = State(spline_friction=0.1)
    lacking = ["pack.spline_major_mm", "pack.basket_spline_mm"]
    assert missing_in_pack(load_pack(), State()) == []
    assert missing_in_pack(load_pack(), lossy) == lacking
    assert missing_in_pack(load_pack(spline_major_mm=q(24.0)), lossy) == lacking[1:]
    tested = load_pack(friction_source={("oiled", "sliding"): TESTED})
    assert missing_in_pack(tested, lossy) == []
