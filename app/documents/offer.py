"""A seller's offer with what it claims."""

from pydantic import Field, field_validator
from pydantic_core import PydanticCustomError
from pydantic_core.core_schema import ValidationInfo

from app.documents.base import Document
from app.documents.quantities import NonNegativeNumber, PositiveNumber
from app.documents.text import Currency, Line, Link, Moment, Name, Notes


class Offer(Document):
    """One listing: who sells, what is claimed, for how much."""

    name: Name = Field(description="Title of the offer, one of its kind.")
    pack: Line = Field(default=None, description="Id of the pack on offer, where it is recorded.")
    seller: Line = Field(default=None, description="Who sells it.")
    claim: Notes = Field(default=None, description="What the offer claims, in its own words.")
    claimed_cc_low: PositiveNumber | None = Field(
        default=None, description="Least displacement that it claims to hold, in cm³."
    )
    claimed_cc_high: PositiveNumber | None = Field(
        default=None, description="Largest displacement that it claims to hold, in cm³."
    )
    price: NonNegativeNumber | None = Field(default=None, description="Price of one pack.")
    currency: Currency = Field(default=None, description="Currency by ISO 4217, like EUR.")
    link: Link = Field(default=None, description="Address of the offer on the web.")
    date: Moment = Field(default=None, description="When it was seen, as year-month-day.")
    notes: Notes = Field(default=None, description="Anything else worth knowing.")

    @field_validator("claimed_cc_high")
    @classmethod
    def _range_rises(cls, high: float | None, info: ValidationInfo) -> float | None:
        low = info.data.get("claimed_cc_low")
        if high is not None and low is not None and high < low:
            raise PydanticCustomError(
                "order", "Write a largest displacement that is not below the least."
            )
        return high
