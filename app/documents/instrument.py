"""A gauge or a torque wrench as it is written down."""

from pydantic import Field, field_validator
from pydantic_core import PydanticCustomError
from pydantic_core.core_schema import ValidationInfo

from app.documents.base import Document
from app.documents.quantities import Fraction, NonNegativeNumber, PositiveNumber
from app.documents.text import Name, Notes


class Instrument(Document):
    """What torque is read with: its range, how far it may be off, its smallest step."""

    group = "instrument"

    name: Name = Field(description="Name of the instrument, one of its kind.")
    range_low_nm: NonNegativeNumber | None = Field(
        default=None, description="First torque that can be trusted, in N·m."
    )
    range_high_nm: PositiveNumber | None = Field(
        default=None, description="Last torque that it shows, in N·m."
    )
    relative_accuracy: Fraction | None = Field(
        default=None, description="Limit of its error as a share of the reading, 0 to below 1."
    )
    resolution_nm: NonNegativeNumber | None = Field(
        default=None, description="Smallest step that can be read off, in N·m."
    )
    notes: Notes = Field(default=None, description="Anything else worth knowing.")

    @field_validator("range_high_nm")
    @classmethod
    def _range_rises(cls, high: float | None, info: ValidationInfo) -> float | None:
        low = info.data.get("range_low_nm")
        if high is not None and low is not None and high <= low:
            raise PydanticCustomError("order", "Write an end of the range above its beginning.")
        return high
