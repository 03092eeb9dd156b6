"""Records of the interface's tests as they are sent, all made up, and what sends them."""

from typing import Any

from httpx2 import Response
from starlette.testclient import TestClient


def measured(value: float, plus_minus: float) -> dict[str, Any]:
    return {"value": value, "plus_minus": plus_minus, "how": "measured"}


LOAD = {"kind": "load", "force_n": measured(900.0, 18.0), "rate_n_per_mm": measured(60.0, 2.0)}
WIRE_SPRING = {
    "count": 6,
    "free_length_mm": measured(40.0, 0.2),
    "installed_length_mm": measured(28.0, 0.2),
    "shim_mm": measured(0.5, 0.02),
    "wire_mm": measured(2.2, 0.01),
    "outside_mm": measured(16.0, 0.05),
    "total_coils": measured(8.0, 0.25),
    "ends": "closed_ground",
    "shear_modulus_mpa": {"value": 79300.0, "plus_minus": 1600.0, "how": "listed"},
}
POINT_SPRING = {
    "count": 5,
    "free_length_mm": measured(38.0, 0.05),
    "installed_length_mm": measured(26.0, 0.05),
    "load_points": [
        {"deflection_mm": 4.0, "force_n": 40.6},
        {"deflection_mm": 8.0, "force_n": 80.1},
        {"deflection_mm": 12.0, "force_n": 121.0},
        {"deflection_mm": 16.0, "force_n": 159.7},
    ],
}
COIL = {"kind": "coil", "springs": [WIRE_SPRING, POINT_SPRING]}
DISC = {
    "kind": "disc",
    "outside_mm": measured(100.0, 0.1),
    "inside_mm": measured(60.0, 0.1),
    "thickness_mm": measured(1.6, 0.02),
    "cone_height_mm": measured(2.4, 0.03),
    "installed_deflection_mm": measured(3.0, 0.1),
    "in_parallel": 2,
    "in_series": 2,
}
DISC_TABLE = {
    "kind": "disc_table",
    "points": [
        {"deflection_mm": 0.0, "force_n": 0.0},
        {"deflection_mm": 1.0, "force_n": 700.0},
        {"deflection_mm": 2.0, "force_n": 1050.0},
        {"deflection_mm": 4.0, "force_n": 1200.0},
    ],
    "installed_deflection_mm": measured(2.5, 0.05),
}
CENTRIFUGAL = {
    "kind": "centrifugal",
    "weights": 6,
    "weight_mass_g": measured(20.0, 0.2),
    "radius_mm": measured(45.0, 0.2),
    "ramp_angle_deg": measured(35.0, 0.5),
    "return_force_n": measured(150.0, 5.0),
}
CLAMPS = {c["kind"]: c for c in (COIL, DISC, DISC_TABLE, LOAD, CENTRIFUGAL)}

PACK: dict[str, Any] = {
    "name": "Sandpiper six",
    "friction_plates": 6,
    "facing_od_mm": measured(100.0, 0.1),
    "facing_id_mm": measured(76.0, 0.1),
    "grooved_fraction": measured(0.1, 0.02),
    "mounting": "crankshaft",
    "friction": {"oiled": {"sliding": {"value": 0.12, "plus_minus": 0.012, "how": "listed"}}},
    "lift_mm": measured(1.2, 0.1),
    "stack_wear_limit_mm": measured(1.5, 0.2),
    "clamp": LOAD,
}
ENGINE: dict[str, Any] = {
    "name": "Dunlin 250",
    "displacement_cc": 249.0,
    "strokes": 4,
    "torque": {"kind": "measured", "torque_nm": measured(22.0, 0.9), "speed_rpm": 6500},
    "primary_teeth": [22, 66],
    "primary_efficiency": {"value": 0.97, "plus_minus": 0.01},
    "service_factor": 1.5,
}
STATE: dict[str, Any] = {"lubrication": "oiled", "friction": "sliding"}
JSON = {"Content-Type": "application/json"}
MERGE = "application/merge-patch+json"
FACING: dict[str, Any] = {
    "name": "Marsh paper",
    "values": [{"lubrication": "oiled", "kind": "both", "low": 0.1, "nominal": 0.12, "high": 0.14}],
}
OFFER: dict[str, Any] = {"name": "Six-plate set", "price": 41.5, "currency": "EUR"}
KINDS = {"packs": PACK, "engines": ENGINE, "facings": FACING, "offers": OFFER}


def add(client: TestClient, plural: str, document: dict[str, Any]) -> dict[str, Any]:
    answer = client.post(f"/api/v1/{plural}", json=document)
    assert answer.status_code == 201, answer.text
    record: dict[str, Any] = answer.json()
    return record


def problem(answer: Response, status: int) -> dict[str, Any]:
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    found: dict[str, Any] = answer.json()
    assert found["status"] == status
    assert found["detail"]
    return found


def names(answer: Response) -> list[str]:
    assert answer.status_code == 200, answer.text
    return [record["name"] for record in answer.json()["items"]]
