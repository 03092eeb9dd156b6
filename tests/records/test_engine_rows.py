from typing import Any

import pytest

from app.documents import Engine
from app.documents.doubts import with_defaults
from app.records.engine_rows import engine_document, engine_inputs, engine_values
from tests.factories import make_engine_document

TORQUES: list[dict[str, Any] | None] = [
    None,
    {"kind": "measured", "torque_nm": {"value": 11, "plus_minus": 0.4}, "speed_rpm": 7000},
    {"kind": "measured"},
    {"kind": "power", "power_kw": {"value": 9, "std": 0.2}, "speed_rpm": 8500},
    {"kind": "bmep", "bmep_kpa": {"value": 950, "plus_minus": 100, "how": "listed"}},
    {
        "kind": "curve",
        "points": [[3000, 20], [6000, 30]],
        "at": "wheel",
        "relative_doubt": 0.05,
        "overall_ratio": 12,
        "driveline_efficiency": {"value": 0.9, "plus_minus": 0.03},
    },
    {"kind": "curve"},
]


@pytest.mark.parametrize("torque", TORQUES, ids=lambda torque: str(torque and torque["kind"]))
def test_rows_give_back_the_document_and_what_the_mechanics_take(torque: Any) -> None:
    document = make_engine_document(
        torque=torque,
        bore_mm=56.5,
        stroke_mm={"value": 49.5, "how": "measured", "by": "Ann"},
        primary_efficiency=0.97,
        spline_count=14,
        spline_major_mm=22,
        envelope_diameter_mm=150,
        envelope_height_mm=60,
        gear_module_mm=2,
        notes="a",
        checked={"by": "Bo"},
    )
    assert engine_document(engine_values(document)) == document
    filled = with_defaults(document)
    assert engine_inputs(engine_values(filled)) == filled.to_inputs()


def test_an_empty_engine_comes_back_empty() -> None:
    document = Engine(name="x")
    assert engine_document(engine_values(document)) == document
    assert engine_inputs(engine_values(document)) == document.to_inputs()


def test_another_kind_of_torque_leaves_nothing_of_the_first() -> None:
    values = engine_values(make_engine_document(torque=TORQUES[3]))
    values |= engine_values(make_engine_document(torque=TORQUES[4]))
    assert values["power_kw"] is None
    assert values["speed_rpm"] is None
