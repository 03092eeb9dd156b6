"""What the mechanics are told: frozen values with the names and units of the JSON interface.

Every physical figure is a `Quantity` or None; None means "not known" and is never replaced by a
number. Lengths in mm, forces in N, torques in N·m, stresses and pressures in MPa, masses in kg,
speeds in r/min, angles in degrees, as the ending of each name says.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

How = Literal["measured", "listed", "estimated", "assumed"]
Lubrication = Literal["dry", "oiled"]
FrictionKind = Literal["static", "sliding"]
RadiusModel = Literal["uniform_wear", "uniform_pressure"]
Mounting = Literal["crankshaft", "geared"]
SpringEnds = Literal["plain", "plain_ground", "closed", "closed_ground"]

MOUNTINGS: tuple[Mounting, ...] = ("crankshaft", "geared")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value with its doubt and how it is known.

    plus_minus is a limit (rectangular distribution, standard uncertainty a/√3, JCGM 100:2008
    4.3.7); std is a standard uncertainty (normal distribution). Neither means exact; both
    together are refused.
    """

    value: float
    plus_minus: float | None = None
    std: float | None = None
    how: How | None = None

    def __post_init__(self) -> None:
        if self.plus_minus is not None and self.std is not None:
            raise ValueError("give plus_minus (a limit) or std (a standard uncertainty), not both")

    @property
    def standard_uncertainty(self) -> float:
        """u: a/√3 of a limit a, or the standard uncertainty itself; 0 for an exact value."""
        if self.std is not None:
            return self.std
        return (self.plus_minus or 0.0) / math.sqrt(3.0)


EXACT_ZERO = Quantity(0.0)
EXACT_ONE = Quantity(1.0)


@dataclass(frozen=True, slots=True)
class LoadPoint:
    """One reading of a spring tester: deflection from free [mm] and force [N]."""

    deflection_mm: float
    force_n: float


@dataclass(frozen=True, slots=True)
class SpringGroup:
    """`count` coil springs alike, side by side; inner and outer nests are two groups.

    free_lengths_mm are those of each spring, where all were measured; positions the places for
    springs in the ring, None: as many as are fitted.
    tester_limit is the relative half-width of the tester's scale error, shared by all load points.
    """

    count: int | None = None
    free_length_mm: Quantity | None = None
    installed_length_mm: Quantity | None = None
    shim_mm: Quantity = EXACT_ZERO
    rate_n_per_mm: Quantity | None = None
    load_points: tuple[LoadPoint, ...] = ()
    tester_limit: float = 0.0
    wire_mm: Quantity | None = None
    outside_mm: Quantity | None = None
    inside_mm: Quantity | None = None
    mean_mm: Quantity | None = None
    total_coils: Quantity | None = None
    ends: SpringEnds | None = None
    wire_material: str | None = None
    shear_modulus_mpa: Quantity | None = None
    positions: int | None = None
    free_lengths_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class CoilClamp:
    """Clamp by coil springs, one or several groups in parallel."""

    springs: tuple[SpringGroup, ...] = ()


@dataclass(frozen=True, slots=True)
class DiscClamp:
    """Clamp by disc (diaphragm) springs; installed_deflection_mm is that of the whole stack."""

    outside_mm: Quantity | None = None
    inside_mm: Quantity | None = None
    thickness_mm: Quantity | None = None
    cone_height_mm: Quantity | None = None
    installed_deflection_mm: Quantity | None = None
    in_parallel: int = 1
    in_series: int = 1
    modulus_mpa: Quantity = Quantity(206000.0)
    poisson: Quantity = Quantity(0.3)


@dataclass(frozen=True, slots=True)
class DiscTableClamp:
    """Clamp by a disc spring whose load was measured point by point."""

    points: tuple[LoadPoint, ...] = ()
    installed_deflection_mm: Quantity | None = None


@dataclass(frozen=True, slots=True)
class LoadClamp:
    """A clamp load that was measured; the rate of the whole clamp where it is known."""

    force_n: Quantity | None = None
    rate_n_per_mm: Quantity | None = None


@dataclass(frozen=True, slots=True)
class CentrifugalClamp:
    """Weights on ramps: F = n m r ω²/tan α less the return force."""

    weights: int | None = None
    weight_mass_g: Quantity | None = None
    radius_mm: Quantity | None = None
    ramp_angle_deg: Quantity | None = None
    return_force_n: Quantity | None = None


