"""A small example, invented: one pack from a bin, three engines, two test runs, one offer.

Only what somebody would type stands here. Everything else on the example's page is worked out from
it by the program, in the same way as for any record.
"""

from collections.abc import Mapping
from typing import Any

from app.documents import Engine, Instrument, Offer, Pack

INVENTED = "Invented for the example."


def _measured(value: float, with_what: str) -> Mapping[str, Any]:
    return {"value": value, "how": "measured", "with_what": with_what}


def _listed(value: float, page: str) -> Mapping[str, Any]:
    return {"value": value, "how": "listed", "with_what": page}


_CALLIPER = "calliper"
_MICROMETER = "micrometer"
_SPRING_CARD = "the spring's card"

PACK = Pack.model_validate(
    {
        "name": "Fen 5",
        "notes": INVENTED,
        "mounting": "geared",
        "friction_plates": 5,
        "plain_plates": 4,
        "friction_plate_mm": _measured(2.95, _MICROMETER),
        "plain_plate_mm": _measured(1.58, _MICROMETER),
        "facing_od_mm": _measured(108.0, _CALLIPER),
        "facing_id_mm": _measured(86.0, _CALLIPER),
        "facing": "paper",
        "lift_mm": _measured(1.6, "dial gauge"),
        "clamp": {
            "kind": "coil",
            "springs": [
                {
                    "count": 5,
                    "free_length_mm": _measured(33.2, _CALLIPER),
                    "installed_length_mm": _measured(25.4, _CALLIPER),
                    "rate_n_per_mm": _listed(24.5, _SPRING_CARD),
                    "wire_mm": _measured(2.5, _MICROMETER),
                    "outside_mm": _measured(17.0, _CALLIPER),
                    "total_coils": _measured(7.25, "counted"),
                    "ends": "closed_ground",
                    "wire_material": "music wire",
                }
            ],
        },
    }
)


def _engine(name: str, cc: float, torque_nm: float, speed_rpm: float) -> Engine:
    return Engine.model_validate(
        {
            "name": name,
            "notes": INVENTED,
            "displacement_cc": _listed(cc, "data sheet"),
            "strokes": 4,
            "torque": {
                "kind": "measured",
                "torque_nm": _listed(torque_nm, "data sheet"),
                "speed_rpm": _listed(speed_rpm, "data sheet"),
            },
            "primary_teeth": [20, 66],
            "primary_efficiency": {"value": 0.97, "plus_minus": 0.01, "how": "estimated"},
            "service_factor": 1.5,
        }
    )


ENGINES = (
    _engine("Lark 110", 109.0, 8.4, 6000.0),
    _engine("Finch 125", 124.0, 10.2, 7000.0),
    _engine("Heron 200", 197.0, 15.6, 6500.0),
)

WANTED = 1
"""Place of the engine that the pack is meant for."""

WRENCH = Instrument(
    name="Torque wrench 20–100",
    range_low_nm=20.0,
    range_high_nm=100.0,
    relative_accuracy=0.04,
    resolution_nm=0.5,
    notes=INVENTED,
)

READINGS_NM = ((57.0, 58.5), (59.0, 58.0), (57.5, 56.5))
"""Torque at which the pack slipped, run by run, all springs fitted."""

OFFER = Offer(
    name="Fen 5, complete",
    claim="Holds 50 to 125 cc",
    claimed_cc_low=50.0,
    claimed_cc_high=125.0,
    price=64.0,
    currency="EUR",
    notes=INVENTED,
)

PIECES = 2
"""How many are wanted."""
