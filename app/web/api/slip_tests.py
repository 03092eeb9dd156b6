"""Questions about slip tests that store nothing: friction fitted to readings, a test planned."""

from typing import Annotated, Any, Literal

from fastapi import APIRouter
from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from app.comparison.slip_plan import Link, plan_slip_test
from app.documents import Document, State
from app.documents.quantities import Count, NonNegativeNumber, PositiveNumber
from app.documents.text import Line
from app.mechanics.slip_readings import SlipReading, SlipRun
from app.mechanics.slip_test import fit_friction
from app.presentation import slip_interface
from app.web.api.stateless import AskedPack, Sent, unknown_fields

router = APIRouter(prefix="/api/v1", tags=["stateless"])
INFINITE = float("inf")


class ReadingDocument(Document):
    """One reading: a value, a span, or a bound where the gauge ended first."""

    torque_nm: PositiveNumber | None = None
    low_nm: PositiveNumber | None = None
    high_nm: PositiveNumber | None = None
    at_least_nm: PositiveNumber | None = None
    at_most_nm: PositiveNumber | None = None

    @model_validator(mode="after")
    def _one_form(self) -> "ReadingDocument":
        given = {name for name, value in self if value is not None}
        if given not in ({"torque_nm"}, {"low_nm", "high_nm"}, {"at_least_nm"}, {"at_most_nm"}):
            raise PydanticCustomError(
                "reading",
                "Give torque_nm, or low_nm with high_nm, or at_least_nm, or at_most_nm.",
            )
        if self.low_nm is not None and self.high_nm is not None and self.low_nm > self.high_nm:
            raise PydanticCustomError("order", "Write a high_nm that is not below low_nm.")
        return self

    def to_reading(self) -> SlipReading:
        """The reading as the mechanics take it."""
        if self.torque_nm is not None:
            return SlipReading(self.torque_nm, self.torque_nm)
        low = self.low_nm or self.at_least_nm or 0.0
        return SlipReading(low, self.high_nm or self.at_most_nm or INFINITE)


class RunDocument(Document):
    """One run: clamp load, faces, effective radius, readings."""

    clamp_n: PositiveNumber = Field(description="Clamp load, in N.")
    surfaces: Count = Field(description="Working faces.")
    effective_radius_mm: PositiveNumber = Field(description="Effective radius, in mm.")
    readings: Annotated[list[ReadingDocument], Field(max_length=1_000_000)]
    exclude: Annotated[bool, Field(strict=True)] = Field(
        default=False, description="Leave this run out of the fit."
    )

    def to_run(self) -> SlipRun:
        """The run as the mechanics take it."""
        return SlipRun(
            self.clamp_n,
            self.surfaces,
            self.effective_radius_mm,
            tuple(r.to_reading() for r in self.readings),
        )


class FitQuestion(Document):
    """Runs, and the law to fit."""

    runs: Annotated[list[RunDocument], Field(max_length=100_000)]
    law: Literal["auto", "proportional", "power", "lost_load"] = "auto"


class LimitedLink(Document):
    """A gauge's range, or a part with a stated torque."""

    kind: Literal["gauge", "rated"]
    name: Line = None
    max_nm: PositiveNumber

    def to_link(self) -> Link:
        """The link as the plan takes it."""
        return Link(self.kind, self.name or self.kind, max_nm=self.max_nm)


class RoundLink(Document):
    """A round shaft of a steel."""

    kind: Literal["round"]
    name: Line = None
    diameter_mm: PositiveNumber
    yield_mpa: PositiveNumber

    def to_link(self) -> Link:
        """The link as the plan takes it."""
        return Link(
            "round", self.name or "round", size_mm=self.diameter_mm, yield_mpa=self.yield_mpa
        )


class FlatsLink(Document):
    """A square or hexagon of a steel, measured across flats."""

    kind: Literal["square", "hexagon"]
    name: Line = None
    across_flats_mm: PositiveNumber
    yield_mpa: PositiveNumber

    def to_link(self) -> Link:
        """The link as the plan takes it."""
        return Link(
            self.kind,
            self.name or self.kind,
            size_mm=self.across_flats_mm,
            yield_mpa=self.yield_mpa,
        )


AnyLink = Annotated[LimitedLink | RoundLink | FlatsLink, Field(discriminator="kind")]


class PlanQuestion(Document):
    """A pack, its state, and the chain of parts between drive and gauge."""

    pack: AskedPack
    state: State
    springs_fitted: Count | None = Field(default=None, description="Springs fitted.")
    chain: Annotated[list[AnyLink], Field(max_length=100)] = Field(default_factory=list)
    speed_rpm: NonNegativeNumber | None = Field(default=None, description="Slip speed, r/min.")
    seconds: NonNegativeNumber | None = Field(default=None, description="Length of a run, in s.")
    plate_mass_kg: PositiveNumber | None = Field(default=None, description="Steel, in kg.")
    max_temperature_rise_k: PositiveNumber | None = Field(default=None, description="In K.")
    arm_m: PositiveNumber | None = Field(default=None, description="Reaction arm, in m.")


@router.post("/friction-fit")
def post_friction_fit(question: FitQuestion, raw: Sent) -> dict[str, Any]:
    """Fit the friction coefficient to slip tests, spans and bounds included."""
    runs = [run.to_run() for run in question.runs if not run.exclude]
    answer = slip_interface.friction_fit(fit_friction(runs, question.law))
    return answer | {"warnings": unknown_fields(raw, FitQuestion)}


@router.post("/test-plan")
def post_test_plan(question: PlanQuestion, raw: Sent) -> dict[str, Any]:
    """Plan a slip test so that no link of the chain is overloaded."""
    plan = plan_slip_test(
        question.pack.to_inputs(),
        question.state.to_inputs(),
        [link.to_link() for link in question.chain],
        question.springs_fitted,
        question.speed_rpm,
        question.seconds,
        question.plate_mass_kg,
        question.max_temperature_rise_k,
        question.arm_m,
    )
    answer = slip_interface.test_plan(plan)
    return answer | {"warnings": unknown_fields(raw, PlanQuestion)}
