"""A slip test as it is written down: one run of a pack, with its readings in order."""

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, field_validator, model_validator
from pydantic_core import PydanticCustomError
from pydantic_core.core_schema import ValidationInfo

from app.documents.base import Document
from app.documents.quantities import (
    Count,
    CountOrNone,
    NonNegativeNumber,
    Number,
    PositiveNumber,
)
from app.documents.text import Line, Moment, Notes
from app.mechanics.inputs import FrictionKind, Lubrication
from app.mechanics.slip_readings import SlipReading

ReadingKind = Literal["value", "span", "at_least", "at_most"]
Direction = Literal["clockwise", "anticlockwise"]
Heat = Literal["cold", "hot"]
FacingWear = Literal["new", "worn"]

READING_KINDS: tuple[ReadingKind, ...] = ("value", "span", "at_least", "at_most")
MOST_READINGS = 500
ABSOLUTE_ZERO_C = -273.15
_OPEN = float("inf")

_FORMS: dict[frozenset[str], ReadingKind] = {
    frozenset({"torque_nm"}): "value",
    frozenset({"low_nm", "high_nm"}): "span",
    frozenset({"at_least_nm"}): "at_least",
    frozenset({"at_most_nm"}): "at_most",
}
_TORQUES = ("torque_nm", "low_nm", "high_nm", "at_least_nm", "at_most_nm")


def _warm_enough(value: float) -> float:
    if value < ABSOLUTE_ZERO_C:
        raise PydanticCustomError("temperature", "Write a temperature of -273.15 °C or above.")
    return value


Temperature = Annotated[
    Number, AfterValidator(_warm_enough), Field(json_schema_extra={"minimum": ABSOLUTE_ZERO_C})
]
YesNo = Annotated[bool, Field(strict=True)]


class TorqueReading(Document):
    """One reading: a value, a span, or a bound where the gauge ended or began."""

    group = "slip_test"

    torque_nm: PositiveNumber | None = Field(default=None, description="A value, in N·m.")
    low_nm: PositiveNumber | None = Field(
        default=None, description="Lower end of a span, in N·m, as on a gauge that kept moving."
    )
    high_nm: PositiveNumber | None = Field(
        default=None, description="Upper end of the span, in N·m."
    )
    at_least_nm: PositiveNumber | None = Field(
        default=None, description="It still held at this torque, in N·m."
    )
    at_most_nm: PositiveNumber | None = Field(
        default=None, description="It slipped below this torque, in N·m."
    )
    typed: Line = Field(default=None, description="The figure as it was typed, with its unit.")
    typed_high: Line = Field(default=None, description="The upper end as it was typed.")
    as_read: YesNo = Field(
        default=False,
        description="The tester says that a figure beyond the instrument's range was read so.",
    )

    @model_validator(mode="after")
    def _one_form(self) -> "TorqueReading":
        if self._given() not in _FORMS:
            raise PydanticCustomError(
                "reading",
                "Give torque_nm, or low_nm with high_nm, or at_least_nm, or at_most_nm.",
            )
        if self.low_nm is not None and self.high_nm is not None and self.low_nm > self.high_nm:
            told = "Write an upper end that is not below the lower one."
            raise PydanticCustomError("order", told)
        return self

    def _given(self) -> frozenset[str]:
        return frozenset(name for name in _TORQUES if getattr(self, name) is not None)

    @property
    def kind(self) -> ReadingKind:
        """Which of the four forms it has."""
        return _FORMS[self._given()]

    @property
    def ends(self) -> tuple[float | None, float | None]:
        """Lower and upper end [N·m]: alike for a value, None at the open end of a bound."""
        if self.torque_nm is not None:
            return self.torque_nm, self.torque_nm
        return self.low_nm or self.at_least_nm, self.high_nm or self.at_most_nm

    def to_reading(self) -> SlipReading:
        """The reading as the mechanics take it."""
        low, high = self.ends
        return SlipReading(low or 0.0, _OPEN if high is None else high)


class SlipTest(Document):
    """One run of a pack on the bench until it slipped, or until the gauge ended."""

    group = "slip_test"

    name: Line = Field(
        default=None,
        description="Name of the run; left out, it is made of the day, the pack and a number.",
    )
    pack: Line = Field(description="Id of the pack that was tested.")
    date: Moment = Field(default=None, description="When, as year-month-day.")
    by: Line = Field(default=None, description="Who tested.")
    lubrication: Lubrication = Field(description="dry or oiled.")
    friction: FrictionKind = Field(
        description="Which coefficient it tells of: static (at the first slip) or sliding."
    )
    springs_fitted: Count | None = Field(
        default=None, description="Springs fitted; left out: all of them."
    )
    direction: Direction | None = Field(
        default=None, description="clockwise or anticlockwise, seen from the gauge."
    )
    speed_rpm: NonNegativeNumber | None = Field(
        default=None, description="Speed of slip, in r/min; 0 by hand."
    )
    temperature_c: Temperature | None = Field(default=None, description="Of the plates, in °C.")
    runs_since_assembly: CountOrNone | None = Field(
        default=None, description="Runs since the pack was last put together, without this one."
    )
    wear_mm: NonNegativeNumber | None = Field(
        default=None, description="Wear of the whole stack at the test, in mm; left out: 0."
    )
    instrument: Line = Field(default=None, description="Id of the instrument.")
    readings: list[TorqueReading] = Field(
        min_length=1, max_length=MOST_READINGS, description="Readings in order."
    )
    oil_on_plates: YesNo | None = Field(
        default=None, description="Whether there was oil on the plates."
    )
    heat: Heat | None = Field(default=None, description="cold or hot.")
    facings: FacingWear | None = Field(default=None, description="new or worn.")
    excluded: YesNo = Field(default=False, description="Leave this run out of fits.")
    excluded_reason: Line = Field(default=None, description="Why it is left out.")
    notes: Notes = Field(default=None, description="Anything else worth knowing.")

    @field_validator("pack")
    @classmethod
    def _of_a_pack(cls, pack: str | None) -> str:
        if pack is None:
            raise PydanticCustomError("pack", "Say which pack was tested.")
        return pack

    @field_validator("readings", mode="before")
    @classmethod
    def _some_reading(cls, readings: object) -> object:
        if readings == []:
            raise PydanticCustomError("no_reading", "Add at least one reading.")
        return readings

    @field_validator("excluded_reason")
    @classmethod
    def _reason_fits(cls, reason: str | None, info: ValidationInfo) -> str | None:
        if reason is None and info.data.get("excluded"):
            raise PydanticCustomError("why", "Say why this run is left out of fits.")
        return reason

    @model_validator(mode="after")
    def _reason_given(self) -> "SlipTest":
        # A default is not validated, so a reason that was not written at all is looked for here.
        if self.excluded and self.excluded_reason is None:
            raise PydanticCustomError("why", "Say in excluded_reason why this run is left out.")
        return self
