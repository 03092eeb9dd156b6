"""Questions that store nothing: one cell worked out, a spring rate fitted."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from pydantic import Field

from app.comparison.cell import evaluate
from app.documents import Document, Engine, LoadPoint, Pack, State, unknown_paths
from app.documents.quantities import Count
from app.documents.text import Name
from app.mechanics.coil_spring import rate_from_load_points
from app.mechanics.monte_carlo import MOST_DRAWS
from app.mechanics.validity import Caution, rate_cautions
from app.presentation import interface
from app.web.api.answers import Evaluation, SpringRate

router = APIRouter(prefix="/api/v1", tags=["stateless"])


class AskedPack(Pack):
    """A pack that is only asked about; it needs no name."""

    name: Name = Field(default="pack", description="Name of the pack.")


class AskedEngine(Engine):
    """An engine that is only asked about; it needs no name."""

    name: Name = Field(default="engine", description="Name of the engine.")


class Question(Document):
    """One pack, one engine, or both, in a state."""

    pack: AskedPack | None = None
    engine: AskedEngine | None = None
    state: State | None = None
    monte_carlo: Annotated[Count, Field(le=MOST_DRAWS)] | None = Field(
        default=None, description="Number of draws; left out: none are made."
    )
    seed: Annotated[Count, Field(le=2**63 - 1)] | None = Field(
        default=None, description="Seed of the draws; the same seed gives the same draws."
    )


class RateQuestion(Document):
    """Load points of one spring."""

    load_points: Annotated[list[LoadPoint], Field(max_length=100_000)]
    through_origin: Annotated[bool, Field(strict=True)] = False


async def sent(request: Request) -> Any:
    """The body as it was sent, to tell which of its keys were not understood."""
    return await request.json()


Sent = Annotated[Any, Depends(sent)]


def _unknown(raw: Any, model: type[Document]) -> list[dict[str, str]]:
    return [
        interface.caution(Caution(
            "unknown_field", f"{path} is not a field of this interface and was not used", path))
        for path in unknown_paths(raw, model)
    ]


@router.post("/evaluate", response_model=Evaluation, response_model_exclude_unset=True)
def post_evaluate(question: Question, raw: Sent) -> Any:
    """Work one cell out: torques, ratio, verdict, working, warnings."""
    result = evaluate(
        question.pack.to_inputs() if question.pack else None,
        question.engine.to_inputs() if question.engine else None,
        question.state.to_inputs() if question.state else None,
        question.monte_carlo,
        question.seed,
    )
    answer = interface.evaluation(result)
    answer["warnings"] += _unknown(raw, Question)
    return answer


@router.post("/spring-rate", response_model=SpringRate, response_model_exclude_unset=True)
def post_spring_rate(question: RateQuestion, raw: Sent) -> Any:
    """Fit a spring rate to load points by least squares."""
    x = [point.deflection_mm for point in question.load_points]
    y = [point.force_n for point in question.load_points]
    fit = rate_from_load_points(x, y, question.through_origin)
    warnings = [interface.caution(c) for c in rate_cautions(fit)]
    return interface.fitted_rate(fit) | {"warnings": warnings + _unknown(raw, RateQuestion)}
