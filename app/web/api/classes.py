"""The displacement classes by JSON, asked for by the same query as the page."""

from typing import Any, Literal

from fastapi import APIRouter, Request
from pydantic import BaseModel, Field
from starlette.responses import JSONResponse, Response

from app.comparison.board_query import CHOICES
from app.comparison.board_view import MOST_PER, USUAL_PER
from app.comparison.classes import Claim
from app.comparison.failed_checks import FailedCheck
from app.presentation.class_interface import PATH, classes_answer
from app.presentation.class_words import CLAIM_RULE
from app.records.database import catalogue_revision
from app.services.class_settings import shown_bands
from app.services.classing import USUAL_KIND, classes, read_class_view
from app.web.api.answers import Reading
from app.web.api.board import AskedState
from app.web.api.bodies import JsonRoute
from app.web.deps import ReadSessionDep
from app.web.etag import not_modified, page_tag
from app.web.render import app_version

router = APIRouter(tags=["board"], route_class=JsonRoute)
Where = Literal["crankshaft", "geared"]


class ClassDemand(BaseModel):
    """Torque that engines of a class ask of a clutch at one mounting, in N·m."""

    low_nm: float | None
    middle_nm: float | None
    high_nm: float | None


class DisplacementClassAnswer(BaseModel):
    """One class with its usual primary ratios and what it asks."""

    displacement_cc: float
    ratio_low: float
    ratio_high: float
    crankshaft: ClassDemand
    geared: ClassDemand


class ClaimAnswer(BaseModel):
    """What an offer claims of a pack, judged by the classes that the pack holds."""

    offer: str = Field(description="Id of the offer.")
    name: str
    seller: str | None
    claimed_cc_low: float | None
    claimed_cc_high: float | None
    judgement: Claim


class PackInClassesAnswer(BaseModel):
    """A pack and the largest classes it surely holds."""

    id: str
    name: str
    version: int
    mounting: Where | None
    capacity_nm: Reading | None
    whole_cc: float | None = Field(
        description="Largest class whose whole band it holds; null for none, or not known."
    )
    half_cc: float | None = Field(
        description="Largest class whose lighter half it holds; null for none, or not known."
    )
    why_not: str | None = Field(description="Why its classes are not known; null where they are.")
    failed_checks: list[FailedCheck] = Field(
        description="Checks that the pack fails on any engine, whatever its torque."
    )
    claims: list[ClaimAnswer]


class ClassesAnswer(BaseModel):
    """The classes, and a page of packs held against them."""

    state: AskedState
    kind: str
    bmep_low_kpa: float
    bmep_high_kpa: float
    service_factor: float
    revision: int = Field(description="Of the catalogue that they were worked out from.")
    classes: list[DisplacementClassAnswer]
    packs: list[PackInClassesAnswer]
    page: int
    per: int
    packs_found: int


def _parameters() -> list[dict[str, Any]]:
    number = {"type": "number", "exclusiveMinimum": 0}
    kinds = [band.kind for band in shown_bands()]
    told: tuple[tuple[str, str, dict[str, Any]], ...] = (
        ("kind", "Kind of engine, whose mean effective pressures are asked.",
         {"enum": kinds, "default": USUAL_KIND}),
        ("factor", "Service factor on every demand.", number | {"default": 1}),
        ("lubrication", "Of the plates.", {"enum": list(CHOICES["lubrication"])}),
        ("friction", "Kind of friction.", {"enum": list(CHOICES["friction"])}),
        ("wear", "new, worn (each pack to its own limit), or millimetres of the whole stack.",
         {"type": "string", "default": "new"}),
        ("radius", "How the facings bear.", {"enum": list(CHOICES["radius"])}),
        ("q", "Words in the pack's name.", {"type": "string"}),
        ("mounting", "Only packs so mounted.", {"enum": list(CHOICES["mounting"])}),
        ("pack", "Id of a pack to keep; may be repeated. None: all.",
         {"type": "array", "items": {"type": "string"}}),
        ("order", "name or capacity; with a - before it the other way round.",
         {"type": "string"}),
        ("page", "Page, from 1; one beyond the last gives the last.",
         {"type": "integer", "minimum": 1}),
        ("per", "Packs on a page.",
         {"type": "integer", "minimum": 1, "maximum": MOST_PER, "default": USUAL_PER}),
    )
    return [
        {"name": name, "in": "query", "description": text, "schema": schema}
        for name, text, schema in told
    ]


@router.get(
    PATH,
    summary="Hold packs against displacement classes",
    description=f"The figures that the page `/classes` shows at the same query. {CLAIM_RULE}",
    responses={200: {"model": ClassesAnswer}, 304: {"description": "It is held already."}},
    openapi_extra={"parameters": _parameters()},
    operation_id="read_classes",
)
def read_classes(request: Request, session: ReadSessionDep) -> Response:
    """The classes of a view."""
    asked = read_class_view(request.query_params.multi_items())
    revision = catalogue_revision(session)
    tag = page_tag(request, app_version(), revision)
    held = not_modified(request, tag)
    if held is not None:
        return held
    answer = classes_answer(classes(session, asked), asked.view, asked.kind, revision)
    return JSONResponse(answer, headers={"ETag": tag})
