"""Packs and engines of every kind for the tests of the centre; all made up."""

from dataclasses import replace
from typing import Any

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
    Quantity,
    SpringGroup,
    State,
)


def q(value: float, plus_minus: float | None = None, how: str = "measured") -> Quantity:
    return Quantity(value, plus_minus=plus_minus, how=how)  # type: ignore[arg-type]  # a test's word


OILED_SLIDING = State()

LOAD_POINTS = (
    LoadPoint(4.0, 40.6), LoadPoint(8.0, 80.1), LoadPoint(12.0, 121.0), LoadPoint(16.0, 159.7),
)

# The wire diameter enters the mean diameter, the rate, the solid length and the stress.
WIRE_SPRING = SpringGroup(
    count=6, free_length_mm=q(40.0, 0.2), installed_length_mm=q(28.0, 0.2), shim_mm=q(0.5, 0.02),
    wire_mm=q(2.2, 0.01), outside_mm=q(16.0, 0.05), total_coils=q(8.0, 0.25),
    ends="closed_ground", shear_modulus_mpa=q(79300.0, 1600.0, "listed"),
)
POINT_SPRING = SpringGroup(
    count=5, free_length_mm=q(38.0, 0.05), installed_length_mm=q(26.0, 0.05),
    load_points=LOAD_POINTS, tester_limit=0.02,
)
GIVEN_SPRING = SpringGroup(
    count=3, free_length_mm=q(35.0, 0.1), installed_length_mm=q(27.0, 0.1),
    rate_n_per_mm=Quantity(12.0, std=0.4, how="listed"),
)

_COMMON: dict[str, Any] = {
    "friction_plates": 6,
    "facing_od_mm": q(100.0, 0.1),
    "facing_id_mm": q(76.0, 0.1),
    "grooved_fraction": q(0.1, 0.02),
    "mounting": "crankshaft",
    "friction": {("oiled", "sliding"): q(0.12, 0.012, "listed")},
    "lift_mm": q(1.2, 0.1),
    "stack_wear_limit_mm": q(1.5, 0.2),
}


def coil_pack(*springs: SpringGroup, **changes: Any) -> PackInputs:
    groups = springs or (WIRE_SPRING,)
    return PackInputs(**{**_COMMON, "clamp": CoilClamp(groups), **changes})


def load_pack(**changes: Any) -> PackInputs:
    clamp = LoadClamp(q(900.0, 18.0), q(60.0, 2.0))
    return PackInputs(**{**_COMMON, "clamp": clamp, "mounting": "geared", **changes})


DISC = DiscClamp(
    outside_mm=q(100.0, 0.1), inside_mm=q(60.0, 0.1), thickness_mm=q(1.6, 0.02),
    cone_height_mm=q(2.4, 0.03), installed_deflection_mm=q(3.0, 0.1), in_parallel=2, in_series=2,
)
DISC_TABLE = DiscTableClamp(
    (LoadPoint(0.0, 0.0), LoadPoint(1.0, 700.0), LoadPoint(2.0, 1050.0), LoadPoint(4.0, 1200.0)),
    q(2.5, 0.05),
)
WEIGHTS = CentrifugalClamp(6, q(20.0, 0.2), q(45.0, 0.2), q(35.0, 0.5), q(150.0, 5.0))


def disc_pack(**changes: Any) -> PackInputs:
    return PackInputs(**{**_COMMON, "clamp": DISC, **changes})


def table_pack(**changes: Any) -> PackInputs:
    return PackInputs(**{**_COMMON, "clamp": DISC_TABLE, **changes})


def weights_pack(**changes: Any) -> PackInputs:
    return PackInputs(**{**_COMMON, "clamp": WEIGHTS, "mounting": "geared", **changes})


def measured_engine(**changes: Any) -> EngineInputs:
    return EngineInputs(**{
        "torque": MeasuredTorque(q(24.0, 1.0), q(5500.0, 110.0)), "primary_teeth": (22, 69),
        "primary_efficiency": q(0.97, 0.01), "service_factor": q(1.4, 0.1), "strokes": 4, **changes,
    })


def power_engine(**changes: Any) -> EngineInputs:
    return EngineInputs(**{
        "torque": PowerTorque(q(15.0, 0.75, "listed"), q(8000.0, 160.0)),
        "primary_ratio": q(3.1, 0.01), **changes,
    })


def bmep_engine(**changes: Any) -> EngineInputs:
    return EngineInputs(**{
        "torque": BmepTorque(q(950.0, 80.0, "estimated")), "displacement_cc": q(249.0, 1.0),
        "strokes": 4, "primary_ratio": q(2.8, 0.01), **changes,
    })


def curve_engine(**changes: Any) -> EngineInputs:
    torque = CurveTorque(
        ((3000.0, 150.0), (5000.0, 190.0), (7000.0, 170.0)), "wheel", 0.04, q(9.5, 0.05),
        q(0.88, 0.03),
    )
    return EngineInputs(**{"torque": torque, "primary_teeth": (20, 61), **changes})


def every_pack() -> list[PackInputs]:
    """One pack of each kind of clamp, at both mountings."""
    return [
        coil_pack(),
        coil_pack(POINT_SPRING, GIVEN_SPRING, mounting="geared"),
        coil_pack(*[replace(GIVEN_SPRING, count=n) for n in range(1, 9)]),
        load_pack(), disc_pack(), table_pack(), weights_pack(),
        weights_pack(mounting="crankshaft"),
    ]


def every_engine() -> list[EngineInputs]:
    """One engine of each way to know its torque."""
    return [measured_engine(), power_engine(), bmep_engine(), curve_engine()]
