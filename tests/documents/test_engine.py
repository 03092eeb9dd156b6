import dataclasses
from typing import Any

import pytest
from pydantic import ValidationError

from app.documents import Engine
from app.mechanics import inputs
from app.mechanics.inputs import EngineInputs, Quantity
from tests.factories import make_engine_document


def refusal(**raw: Any) -> str:
    with pytest.raises(ValidationError) as caught:
        Engine.model_validate({"name": "x", **raw})
    return str(caught.value.errors()[0]["msg"])


def test_an_engine_of_which_only_the_name_is_known_can_be_kept() -> None:
    assert Engine(name="x").to_inputs() == EngineInputs(name="x")


@pytest.mark.parametrize(
    ("torque", "expected"),
    [
        (
            {"kind": "measured", "torque_nm": 11, "speed_rpm": 7000},
            inputs.MeasuredTorque(Quantity(11.0), Quantity(7000.0)),
        ),
        (
            {"kind": "power", "power_kw": 9, "speed_rpm": 8500},
            inputs.PowerTorque(Quantity(9.0), Quantity(8500.0)),
        ),
        ({"kind": "bmep", "bmep_kpa": 950}, inputs.BmepTorque(Quantity(950.0))),
        (
            {
                "kind": "curve",
                "points": [[6000, 30], [3000, 20]],
                "at": "wheel",
                "relative_doubt": 0.05,
                "overall_ratio": 12,
                "driveline_efficiency": 0.9,
            },
            inputs.CurveTorque(
                ((3000.0, 20.0), (6000.0, 30.0)), "wheel", 0.05, Quantity(12.0), Quantity(0.9)
            ),
        ),
    ],
)
def test_each_kind_of_torque_becomes_what_the_mechanics_take(
    torque: Any, expected: inputs.Torque
) -> None:
    assert make_engine_document(torque=torque).to_inputs().torque == expected


def test_teeth_and_ratio_may_differ_by_rounding_only() -> None:
    agree = {"primary_teeth": [19, 64], "primary_ratio": 3.37}
    assert Engine.model_validate({"name": "x", **agree}).primary_teeth == (19, 64)
    told = refusal(primary_teeth=[19, 64], primary_ratio=3.39)
    assert "3.368" in told
    assert "3.39" in told


def test_teeth_the_wrong_way_round_are_told_by_the_ratio() -> None:
    assert "[driving, driven]" in refusal(primary_teeth=[64, 19], primary_ratio=3.37)


@pytest.mark.parametrize(
    "raw",
    [
        {"strokes": 3},
        {"strokes": True},
        {"cylinders": 0},
        {"primary_efficiency": 1.01},
        {"service_factor": 0},
        {"torque": {"kind": "curve", "points": [[3000, 1], [3000, 2]]}},
        {"torque": {"kind": "curve", "points": [[0, 1]]}},
        {"torque": {"kind": "power", "power_kw": -1}},
    ],
)
def test_what_physics_excludes_is_refused(raw: Any) -> None:
    assert refusal(**raw).startswith("Write ") or "should be" in refusal(**raw)


def test_a_curve_may_dip_below_zero() -> None:
    """An engine on the overrun brakes."""
    torque = {"kind": "curve", "points": [[9000, -2], [8000, 9]]}
    assert make_engine_document(torque=torque).torque is not None


def test_every_figure_that_the_mechanics_take_is_in_the_document() -> None:
    assert {f.name for f in dataclasses.fields(EngineInputs)} <= set(Engine.model_fields)
