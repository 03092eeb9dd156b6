"""An engine as it is written down, with the one torque figure that is best known."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, field_validator
from pydantic_core import PydanticCustomError
from pydantic_core.core_schema import ValidationInfo

from app.documents.base import Document
from app.documents.doubts import Overrides, into, with_defaults
from app.documents.pack import Checked
from app.documents.quantities import (
    Count,
    EfficiencyQ,
    Fraction,
    Number,
    PositiveNumber,
    PositiveQ,
    Q,
    no_bool,
)
from app.documents.text import Name, Notes
from app.mechanics import inputs

RATIO_AGREEMENT = 0.005
"""A written ratio is rounded; further than this from the teeth it belongs to another gear pair."""


class Measured(Document):
    """Largest torque at the crank, measured."""

    group = "engine"

    kind: Literal["measured"]
    torque_nm: PositiveQ | None = Field(default=None, description="Crank torque, in N·m.")
    speed_rpm: PositiveQ | None = Field(default=None, description="Crank speed there, in r/min.")

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.MeasuredTorque:
        """The figure as the mechanics take it."""
        return into(inputs.MeasuredTorque, with_defaults(self, overrides))


class Power(Document):
    """Power at a speed, which gives the torque at that speed."""

    group = "engine"

    kind: Literal["power"]
    power_kw: PositiveQ | None = Field(default=None, description="Power, in kW.")
    speed_rpm: PositiveQ | None = Field(default=None, description="Crank speed, in r/min.")

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.PowerTorque:
        """The figure as the mechanics take it."""
        return into(inputs.PowerTorque, with_defaults(self, overrides))


class Bmep(Document):
    """Brake mean effective pressure; with the displacement it gives the torque."""

    group = "engine"

    kind: Literal["bmep"]
    bmep_kpa: PositiveQ | None = Field(
        default=None, description="Brake mean effective pressure, in kPa."
    )

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.BmepTorque:
        """The figure as the mechanics take it."""
        return into(inputs.BmepTorque, with_defaults(self, overrides))


class Curve(Document):
    """Torque at several speeds, at the crank or at the wheel."""

    group = "engine"

    kind: Literal["curve"]
    points: list[tuple[PositiveNumber, Number]] = Field(
        default_factory=list,
        max_length=2000,
        description="Pairs of speed in r/min and torque in N·m.",
    )
    at: Literal["crank", "wheel"] = Field(
        default="crank", description="Where the torque was measured; the speed is the crank's."
    )
    relative_doubt: Fraction = Field(
        default=0.0, description="Half-width of the curve's scale, as a fraction; 0.03 is 3 %."
    )
    overall_ratio: PositiveQ | None = Field(
        default=None, description="Crank speed over wheel speed, for a curve at the wheel."
    )
    driveline_efficiency: EfficiencyQ | None = Field(
        default=None, description="Share of the crank's torque that reaches the wheel."
    )

    @field_validator("points")
    @classmethod
    def _speeds_once(cls, points: list[tuple[float, float]]) -> list[tuple[float, float]]:
        rising = sorted(points)
        if len({speed for speed, _ in rising}) < len(rising):
            raise PydanticCustomError("order", "Write each speed once, with one torque.")
        return rising

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.CurveTorque:
        """The figure as the mechanics take it."""
        return into(inputs.CurveTorque, with_defaults(self, overrides), points=tuple(self.points))


Torque = Annotated[Measured | Power | Bmep | Curve, Field(discriminator="kind")]


class Engine(Document):
    """One engine with its primary drive."""

    group = "engine"

    name: Name = Field(description="Name of the engine, one of its kind.")
    displacement_cc: PositiveQ | None = Field(
        default=None, description="Swept volume of all cylinders, in cm³."
    )
    cylinders: Count = Field(default=1, description="Number of cylinders.")
    strokes: Annotated[Literal[2, 4], BeforeValidator(no_bool)] | None = Field(
        default=None, description="2 for a two-stroke, 4 for a four-stroke."
    )
    bore_mm: PositiveQ | None = Field(default=None, description="Bore, in mm.")
    stroke_mm: PositiveQ | None = Field(default=None, description="Stroke, in mm.")
    torque: Torque | None = Field(default=None, description="The torque, by what is best known.")
    primary_ratio: PositiveQ | None = Field(
        default=None, description="Crank speed over clutch speed."
    )
    primary_teeth: tuple[Count, Count] | None = Field(
        default=None, description="Teeth of the primary drive: [driving, driven]."
    )
    primary_efficiency: EfficiencyQ = Field(
        default=Q(value=1.0), description="Share of the torque that passes the primary drive."
    )
    service_factor: PositiveQ | None = Field(
        default=None, description="What the clutch must hold over the mean torque."
    )
    envelope_diameter_mm: PositiveQ | None = Field(
        default=None, description="Room for the pack across, in mm."
    )
    envelope_height_mm: PositiveQ | None = Field(
        default=None, description="Room for the pack along the shaft, in mm."
    )
    spline_count: Count | None = Field(default=None, description="Splines of the shaft.")
    spline_major_mm: PositiveQ | None = Field(
        default=None, description="Major diameter of the shaft's splines, in mm."
    )
    gear_module_mm: PositiveQ | None = Field(
        default=None, description="Module of the primary gears, in mm."
    )
    vehicle_mass_kg: PositiveQ | None = Field(
        default=None, description="Vehicle, rider and load at a start from rest, in kg."
    )
    wheel_radius_m: PositiveQ | None = Field(
        default=None, description="Rolling radius of the driven wheel, in m."
    )
    clutch_to_wheel_ratio: PositiveQ | None = Field(
        default=None, description="Clutch speed over wheel speed in first gear."
    )
    notes: Notes = Field(default=None, description="Anything else worth knowing.")
    checked: Checked | None = Field(default=None, description="Who looked the figures over.")

    @field_validator("primary_teeth")
    @classmethod
    def _teeth_fit_the_ratio(
        cls, teeth: tuple[int, int] | None, info: ValidationInfo
    ) -> tuple[int, int] | None:
        ratio = info.data.get("primary_ratio")
        if teeth is None or ratio is None:
            return teeth
        by_teeth = teeth[1] / teeth[0]
        if abs(by_teeth / ratio.value - 1.0) > RATIO_AGREEMENT:
            raise PydanticCustomError(
                "ratio_teeth",
                "The teeth give {by_teeth} and the ratio says {ratio}: write the right one and "
                "leave the other out. The teeth are [driving, driven].",
                {"by_teeth": f"{by_teeth:.4g}", "ratio": f"{ratio.value:.4g}"},
            )
        return teeth

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.EngineInputs:
        """The engine as the mechanics take it, usual doubts filled in."""
        filled = with_defaults(self, overrides)
        torque = None if filled.torque is None else filled.torque.to_inputs()
        return into(inputs.EngineInputs, filled, torque=torque)
