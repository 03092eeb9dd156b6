"""Questions about slip tests that store nothing: friction fitted to readings, a test planned."""

from typing import Annotated, Any, Literal

from fastapi import APIRouter
from pydantic import BaseModel, Field

from app.comparison.slip_plan import Link, plan_slip_test
from app.documents import Document, State, TorqueReading
from app.documents.quantities import Count, Fraction, NonNegativeNumber, PositiveNumber
from app.documents.text import Line
from app.mechanics.slip_readings import SlipRun
from app.mechanics.slip_test import fit_friction
from app.presentation import slip_interface
from app.web.api import answers
from app.web.api.bodies import JsonRoute
from app.web.api.stateless import AskedPack, Sent, unknown_fields, within

router = APIRouter(prefix="/api/v1", tags=["questions"], route_class=JsonRoute)


class RunDocument(Document):
    """One run: clamp load, faces, effective radius, readings."""

    clamp_n: PositiveNumber = Field(description="Clamp load, in N.")
    surfaces: Count = Field(description="Working faces.")
    effective_radius_mm: PositiveNumber = Field(description="Effective radius, in mm.")
    readings: Annotated[list[TorqueReading], Field(max_length=1_000_000)]
    exclude: Annotated[bool, Field(strict=True)] = Field(
        default=False, description="Leave this run out of the fit."
    )
    instrument: Line = Field(
        default=None,
        description="What it was read with; runs of one instrument share its error.",
    )
    relative_accuracy: Fraction | None = Field(
        default=None,
        description="Limit of the instrument's error as a share of the reading, 0 to below 1.",
    )

    def to_run(self) -> SlipRun:
        """The run as the mechanics take it; one left out keeps its place, without readings."""
        kept = () if self.exclude else tuple(r.to_reading() for r in self.readings)
        return SlipRun(self.clamp_n, self.surfaces, self.effective_radius_mm, kept,
                       self.instrument or "", self.relative_accuracy)


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


class Law(BaseModel):
    """One law fitted to the readings, or why it was not."""

    law: Literal["proportional", "power", "lost_load"]
    mu: answers.Reading | None = Field(default=None, description="Friction coefficient.")
    exponent: answers.Reading | None = Field(default=None, description="Of the clamp load.")
    lost_load_n: answers.Reading | None = Field(default=None, description="Below 0: a load added.")
    sigma: float | None = Field(
        default=None, description="Scatter of ln torque; null where the readings show none."
    )
    log_likelihood: float | None = None
    aicc: float | None = Field(default=None, description="Null with too few readings for it.")


class ComparedLaw(Law):
    """A law among those compared."""

    not_fitted: str | None = Field(default=None, description="Why it could not be fitted.")


class Residual(BaseModel):
    """Logarithm of a reading over its prediction; null for a bound."""

    run: int
    place: int
    value: float | None


class Gauge(BaseModel):
    """One instrument of the fit."""

    instrument: str | None = Field(description="Null where none was named.")
    relative_accuracy: float | None = Field(description="Null: not known, and counted as nothing.")
    weight: float = Field(description="Change of ln μ with ln of all its readings; they add to 1.")


class MuDoubt(BaseModel):
    """Parts of the doubt of the μ for the comparison, as standard uncertainties of μ."""

    scatter_std: float = Field(description="Of the readings and between the runs.")
    gauge_std: float = Field(
        description="Of the instruments' own errors, which no number of readings lessens."
    )
    together_std: float = Field(description="Both in quadrature: the std of mu_for_comparison.")
    gauges: list[Gauge]


class FitAnswer(Law):
    """The law taken, all laws compared, and what they say in words."""

    mu: answers.Reading
    compared: list[ComparedLaw]
    p_proportional: float | None = Field(
        description="Chance of so large a departure if torque were proportional to clamp load."
    )
    mu_for_comparison: answers.Reading | None = Field(
        description="Of the proportional law, with the spread between runs and the error of the "
        "instruments that are named with their accuracy."
    )
    mu_doubt: MuDoubt | None = Field(description="What the doubt of mu_for_comparison is made of.")
    residuals: list[Residual]
    readings: int
    exact_readings: int
    clamp_levels: int
    reference_clamp_n: float
    words: list[str]
    warnings: list[answers.Warning]


class SpringsAnswer(BaseModel):
    """What to expect with some of the springs fitted."""

    springs: int | None = Field(description="Null for a clamp without springs to leave out.")
    balanced: bool = Field(description="Whether they can sit evenly.")
    predicted_nm: answers.Reading
    weakest: str | None
    utilisation: float | None = Field(description="Upper end over the weakest link's limit.")


class LinkAnswer(BaseModel):
    """A link's limit: its rating, or where its surface yields and where it gives way."""

    name: str
    limit_nm: float
    yield_nm: float | None
    plastic_nm: float | None


class PlanAnswer(BaseModel):
    """The plan; null where a figure needs something that was not given."""

    by_springs: list[SpringsAnswer]
    recommended_springs: int | None
    links: list[LinkAnswer]
    power_w: float | None
    temperature_rise_k: float | None
    longest_run_s: float | None
    arm_force_n: float | None
    words: list[str]
    cautions: list[str]
    warnings: list[answers.Warning]


@router.post(
    "/friction-fit",
    response_model=FitAnswer,
    response_model_exclude_unset=True,
    summary="Friction from slip tests",
)
def post_friction_fit(question: FitQuestion, raw: Sent) -> Any:
    """Fit the friction coefficient to slip tests, spans and bounds included.

    Three laws are fitted where the readings allow it; `auto` takes the one of least AICc. Nothing
    is stored.
    """
    fit = fit_friction([run.to_run() for run in question.runs], question.law)
    return slip_interface.friction_fit(fit) | {"warnings": unknown_fields(raw, FitQuestion)}


@router.post("/test-plan", response_model=PlanAnswer, summary="Plan a slip test")
def post_test_plan(question: PlanQuestion, raw: Sent) -> Any:
    """Plan a slip test so that no link of the chain is overloaded. Nothing is stored."""
    plan = plan_slip_test(
        within("pack", question.pack.to_inputs),
        question.state.to_inputs(),
        [link.to_link() for link in question.chain],
        question.springs_fitted,
        question.speed_rpm,
        question.seconds,
        question.plate_mass_kg,
        question.max_temperature_rise_k,
        question.arm_m,
    )
    return slip_interface.test_plan(plan) | {"warnings": unknown_fields(raw, PlanQuestion)}
