"""Documents for tests, with sane figures that a test may replace."""

from typing import Any

from app.documents import Engine, Pack, SlipTest


def spring_group(**changed: Any) -> dict[str, Any]:
    return {
        "count": 6,
        "free_length_mm": {"value": 31.2, "how": "measured"},
        "installed_length_mm": {"value": 24.5, "plus_minus": 0.1, "how": "measured"},
        "rate_n_per_mm": {"value": 21.0, "std": 0.4},
        "wire_mm": {"value": 2.5, "how": "measured"},
        "outside_mm": {"value": 16.0, "how": "listed"},
        "total_coils": 7.0,
        "ends": "closed_ground",
    } | changed


def make_pack(name: str = "Tern 4", **changed: Any) -> Pack:
    raw: dict[str, Any] = {
        "name": name,
        "friction_plates": 4,
        "plain_plates": 5,
        "facing_od_mm": {"value": 110.0, "how": "measured", "by": "Ann", "at": "2026-11-20"},
        "facing_id_mm": {"value": 86.0, "how": "measured", "with_what": "calliper"},
        "mounting": "geared",
        "friction": {"oiled": {"sliding": {"value": 0.11, "plus_minus": 0.01}}},
        "clamp": {"kind": "coil", "springs": [spring_group()]},
        "lift_mm": 1.2,
    }
    return Pack.model_validate(raw | changed)


def make_engine_document(name: str = "Tern 125", **changed: Any) -> Engine:
    raw: dict[str, Any] = {
        "name": name,
        "displacement_cc": {"value": 124.6, "how": "listed"},
        "strokes": 4,
        "torque": {"kind": "measured", "torque_nm": {"value": 11.2, "how": "measured"}},
        "primary_teeth": [19, 64],
        "service_factor": 1.5,
    }
    return Engine.model_validate(raw | changed)


def make_slip_test(pack: str, **changed: Any) -> SlipTest:
    raw: dict[str, Any] = {
        "pack": pack,
        "date": "2026-11-20",
        "by": "Ann",
        "lubrication": "oiled",
        "friction": "sliding",
        "springs_fitted": 6,
        "readings": [{"torque_nm": 31.5}, {"torque_nm": 32.0}],
    }
    return SlipTest.model_validate(raw | changed)
