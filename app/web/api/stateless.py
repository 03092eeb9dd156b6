"""Questions that store nothing: one cell worked out, a spring rate fitted."""

from collections.abc import Callable
from typing import Annotated, Any, TypeVar

from fastapi import APIRouter, Depends, Request
from pydantic import AfterValidator, BeforeValidator, Field
from pydantic_core import PydanticCustomError

from app.comparison.cell import evaluate
from app.documents import Document, Engine, LoadPoint, Pack, State, unknown_paths
from app.documents.text import Name
from app.errors import BadInput, Problem
from app.mechanics.coil_spring import rate_from_load_points
from app.mechanics.monte_carlo import MOST_DRAWS
from app.mechanics.validity import Caution, rate_cautions
from app.presentation import interface
from app.web.api.answers import Evaluation, SpringRate
from app.web.api.bodies import JsonRoute

router = APIRouter(prefix="/api/v1", tags=["questions"], route_class=JsonRoute)

T = TypeVar("T")
LARGEST_SEED = 2**63 - 1
LEAST_DRAWS = 2
"""Two draws have a standard deviation; that a hundred thousand say more is the asker's affair."""


def _whole(value: Any) -> int:
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if isinstance(value, bool) or not isinstance(value, int):
        raise PydanticCustomError("whole", "Write a whole number, like 200000.")
    return value


def _draws(value: int) -> int:
    if not LEAST_DRAWS <= value <= MOST_DRAWS:
        raise PydanticCustomError(
            "draws",
            "Write a number of draws from {least} to {most}.",
            {"least": LEAST_DRAWS, "most": MOST_DRAWS},
        )
    return value


def _seed(value: int) -> int:
    if not 0 <= value <= LARGEST_SEED:
        raise PydanticCustomError(
            "seed", "Write a whole number from 0 to {most} as the seed.", {"most": LARGEST_SEED}
        )
    return value


MOST_GROUP_DRAWS = 8_000_000
"""Draws times spring groups; so many take about a gigabyte and some seconds."""


class AskedPack(Pack):
    """A pack that is only asked about; it needs no name."""

    name: Name = Field(default="pack", description="Name of the pack.")


class AskedEngine(Engine):
    """An engine that is only asked about; it needs no name."""

    name: Name = Field(default="engine", description="Name of the engine.")


class Question(Document):
    """One pack, one engine, or both, in a state."""

    pack: AskedPack | None = Field(default=None, description="Left out: only the engine's side.")
    engine: AskedEngine | None = Field(default=None, description="Left out: only the pack's side.")
    state: State | None = Field(
        default=None, description="Left out: the capacity is not known, and `missing` says so."
    )
    monte_carlo: (
        Annotated[
            int,
            BeforeValidator(_whole),
            AfterValidator(_draws),
            Field(json_schema_extra={"minimum": LEAST_DRAWS, "maximum": MOST_DRAWS}),
        ]
        | None
    ) = Field(default=None, description="Number of draws; left out: none are made.")
    seed: (
        Annotated[
            int,
            BeforeValidator(_whole),
            AfterValidator(_seed),
            Field(json_schema_extra={"minimum": 0, "maximum": LARGEST_SEED}),
        ]
        | None
    ) = Field(default=None, description="Seed of the draws; the same seed gives the same draws.")


class RateQuestion(Document):
    """Load points of one spring."""

    load_points: Annotated[list[LoadPoint], Field(max_length=100_000)] = Field(
        description="Readings of one spring: deflection from free, and force."
    )
    through_origin: Annotated[bool, Field(strict=True)] = Field(
        default=False, description="Whether the line is held at no force for no deflection."
    )


async def sent(request: Request) -> Any:
    """The body as it was sent, to tell which of its keys were not understood."""
    return await request.json()


Sent = Annotated[Any, Depends(sent)]


def unknown_fields(raw: Any, model: type[Document]) -> list[dict[str, str]]:
    """A warning for each key of a body that has no place in its model."""
    return [
        interface.caution(
            Caution(
                "unknown_field", f"{path} is not a field of this interface and was not used", path
            )
        )
        for path in unknown_paths(raw, model)
    ]


def within(name: str, to_inputs: Callable[[], T]) -> T:
    """The inputs of one part of a question; a refusal is told by the question's own paths."""
    try:
        return to_inputs()
    except BadInput as refused:
        raise BadInput(
            Problem(f"{name}.{problem.field}", problem.message) for problem in refused.problems
        ) from refused


def _hold_draws(question: Question) -> None:
    """Refuse more draws than the machine should be asked for at once."""
    clamp = question.pack.clamp if question.pack else None
    groups = len(clamp.springs) if clamp is not None and clamp.kind == "coil" else 1
    if (question.monte_carlo or 0) * groups > MOST_GROUP_DRAWS:
        most = MOST_GROUP_DRAWS // groups
        told = f"Write a number of draws up to {most} for a pack with {groups} spring groups."
        raise BadInput([Problem("monte_carlo", told)])


@router.post(
    "/evaluate",
    response_model=Evaluation,
    response_model_exclude_unset=True,
    summary="Work one cell out",
)
def post_evaluate(question: Question, raw: Sent) -> Any:
    """Torques, ratio with its 95 % interval, probability of slip, verdict, working and warnings.

    A figure that can't be known is left out and what it lacks stands in `missing`. A field that
    the interface does not know is answered with a warning. Nothing is stored.
    """
    pack, engine, state = question.pack, question.engine, question.state
    _hold_draws(question)
    result = evaluate(
        within("pack", pack.to_inputs) if pack else None,
        within("engine", engine.to_inputs) if engine else None,
        state.to_inputs() if state else None,
        question.monte_carlo,
        question.seed,
    )
    answer = interface.evaluation(result)
    answer["warnings"] += unknown_fields(raw, Question)
    return answer


@router.post(
    "/spring-rate",
    response_model=SpringRate,
    response_model_exclude_unset=True,
    summary="Fit a spring's rate",
)
def post_spring_rate(question: RateQuestion, raw: Sent) -> Any:
    """A rate fitted to load points by least squares, with its interval. Nothing is stored."""
    x = [point.deflection_mm for point in question.load_points]
    y = [point.force_n for point in question.load_points]
    fit = rate_from_load_points(x, y, question.through_origin)
    warnings = [interface.caution(c) for c in rate_cautions(fit)]
    return interface.fitted_rate(fit) | {"warnings": warnings + unknown_fields(raw, RateQuestion)}
