"""Which assumed inputs a torque rests on."""

from dataclasses import replace

import pytest

from app.comparison.board import work_out_cells
from app.comparison.rests_on import engine_rests_on, moving_inputs, pack_rests_on
from app.mechanics.inputs import CentrifugalClamp, PackInputs, Quantity, State
from tests.factories import make_engine_document, make_pack, spring_group


def _paths(lines: object) -> list[str]:
    return [line.path for line in lines]  # type: ignore[attr-defined]  # lines of inputs


def _assumed(value: float) -> dict[str, object]:
    return {"value": value, "how": "assumed"}


def test_an_assumed_friction_is_rested_on_and_an_assumed_lift_is_not() -> None:
    pack = make_pack(
        friction={"oiled": {"sliding": _assumed(0.11), "static": _assumed(0.12)}},
        lift_mm=_assumed(1.2),
    ).to_inputs()
    (found,) = pack_rests_on([pack], State())
    assert _paths(found) == ["pack.friction.oiled.sliding"]


def test_an_assumed_value_without_doubt_counts_too() -> None:
    pack = replace(make_pack().to_inputs(), facing_od_mm=Quantity(110.0, how="assumed"))
    (found,) = pack_rests_on([pack], State())
    assert _paths(found) == ["pack.facing_od_mm"]


def test_a_wire_that_gives_no_rate_is_not_rested_on() -> None:
    group = spring_group(wire_mm=_assumed(2.5), wire_material="music wire")
    given = make_pack(clamp={"kind": "coil", "springs": [group]}).to_inputs()
    group = spring_group(wire_mm=_assumed(2.5), wire_material="music wire", rate_n_per_mm=None)
    reckoned = make_pack(clamp={"kind": "coil", "springs": [group]}).to_inputs()
    first, second = pack_rests_on([given, reckoned], State())
    assert _paths(first) == []
    assert _paths(second) == ["pack.clamp.springs.0.wire_mm"]


def test_the_group_of_springs_is_told_apart() -> None:
    groups = [spring_group(), spring_group(free_length_mm=_assumed(28.0))]
    pack = make_pack(clamp={"kind": "coil", "springs": groups}).to_inputs()
    (found,) = pack_rests_on([pack], State())
    assert _paths(found) == ["pack.clamp.springs.1.free_length_mm"]


def test_a_primary_gear_matters_to_geared_packs_only() -> None:
    engine = make_engine_document(
        primary_teeth=None, primary_ratio={"value": 3.3, "how": "estimated"}
    ).to_inputs()
    (found,) = engine_rests_on([engine], State())
    assert _paths(found["crankshaft"]) == []
    assert _paths(found["geared"]) == ["engine.primary_ratio"]


def test_a_centrifugal_pack_rests_on_the_speed_as_well() -> None:
    q = Quantity
    pack = replace(
        make_pack(mounting="crankshaft").to_inputs(),
        clamp=CentrifugalClamp(6, q(20.0), q(40.0), q(30.0), q(100.0)),
    )
    torque = {"kind": "measured", "torque_nm": 8.0, "speed_rpm": _assumed(6000.0)}
    engine = make_engine_document(torque=torque).to_inputs()
    stated = work_out_cells([pack], [engine], State())
    asked = work_out_cells([pack], [engine], State(speed_rpm=6000.0))
    assert _paths(stated.rests_on[0, 0]) == ["engine.torque.speed_rpm"]
    assert (0, 0) not in asked.rests_on


def test_an_unknown_cell_rests_on_nothing() -> None:
    pack = make_pack(
        facing_od_mm=None, lift_mm=None, friction={"oiled": {"sliding": _assumed(0.11)}}
    ).to_inputs()
    cells = work_out_cells([pack], [make_engine_document().to_inputs()], State())
    assert cells.rests_on == {}


@pytest.mark.parametrize("mounting", ["crankshaft", "geared"])
def test_moving_inputs_are_those_that_change_the_ratio(mounting: str) -> None:
    pack = make_pack(mounting=mounting, stack_wear_limit_mm=0.8).to_inputs()
    engine = make_engine_document(
        primary_teeth=None, primary_ratio={"value": 3.3, "how": "listed"}
    ).to_inputs()
    moving = moving_inputs(pack, engine, State())
    before = work_out_cells([pack], [engine], State()).figures.ratio[0, 0]
    for name in ("facing_od_mm", "facing_id_mm", "lift_mm", "stack_wear_limit_mm"):
        figure = getattr(pack, name)
        changed: PackInputs = replace(pack, **{name: Quantity(figure.value * 1.01)})
        after = work_out_cells([changed], [engine], State()).figures.ratio[0, 0]
        assert (after != before) == (f"pack.{name}" in moving), name
    assert ("engine.primary_ratio" in moving) == (mounting == "geared")
