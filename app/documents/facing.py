"""A facing material with its friction coefficients, from a table or from the team."""

from typing import Literal

from pydantic import Field, field_validator
from pydantic_core import PydanticCustomError
from pydantic_core.core_schema import ValidationInfo

from app.documents.base import Document
from app.documents.quantities import PositiveNumber
from app.documents.text import Name, Notes
from app.mechanics.inputs import Lubrication


class FrictionValue(Document):
    """One row of a friction table: a range with its usual value."""

    lubrication: Lubrication = Field(description="dry or oiled.")
    kind: Literal["static", "sliding", "both"] = Field(
        description="static, sliding, or both where the source gives one figure for the two."
    )
    low: PositiveNumber | None = Field(
        default=None, description="Lowest friction coefficient, where a range is printed."
    )
    nominal: PositiveNumber = Field(description="Usual friction coefficient.")
    high: PositiveNumber | None = Field(
        default=None, description="Highest friction coefficient, where a range is printed."
    )
    p_max_low_mpa: PositiveNumber | None = Field(
        default=None, description="Allowable pressure, cautious end, in MPa."
    )
    p_max_high_mpa: PositiveNumber | None = Field(
        default=None, description="Allowable pressure, bold end, in MPa."
    )
    power_w_mm2: PositiveNumber | None = Field(
        default=None, description="Allowable friction power for the face area, in W/mm²."
    )
    source: Notes = Field(default=None, description="Author, title and table, or whose test.")
    note: Notes = Field(default=None, description="What the source adds.")

    @field_validator("nominal")
    @classmethod
    def _nominal_fits(cls, nominal: float, info: ValidationInfo) -> float:
        low = info.data.get("low")
        if low is not None and nominal < low:
            raise PydanticCustomError("order", "Write a usual value that is not below the lowest.")
        return nominal

    @field_validator("high")
    @classmethod
    def _high_fits(cls, high: float | None, info: ValidationInfo) -> float | None:
        if high is not None and high < info.data.get("nominal", high):
            raise PydanticCustomError(
                "order", "Write a highest value that is not below the usual one."
            )
        return high

    @field_validator("p_max_high_mpa")
    @classmethod
    def _pressures_fit(cls, high: float | None, info: ValidationInfo) -> float | None:
        low = info.data.get("p_max_low_mpa")
        if high is not None and low is not None and high < low:
            raise PydanticCustomError(
                "order", "Write a bold pressure that is not below the cautious one."
            )
        return high


class Facing(Document):
    """A facing material: its name and its friction values, one row per source and state."""

    name: Name = Field(description="Name of the facing, one of its kind.")
    notes: Notes = Field(default=None, description="Anything else worth knowing.")
    values: list[FrictionValue] = Field(
        default_factory=list, max_length=200, description="Rows of the friction table."
    )
