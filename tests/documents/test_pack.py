import dataclasses
from typing import Any

import pytest
from pydantic import ValidationError

from app.documents import Pack
from app.mechanics import inputs
from app.mechanics.friction_source import OWN
from app.mechanics.inputs import PackInputs, Quantity
from tests.factories import make_pack


def refusal(**raw: Any) -> tuple[str, str]:
    with pytest.raises(ValidationError) as caught:
        Pack.model_validate({"name": "x", **raw})
    error = caught.value.errors()[0]
    return str(error["loc"][0]), str(error["msg"])


def test_a_pack_of_which_only_the_name_is_known_can_be_kept() -> None:
    made = Pack(name="x").to_inputs()
    assert made == PackInputs(name="x")


@pytest.mark.parametrize(
    ("raw", "at"),
    [
        ({"friction_plates": 0}, "friction_plates"),
        ({"lined_faces_per_plate": 3}, "lined_faces_per_plate"),
        ({"lined_faces_per_plate": True}, "lined_faces_per_plate"),
        ({"plain_plates": -1}, "plain_plates"),
        ({"surfaces": 0}, "surfaces"),
        ({"surfaces_reason": "a reason for nothing"}, "surfaces_reason"),
        ({"facing_od_mm": 50, "facing_id_mm": 50}, "facing_od_mm"),
        ({"facing_od_mm": 0}, "facing_od_mm"),
        ({"grooved_fraction": 1}, "grooved_fraction"),
        ({"lift_mm": -1}, "lift_mm"),
        ({"friction": {"dry": {"static": 0}}}, "friction"),
        ({"gear_teeth": 0}, "gear_teeth"),
    ],
)
def test_what_physics_excludes_is_refused_at_its_field(raw: Any, at: str) -> None:
    assert refusal(**raw)[0] == at


def test_odd_but_possible_figures_are_taken() -> None:
    Pack.model_validate(
        {
            "name": "x",
            "friction_plates": 40,
            "plain_plates": 0,
            "facing_od_mm": 5000,
            "friction": {"dry": {"static": 1.8}},
        }
    )


def test_figures_doubts_and_friction_reach_the_mechanics() -> None:
    made = make_pack().to_inputs()
    assert made.facing_od_mm == Quantity(110.0, plus_minus=0.05, how="measured")
    assert made.friction == {("oiled", "sliding"): Quantity(0.11, plus_minus=0.01)}
    assert made.friction_source == {("oiled", "sliding"): OWN}
    assert isinstance(made.clamp, inputs.CoilClamp)
    assert made.clamp.springs[0].outside_mm == Quantity(16.0, plus_minus=0.08, how="listed")
    assert made.lift_mm == Quantity(1.2)


def test_every_figure_that_the_mechanics_take_is_in_the_document() -> None:
    by_others = {"friction_source", "pressure_limit_mpa", "pressure_limit_source"}
    needed = {f.name for f in dataclasses.fields(PackInputs)} - by_others
    assert needed <= set(Pack.model_fields)


def test_every_field_says_what_it_is() -> None:
    schema = Pack.model_json_schema()
    for name, part in schema["properties"].items():
        assert part.get("description"), name
        if name.endswith("_mm"):
            assert "in mm" in part["description"], name