Clamp = CoilClamp | DiscClamp | DiscTableClamp | LoadClamp | CentrifugalClamp


@dataclass(frozen=True, slots=True)
class PackInputs:
    """One clutch pack. `friction` maps (lubrication, kind) to μ; `friction_source` says whose."""

    name: str = ""
    friction_plates: int | None = None
    lined_faces_per_plate: int = 2
    plain_plates: int | None = None
    surfaces: int | None = None
    surfaces_reason: str | None = None
    facing_od_mm: Quantity | None = None
    facing_id_mm: Quantity | None = None
    grooved_fraction: Quantity = EXACT_ZERO
    mounting: Mounting | None = None
    facing: str | None = None
    friction: Mapping[tuple[Lubrication, FrictionKind], Quantity] = field(default_factory=dict)
    friction_source: Mapping[tuple[Lubrication, FrictionKind], str] = field(default_factory=dict)
    clamp: Clamp | None = None
    lift_mm: Quantity | None = None
    stack_wear_limit_mm: Quantity | None = None
    plate_mass_kg: Quantity | None = None
    friction_plate_mm: Quantity | None = None
    plain_plate_mm: Quantity | None = None
    lever_ratio: Quantity | None = None
    envelope_diameter_mm: Quantity | None = None
    envelope_height_mm: Quantity | None = None
    spline_count: int | None = None
    spline_major_mm: Quantity | None = None
    basket_spline_mm: Quantity | None = None
    gear_teeth: int | None = None
    gear_module_mm: Quantity | None = None
    pressure_limit_mpa: float | None = None
    pressure_limit_source: str | None = None


@dataclass(frozen=True, slots=True)
class MeasuredTorque:
    """Largest crank torque, measured; speed_rpm where it was."""

    torque_nm: Quantity | None = None
    speed_rpm: Quantity | None = None


@dataclass(frozen=True, slots=True)
class PowerTorque:
    """Power at a speed: the torque there, T = 30000 P/(π n)."""

    power_kw: Quantity | None = None
    speed_rpm: Quantity | None = None


@dataclass(frozen=True, slots=True)
class BmepTorque:
    """Mean effective pressure with the engine's displacement."""

    bmep_kpa: Quantity | None = None


@dataclass(frozen=True, slots=True)
class CurveTorque:
    """Torque at several speeds, (r/min, N·m), at the crank or at the wheel.

    relative_doubt is the half-width of the curve's scale as a fraction; at the wheel the
    overall ratio (crank speed/wheel speed) and the driveline efficiency bring it to the crank.
    """

    points: tuple[tuple[float, float], ...] = ()
    at: Literal["crank", "wheel"] = "crank"
    relative_doubt: float = 0.0
    overall_ratio: Quantity | None = None
    driveline_efficiency: Quantity | None = None


Torque = MeasuredTorque | PowerTorque | BmepTorque | CurveTorque


@dataclass(frozen=True, slots=True)
class EngineInputs:
    """One engine with its primary gear; primary_teeth is (driving, driven)."""

    name: str = ""
    displacement_cc: Quantity | None = None
    cylinders: int = 1
    strokes: Literal[2, 4] | None = None
    bore_mm: Quantity | None = None
    stroke_mm: Quantity | None = None
    torque: Torque | None = None
    primary_ratio: Quantity | None = None
    primary_teeth: tuple[int, int] | None = None
    primary_efficiency: Quantity = EXACT_ONE
    service_factor: Quantity | None = None
    envelope_diameter_mm: Quantity | None = None
    envelope_height_mm: Quantity | None = None
    spline_count: int | None = None
    spline_major_mm: Quantity | None = None
    gear_module_mm: Quantity | None = None
    vehicle_mass_kg: Quantity | None = None
    wheel_radius_m: Quantity | None = None
    clutch_to_wheel_ratio: Quantity | None = None


@dataclass(frozen=True, slots=True)
class State:
    """The state that a comparison is made in; wear_mm None means worn to each pack's own limit.

    spline_friction is the coefficient at the splines [1]; None leaves their loss out.
    """

    lubrication: Lubrication = "oiled"
    friction: FrictionKind = "sliding"
    wear_mm: float | None = 0.0
    radius: RadiusModel = "uniform_wear"
    speed_rpm: float | None = None
    spline_friction: float | None = None
