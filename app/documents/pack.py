"""A clutch pack as it is written down. Everything but the name may be missing: not known yet."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, field_validator
from pydantic_core import PydanticCustomError
from pydantic_core.core_schema import ValidationInfo

from app.documents.base import Document
from app.documents.clamp import Clamp, larger_than
from app.documents.doubts import Overrides, into, with_defaults
from app.documents.quantities import (
    Count,
    CountOrNone,
    FractionQ,
    PositiveQ,
    Q,
    ZeroOrMoreQ,
    no_bool,
)
from app.documents.text import Line, Moment, Name, Notes
from app.fields import Field as CatalogueField
from app.fields import field
from app.mechanics import inputs
from app.mechanics.friction_source import OWN, TESTED
from app.mechanics.inputs import FrictionKind, Lubrication, Mounting

STATES: tuple[tuple[Lubrication, FrictionKind], ...] = (
    ("dry", "static"),
    ("dry", "sliding"),
    ("oiled", "static"),
    ("oiled", "sliding"),
)

FITTED = "fitted to "
"""How `with_what` begins of a friction coefficient that rests on the team's own slip tests."""


class FrictionPair(Document):
    """Friction coefficients of one lubrication state."""

    group = "friction"

    static: PositiveQ | None = Field(default=None, description="Static coefficient μ.")
    sliding: PositiveQ | None = Field(default=None, description="Sliding coefficient μ.")

    @classmethod
    def field_of(cls, _name: str) -> CatalogueField:
        """Both coefficients are the one figure of the catalogue."""
        return field(cls.group, "friction")


class Friction(Document):
    """The pack's own friction coefficients; they win over the facing's table."""

    dry: FrictionPair | None = Field(default=None, description="Running dry.")
    oiled: FrictionPair | None = Field(default=None, description="Running in oil.")


class Checked(Document):
    """A second person's look at the figures; editing a figure withdraws it."""

    by: Name = Field(description="Who checked the figures.")
    at: Moment = Field(default=None, description="When, as year-month-day.")


class Pack(Document):
    """One clutch pack: its plates, its clamp, and the room it needs."""

    group = "pack"

    name: Name = Field(description="Name of the pack, one of its kind.")
    friction_plates: Count | None = Field(default=None, description="Number of friction plates.")
    lined_faces_per_plate: Annotated[Literal[1, 2], BeforeValidator(no_bool)] = Field(
        default=2, description="Faces of a friction plate that are lined: 1 or 2."
    )
    plain_plates: CountOrNone | None = Field(
        default=None, description="Number of plain plates between the end plates."
    )
    surfaces: Count | None = Field(
        default=None, description="Working faces, where the usual count is wrong."
    )
    surfaces_reason: Line = Field(default=None, description="Why the usual count is wrong.")
    facing_id_mm: PositiveQ | None = Field(
        default=None, description="Inside diameter of the facing, in mm."
    )
    facing_od_mm: PositiveQ | None = Field(
        default=None, description="Outside diameter of the facing, in mm."
    )
    grooved_fraction: FractionQ = Field(
        default=Q(value=0.0), description="Share of a face lost to grooves or gaps, 0 to below 1."
    )
    mounting: Mounting | None = Field(
        default=None, description="On the crankshaft, or geared behind the primary drive."
    )
    facing: Line = Field(default=None, description="Name of a facing in the table of facings.")
    friction: Friction | None = Field(default=None, description="Own friction coefficients.")
    clamp: Clamp | None = Field(default=None, description="What presses the plates together.")
    lift_mm: ZeroOrMoreQ | None = Field(
        default=None, description="Lift of the pressure plate at full release, in mm."
    )
    stack_wear_limit_mm: ZeroOrMoreQ | None = Field(
        default=None, description="Wear of the whole stack at the facings' limit, in mm."
    )
    plate_mass_kg: PositiveQ | None = Field(
        default=None, description="Mass of the steel that takes up heat, in kg."
    )
    friction_plate_mm: PositiveQ | None = Field(
        default=None, description="Thickness of a friction plate, in mm."
    )
    plain_plate_mm: PositiveQ | None = Field(
        default=None, description="Thickness of a plain plate, in mm."
    )
    envelope_diameter_mm: PositiveQ | None = Field(
        default=None, description="Largest diameter of the assembled pack, in mm."
    )
    envelope_height_mm: PositiveQ | None = Field(
        default=None, description="Height of the assembled pack along the shaft, in mm."
    )
    spline_count: Count | None = Field(default=None, description="Splines of the hub.")
    spline_major_mm: PositiveQ | None = Field(
        default=None, description="Major diameter of the hub's splines, in mm."
    )
    basket_spline_mm: PositiveQ | None = Field(
        default=None,
        description="Diameter at which the outer plates' tabs bear on the basket, in mm.",
    )
    gear_teeth: Count | None = Field(default=None, description="Teeth of the pack's driven gear.")
    gear_module_mm: PositiveQ | None = Field(
        default=None, description="Module of that gear, in mm."
    )
    lever_ratio: PositiveQ | None = Field(
        default=None, description="Lever travel over pressure-plate travel."
    )
    notes: Notes = Field(default=None, description="Anything else worth knowing.")
    checked: Checked | None = Field(default=None, description="Who looked the figures over.")

    @field_validator("facing_od_mm")
    @classmethod
    def _outside_fits(cls, outside: Q | None, info: ValidationInfo) -> Q | None:
        return larger_than(
            outside,
            info.data.get("facing_id_mm"),
            "Write an outside diameter larger than the inside diameter.",
        )

    @field_validator("surfaces_reason")
    @classmethod
    def _reason_has_a_count(cls, reason: str | None, info: ValidationInfo) -> str | None:
        if reason is not None and "surfaces" in info.data and info.data["surfaces"] is None:
            raise PydanticCustomError(
                "reason_alone", "Write the number of working faces too, or leave the reason out."
            )
        return reason

    def own_friction(self) -> dict[tuple[Lubrication, FrictionKind], Q]:
        """The pack's own friction coefficients by lubrication and kind."""
        found: dict[tuple[Lubrication, FrictionKind], Q] = {}
        for lubrication, kind in STATES:
            pair = getattr(self.friction, lubrication, None)
            value = getattr(pair, kind, None)
            if value is not None:
                found[lubrication, kind] = value
        return found

    def to_inputs(self, overrides: Overrides | None = None) -> inputs.PackInputs:
        """The pack as the mechanics take it, usual doubts filled in."""
        filled = with_defaults(self, overrides)
        own = {key: q.to_quantity() for key, q in filled.own_friction().items()}
        return into(
            inputs.PackInputs,
            filled,
            clamp=None if filled.clamp is None else filled.clamp.to_inputs(),
            friction=own,
            friction_source={
                key: TESTED if (q.with_what or "").startswith(FITTED) else OWN
                for key, q in filled.own_friction().items()
            },
        )
