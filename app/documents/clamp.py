"""The clamp side of a pack as it is written down: coil, disc, load or centrifugal."""

from typing import Annotated, Any, Literal

from pydantic import Field, field_validator, model_validator
from pydantic_core import PydanticCustomError
from pydantic_core.core_schema import ValidationInfo

from app.documents.base import Document
from app.documents.doubts import Overrides, into, with_defaults
from app.documents.quantities import (
    LARGEST,
    Count,
    Fraction,
    NonNegativeNumber,
    PoissonQ,
    PositiveNumber,
    PositiveQ,
    Q,
    RampAngleQ,
    ZeroOrMoreQ,
)
from app.documents.text import Line
from app.mechanics import inputs
from app.mechanics.coil_spring import active_coils
from app.mechanics.inputs import SpringEnds


def larger_than(value: Q | None, other: Q | None, sentence: str) -> Q | None:
    """`value`, which must be larger than `other` where both are known."""
    if value is not None and other is not None and value.value <= other.value:
        raise PydanticCustomError("order", "{sentence}", {"sentence": sentence})
    return value


MEAN_OF_ALL = "mean of every spring's length"
"""With what a free length was measured that came of all springs of the set."""


def _is_length(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 < value < LARGEST


class LoadPoint(Document):
    """One reading of a spring: how far it was pressed from free, and the force that took."""

    group = "load_point"

    deflection_mm: NonNegativeNumber = Field(description="Deflection from the free length, in mm.")
    force_n: NonNegativeNumber = Field(description="Force at that deflection, in N.")

    def to_inputs(self) -> inputs.LoadPoint:
        """The reading as the mechanics take it."""
        return inputs.LoadPoint(self.deflection_mm, self.force_n)


class SpringGroup(Document):
    """Coil springs alike, side by side; inner and outer nests are two groups.

    Clamp of the group = count × rate × (free length − installed length + shim − wear).
    """

    group = "spring"

    name: Line = Field(default=None, description="Name of the set, so that it can be moved.")
    count: Count | None = Field(default=None, description="Number of springs fitted.")
    positions: Count | None = Field(
        default=None, description="Places for springs of this group; none: as many as are fitted."
    )
    free_lengths_mm: list[PositiveNumber] | None = Field(
        default=None,
        max_length=50,
        description="Free length of each spring, in mm; their mean is the free length where that "
        "is left out.",
    )
    free_length_mm: PositiveQ | None = Field(default=None, description="Free length, in mm.")
    installed_length_mm: PositiveQ | None = Field(
        default=None, description="Length in the assembled pack, without shim, in mm."
    )
    shim_mm: ZeroOrMoreQ = Field(
        default=Q(value=0.0), description="Thickness of shim under each spring, in mm."
    )
    rate_n_per_mm: PositiveQ | None = Field(
        default=None, description="Rate of one spring, in N/mm."
    )
    load_points: list[LoadPoint] | None = Field(
        default=None, max_length=500, description="Readings of one spring on a tester."
    )
    tester_limit: Fraction | None = Field(
        default=None,
        description="Relative half-width of the tester's scale error; 0.02 is 2 %. None: exact.",
    )
    wire_mm: PositiveQ | None = Field(default=None, description="Wire diameter, in mm.")
    inside_mm: PositiveQ | None = Field(default=None, description="Inside diameter, in mm.")
    mean_mm: PositiveQ | None = Field(default=None, description="Mean coil diameter, in mm.")
    outside_mm: PositiveQ | None = Field(default=None, description="Outside diameter, in mm.")
    total_coils: PositiveQ | None = Field(
        default=None, description="Total coils, dead ones included."
    )
    ends: SpringEnds | None = Field(
        default=None, description="Form of the ends, which sets the active coils."
    )
    wire_material: Line = Field(
        default=None, description="Name of a wire in the table of wire materials."
    )
    shear_modulus_mpa: PositiveQ | None = Field(
        default=None, description="Shear modulus of the wire, in MPa; else the material's own."
    )

    @model_validator(mode="before")
    @classmethod
    def _mean_of_all(cls, raw: Any) -> Any:
        """The free length of a set whose every spring was measured: rates alike, its mean."""
        if not isinstance(raw, dict) or raw.get("free_length_mm") is not None:
            return raw
        lengths = raw.get("free_lengths_mm")
        if not isinstance(lengths, list) or not lengths or not all(map(_is_length, lengths)):
            return raw
        mean = round(sum(lengths) / len(lengths), 6)
        return {**raw, "free_length_mm": {
            "value": mean, "how": "measured", "with_what": MEAN_OF_ALL}}

    @field_validator("mean_mm")
    @classmethod
    def _mean_fits(cls, mean: Q | None, info: ValidationInfo) -> Q | None:
        larger_than(
            mean,
            info.data.get("wire_mm"),
            "Write a mean diameter larger than the wire: the coil needs a hole.",
        )
        return larger_than(
            mean,
            info.data.get("inside_mm"),
            "Write a mean diameter larger than the inside diameter.",
        )

    @field_validator("outside_mm")
    @classmethod
    def _outside_fits(cls, outside: Q | None, info: ValidationInfo) -> Q | None:
        wire = info.data.get("wire_mm")
        if outside is not None and wire is not None and outside.value <= 2.0 * wire.value:
            raise PydanticCustomError(
                "order",
                "Write an outside diameter larger than twice the wire: the coil needs a hole.",
            )
        for name in ("inside", "mean"):
            larger_than(
                outside,
                info.data.get(f"{name}_mm"),
                f"Write an outside diameter larger than the {name} diameter.",
            )
        return outside

    @field_validator("ends")
    @classmethod
    def _coils_work(cls, ends: SpringEnds | None, info: ValidationInfo) -> SpringEnds | None:
        total = info.data.get("total_coils")
        if ends is not None and total is not None and active_coils(total.value, ends) <= 0.0:
            raise PydanticCustomError(
                "coils",
                "Write more total coils: these ends put {dead} of them out of work, so "
                "{total} leave none that works.",
                {"dead": f"{active_coils(0.0, ends):g}".lstrip("-"), "total": f"{total.value:g}"},
            )
        return ends

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.SpringGroup:
        """The group as the mechanics take it; a tester without a stated limit is exact."""
        return into(
            inputs.SpringGroup,
            with_defaults(self, overrides),
            load_points=tuple(point.to_inputs() for point in self.load_points or ()),
            tester_limit=self.tester_limit or 0.0,
            free_lengths_mm=tuple(self.free_lengths_mm or ()),
        )


class Coil(Document):
    """Clamp by coil springs, one or several groups in parallel."""

    kind: Literal["coil"]
    springs: list[SpringGroup] = Field(
        default_factory=list, max_length=50, description="The groups of springs."
    )

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.CoilClamp:
        """The clamp as the mechanics take it."""
        filled = with_defaults(self, overrides)
        return inputs.CoilClamp(tuple(group.to_inputs() for group in filled.springs))


class Disc(Document):
    """Clamp by disc (diaphragm) springs, load by EN 16984 from their measures."""

    group = "disc"

    kind: Literal["disc"]
    inside_mm: PositiveQ | None = Field(default=None, description="Inside diameter, in mm.")
    outside_mm: PositiveQ | None = Field(default=None, description="Outside diameter, in mm.")
    thickness_mm: PositiveQ | None = Field(default=None, description="Thickness, in mm.")
    cone_height_mm: PositiveQ | None = Field(
        default=None, description="Free cone height of one disc (its height less t), in mm."
    )
    installed_deflection_mm: ZeroOrMoreQ | None = Field(
        default=None, description="Deflection of the whole stack in the pack, in mm."
    )
    in_parallel: Count = Field(default=1, description="Discs lying in each other.")
    in_series: Count = Field(default=1, description="Such packets laid against each other.")
    modulus_mpa: PositiveQ = Field(
        default=Q(value=206000.0), description="Young's modulus, in MPa."
    )
    poisson: PoissonQ = Field(default=Q(value=0.3), description="Poisson's ratio.")

    @field_validator("outside_mm")
    @classmethod
    def _outside_fits(cls, outside: Q | None, info: ValidationInfo) -> Q | None:
        return larger_than(
            outside,
            info.data.get("inside_mm"),
            "Write an outside diameter larger than the inside diameter.",
        )

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.DiscClamp:
        """The clamp as the mechanics take it."""
        return into(inputs.DiscClamp, with_defaults(self, overrides))


class DiscTable(Document):
    """Clamp by a disc spring whose load was measured point by point."""

    group = "disc_table"

    kind: Literal["disc_table"]
    points: list[LoadPoint] = Field(
        default_factory=list,
        max_length=500,
        description="Load against deflection of the whole stack.",
    )
    installed_deflection_mm: ZeroOrMoreQ | None = Field(
        default=None, description="Deflection of the whole stack in the pack, in mm."
    )

    @field_validator("points")
    @classmethod
    def _rising(cls, points: list[LoadPoint]) -> list[LoadPoint]:
        rising = sorted(points, key=lambda point: point.deflection_mm)
        at = [point.deflection_mm for point in rising]
        if len(set(at)) < len(at):
            raise PydanticCustomError("order", "Write each deflection once, with one force.")
        return rising

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.DiscTableClamp:
        """The clamp as the mechanics take it."""
        points = tuple(point.to_inputs() for point in self.points)
        return into(inputs.DiscTableClamp, with_defaults(self, overrides), points=points)


class Load(Document):
    """A clamp load that was measured."""

    group = "load"

    kind: Literal["load"]
    force_n: PositiveQ | None = Field(default=None, description="Clamp load, in N.")
    rate_n_per_mm: PositiveQ | None = Field(
        default=None, description="Rate of the whole clamp, in N/mm, for wear and lift."
    )

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.LoadClamp:
        """The clamp as the mechanics take it."""
        return into(inputs.LoadClamp, with_defaults(self, overrides))


class Centrifugal(Document):
    """Clamp by weights on ramps: n m r ω²/tan α less the return force."""

    group = "centrifugal"

    kind: Literal["centrifugal"]
    weights: Count | None = Field(default=None, description="Number of weights or rollers.")
    weight_mass_g: PositiveQ | None = Field(default=None, description="Mass of one weight, in g.")
    radius_mm: PositiveQ | None = Field(
        default=None, description="Radius of the weights' centre when engaged, in mm."
    )
    ramp_angle_deg: RampAngleQ | None = Field(
        default=None, description="Angle of the ramps from the plane of rotation, in degrees."
    )
    return_force_n: ZeroOrMoreQ | None = Field(
        default=None, description="Whole return force at the pressure plate, in N."
    )

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.CentrifugalClamp:
        """The clamp as the mechanics take it."""
        return into(inputs.CentrifugalClamp, with_defaults(self, overrides))


Clamp = Annotated[Coil | Disc | DiscTable | Load | Centrifugal, Field(discriminator="kind")]
