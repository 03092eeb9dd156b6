"""Changes and launches at the ends of the range of numbers: an answer, never a failure."""

from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.web.api.test_engineering import CELL, LAUNCH, OPTION_KEYS
from tests.web.api.written import ENGINE, PACK, STATE

EXTREMES: list[tuple[str, dict[str, Any]]] = [
    ("changes", {**CELL, "target_ratio": 1e9}),
    ("changes", {**CELL, "target_ratio": 5e-324}),
    (
        "changes",
        {
            **CELL,
            "target_ratio": 1.2,
            "pack": {**PACK, "clamp": {"kind": "load", "force_n": 5e-324, "rate_n_per_mm": 5e-324}},
        },
    ),
    (
        "changes",
        {**CELL, "target_ratio": 1.2, "pack": {**PACK, "friction": {"oiled": {"sliding": 5e-324}}}},
    ),
    (
        "changes",
        {
            **CELL,
            "target_ratio": 1.2,
            "engine": {**ENGINE, "torque": {"kind": "measured", "torque_nm": 5e-324}},
        },
    ),
    (
        "changes",
        {
            **CELL,
            "target_ratio": 1.2,
            "pack": {
                **PACK,
                "clamp": {
                    "kind": "disc",
                    "outside_mm": 1e9,
                    "inside_mm": 1e-300,
                    "thickness_mm": 1e-200,
                    "cone_height_mm": 1e9,
                    "installed_deflection_mm": 1,
                },
            },
        },
    ),
    (
        "changes",
        {
            **CELL,
            "target_ratio": 1.2,
            "pack": {
                **PACK,
                "clamp": {
                    "kind": "disc",
                    "outside_mm": 100,
                    "inside_mm": 60,
                    "thickness_mm": 2,
                    "cone_height_mm": 1,
                    "installed_deflection_mm": 0,
                },
            },
        },
    ),
    (
        "changes",
        {
            **CELL,
            "target_ratio": 1.2,
            "pack": {
                **PACK,
                "clamp": {
                    "kind": "centrifugal",
                    "weights": 3,
                    "weight_mass_g": 1e-300,
                    "radius_mm": 1e-300,
                    "ramp_angle_deg": 89.999999,
                    "return_force_n": 0,
                },
            },
        },
    ),
    (
        "changes",
        {
            **CELL,
            "target_ratio": 1.2,
            "pack": {
                **PACK,
                "clamp": {
                    "kind": "coil",
                    "springs": [
                        {
                            "count": 1,
                            "free_length_mm": 1e9,
                            "installed_length_mm": 1e-9,
                            "rate_n_per_mm": 5e-324,
                        }
                    ],
                },
            },
        },
    ),
    (
        "changes",
        {**CELL, "target_ratio": 1.2, "pack": {**PACK, "clamp": {"kind": "coil", "springs": []}}},
    ),
    ("changes", {**CELL, "target_ratio": 1.2, "pack": {**PACK, "friction_plates": 1000000}}),
    ("changes", {**CELL, "target_ratio": 1.2, "state": {**STATE, "wear_mm": 1e9}}),
    (
        "changes",
        {
            **CELL,
            "target_ratio": 1.2,
            "engine": {**ENGINE, "primary_teeth": [1, 1]},
            "pack": {**PACK, "mounting": "geared"},
        },
    ),
    (
        "changes",
        {
            **CELL,
            "target_ratio": 1e9,
            "engine": {**ENGINE, "primary_teeth": [1000000, 1]},
            "pack": {**PACK, "mounting": "geared"},
        },
    ),
    ("launch", {**LAUNCH, "torque_nm": 5e-324}),
    ("launch", {**LAUNCH, "driver": {"speed_rpm": 1e9, "inertia_kg_m2": 5e-324}}),
    ("launch", {**LAUNCH, "driven": {"inertia_kg_m2": 5e-324, "speed_rpm": -1e9}}),
    ("launch", {**LAUNCH, "plate_mass_kg": 5e-324, "launches": 1000}),
    ("launch", {**LAUNCH, "load_torque_nm": 1e9, "drive_torque_nm": -1e9}),
    (
        "launch",
        {
            **LAUNCH,
            "pack": {
                "friction_plates": 1,
                "facing_od_mm": 2e-200,
                "facing_id_mm": 1e-200,
                "facing": "paper",
            },
        },
    ),
    ("launch", {**LAUNCH, "driver": {"speed_rpm": 0}}),
]


@pytest.mark.filterwarnings("ignore::RuntimeWarning")
@pytest.mark.parametrize(
    ("path", "question"), EXTREMES, ids=[f"{p}-{i}" for i, (p, _) in enumerate(EXTREMES)]
)
def test_extreme_figures_are_answered(
    reader: TestClient, path: str, question: dict[str, Any]
) -> None:
    found = reader.post(f"/api/v1/{path}", json=question)
    assert found.status_code == 200, found.text
    answer = found.json()
    for option in answer.get("options", []):
        assert set(option) == OPTION_KEYS
        assert (option["why_not"] is None) == option["possible"]
    if path == "launch":
        assert answer["words"]
