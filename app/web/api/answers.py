"""Shapes of the interface's answers, for its OpenAPI document."""

from typing import Literal

from pydantic import BaseModel, Field


class Reading(BaseModel):
    """A figure in the unit that its name ends with, with its 95 % interval; null: not known."""

    value: float
    std: float | None = Field(description="Standard uncertainty; null where none can be known.")
    low: float | None
    high: float | None


class Warning(BaseModel):  # noqa: A001 - the interface calls it a warning
    """A remark that does not stop the answer."""

    code: str
    text: str
    where: str | None = Field(default=None, description="Path of the figure it is about.")


class WorkingLine(BaseModel):
    """One step of the working."""

    name: str
    value: float | None = Field(description="null where it leaves the range of numbers.")
    std: float | None
    unit: str
    formula: str
    substituted: str
    source: str
    group: int | None = Field(default=None, description="Number of the spring group, from 0.")


class Share(BaseModel):
    """Part of the variance that one input makes up."""

    input: str
    share: float


class MonteCarlo(BaseModel):
    """The same figures from seeded draws of every input."""

    draws: int
    seed: int
    capacity_nm: Reading | None = None
    required_nm: Reading | None = None
    ratio: Reading | None = None
    p_slip: float | None = None
    agrees: bool | None = Field(
        default=None, description="Whether both ends lie within a tenth of the half-width."
    )


class Evaluation(BaseModel):
    """The answer for one pack and one engine, or for one of them."""

    capacity_nm: Reading | None = None
    required_nm: Reading | None = None
    ratio: Reading | None = None
    ratio_without_factor: Reading | None = None
    p_slip: float | None = None
    verdict: Literal["holds", "tight", "slips", "unknown"]
    heavy: bool
    missing: list[str]
    warnings: list[Warning]
    working: list[WorkingLine]
    variance: list[Share]
    monte_carlo: MonteCarlo | None = None


class SpringRate(BaseModel):
    """A rate fitted to load points."""

    rate_n_per_mm: Reading
    intercept_n: Reading | None = None
    residual_std_n: float | None
    degrees_of_freedom: int
    warnings: list[Warning]
