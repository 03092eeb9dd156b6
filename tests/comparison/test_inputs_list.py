"""The list of inputs names every quantity by its path, with whose figure it is."""

from dataclasses import fields

from app.comparison.inputs_list import list_inputs
from app.mechanics.inputs import BmepTorque, EngineInputs, Quantity, State
from app.mechanics.stack import stack_packs
from tests.mechanics.samples import (
    POINT_SPRING,
    WIRE_SPRING,
    bmep_engine,
    coil_pack,
    curve_engine,
    every_engine,
    every_pack,
    load_pack,
    q,
)


def paths(*asked):
    return {line.path: line for line in list_inputs(*asked)}


def test_every_quantity_of_a_record_has_its_path_once():
    found = [line.path for line in list_inputs(coil_pack(), None, State())]
    assert len(found) == len(set(found))
    for f in fields(WIRE_SPRING):
        if isinstance(getattr(WIRE_SPRING, f.name), Quantity):
            assert f"pack.clamp.springs.0.{f.name}" in found
    assert {"pack.facing_od_mm", "pack.grooved_fraction", "pack.lift_mm"} <= set(found)


def test_friction_is_that_of_the_state_with_its_source_and_none_without_a_state():
    pack = load_pack(friction_source={("oiled", "sliding"): "a book"})
    line = paths(pack, None, State())["pack.friction.oiled.sliding"]
    assert (line.quantity.value, line.source) == (0.12, "a book")
    assert not [p for p in paths(pack, None, State("dry")) if "friction." in p]
    assert not [p for p in paths(pack, None, None) if "friction." in p]


def test_what_was_worked_out_of_several_entries_is_a_line_of_its_own():
    points = paths(coil_pack(WIRE_SPRING, POINT_SPRING), None, State())
    assert points["pack.clamp.springs.1.load_points"].quantity.std > 0.0
    assert points["pack.clamp.springs.1.tester"].quantity.plus_minus == 0.02
    assert "pack.clamp.springs.0.load_points" not in points
    peak = paths(None, curve_engine(), None)["engine.torque.points"]
    assert peak.quantity.value == 190.0
    swept = EngineInputs(torque=BmepTorque(q(900.0)), bore_mm=q(54.0, 0.1), stroke_mm=q(54.0))
    line = paths(None, swept, None)["engine.displacement_cc"]
    assert line.source == "from bore and stroke"
    assert paths(None, bmep_engine(), None)["engine.displacement_cc"].source is None


def test_a_modulus_from_the_table_says_so_and_an_entered_one_is_listed_once():
    from_table = coil_pack(
        type(WIRE_SPRING)(wire_mm=q(2.5), wire_material="music wire", total_coils=q(8.0)))
    line = paths(from_table, None, None)["pack.clamp.springs.0.shear_modulus_mpa"]
    assert "music wire" in line.source
    own = [n for n in list_inputs(coil_pack(), None, None) if n.path.endswith("shear_modulus_mpa")]
    assert [n.source for n in own] == [None]


def test_every_doubtful_column_of_a_record_has_a_line():
    """A share of the variance can always be traced to something that can be measured."""
    for pack in every_pack():
        listed = paths(pack, None, State())
        for name, column in stack_packs([pack], State()).columns.items():
            for group in range(column.value.shape[1]):
                if column.limit[0, group] > 0.0 or column.std[0, group] > 0.0:
                    assert name.replace("*", str(group)) in listed, name
    for engine in every_engine():
        assert paths(None, engine, None)


def test_nothing_asked_nothing_listed():
    assert list_inputs(None, None, State()) == []
