"""The board by JSON, asked for by the same query as the page."""

from typing import Any, Literal

from fastapi import APIRouter, Request
from pydantic import BaseModel, Field
from starlette.responses import JSONResponse, Response

from app.comparison.board_query import CHOICES, NAMES, read_view
from app.comparison.board_view import MOST_PER, USUAL_PER
from app.comparison.failed_checks import FailedCheck
from app.comparison.varied import VARIED, Varied
from app.comparison.verdict import HEAVY_ABOVE, RULE, VERDICTS
from app.presentation.board_interface import PATH, board_answer
from app.records.database import catalogue_revision
from app.services.comparing import ENGINES_SHOWN, board
from app.web.api.answers import Reading
from app.web.api.bodies import JsonRoute
from app.web.deps import ReadSessionDep
from app.web.etag import not_modified, page_tag
from app.web.render import app_version

router = APIRouter(tags=["board"], route_class=JsonRoute)


class AskedState(BaseModel):
    """The state that the cells are worked out in."""

    lubrication: Literal["oiled", "dry"]
    friction: Literal["sliding", "static"]
    wear_mm: float | None = Field(description="null: each pack worn to its own limit.")
    radius: Literal["uniform_wear", "uniform_pressure"]
    speed_rpm: float | None
    spline_friction: float | None = Field(
        description="Friction at the splines, whose loss is taken off; null: left out."
    )


class Entry(BaseModel):
    """A pack or an engine on the board."""

    id: str
    name: str
    version: int


class Cell(BaseModel):
    """One pack against one engine; what is not known is null and its lack stands in `missing`."""

    pack: str = Field(description="Id of the pack.")
    engine: str = Field(description="Id of the engine.")
    capacity_nm: Reading | None
    required_nm: Reading | None
    ratio: Reading | None
    ratio_without_factor: float | None
    p_slip: float | None
    verdict: Literal["holds", "tight", "slips", "unknown"]
    heavy: bool
    failed_checks: list[FailedCheck] = Field(
        description="Checks that the pack fails on this engine, whatever the verdict on torque."
    )
    missing: list[str]
    state: AskedState | None = Field(
        description="The worst state, which the figures are of; null unless `worst` was asked for."
    )


class BoardAnswer(BaseModel):
    """A page of the board."""

    state: AskedState
    worst: list[Varied] = Field(description="What of the state is varied to show the worst.")
    order: str
    heavy_above: float
    revision: int = Field(description="Of the catalogue that the board was made from.")
    packs: list[Entry]
    engines: list[Entry]
    cells: list[Cell] = Field(description="Row by row: each pack with every engine.")
    page: int
    per: int
    packs_found: int
    engines_found: int
    next: str | None = Field(description="Address of the page that follows; null at the end.")


_MANY = {"type": "array", "items": {"type": "string"}}
_ABOUT: dict[str, tuple[str, dict[str, Any]]] = {
    "wear": (
        "new, worn (each pack to its own limit), or millimetres of the whole stack.",
        {"type": "string", "default": "new"},
    ),
    "speed_rpm": (
        "Crank speed in r/min, for centrifugal packs.",
        {"type": "number", "exclusiveMinimum": 0},
    ),
    "spline_friction": (
        "Friction at the splines: takes off the clamp that it keeps from the inner plates, at "
        "most. Left out: no loss. A pack's own tested friction has it in already.",
        {"type": "number", "exclusiveMinimum": 0},
    ),
    "q": ("Words in the pack's name.", {"type": "string"}),
    "pack": ("Id of a pack to keep; may be repeated. None: all.", _MANY),
    "engine": (
        "Id of an engine; may be repeated. None: all, of which the first "
        f"{ENGINES_SHOWN} are shown.",
        _MANY,
    ),
    "verdict": (
        "Keeps packs that have such a cell; may be repeated.",
        {"type": "array", "items": {"enum": list(VERDICTS)}},
    ),
    "order": (
        "name, capacity, price (the lowest of each pack) or margin:<engine id>; with a - before it "
        "the other way round.",
        {"type": "string"},
    ),
    "heavy_above": (
        "Ratio without the service factor above which a pack is called heavy.",
        {"type": "number", "exclusiveMinimum": 0, "default": HEAVY_ABOVE},
    ),
    "page": (
        "Page, from 1; one beyond the last gives the last.",
        {"type": "integer", "minimum": 1},
    ),
    "per": (
        "Packs on a page.",
        {"type": "integer", "minimum": 1, "maximum": MOST_PER, "default": USUAL_PER},
    ),
    "unit": ("Only shows on the page: figures here are in N·m.", {"enum": list(CHOICES["unit"])}),
    "worst": (
        "Shows each cell in the worst of several states, and says which: varies what is named, "
        "lubrication (oiled, dry), friction (sliding, static), wear (new, worn); may be repeated, "
        "and 1 varies all.",
        {"type": "array", "items": {"enum": [*VARIED, "1"]}},
    ),
    "chart": ("Only shows on the page.", {"type": "string"}),
}


def _parameters() -> list[dict[str, Any]]:
    found = []
    for name in NAMES:
        words = f"{' or '.join(CHOICES.get(name, ()))}; the first where left out."
        text, schema = _ABOUT.get(name, (words, {"enum": list(CHOICES.get(name, ()))}))
        found.append({"name": name, "in": "query", "description": text, "schema": schema})
    return found


@router.get(
    PATH,
    summary="Compare packs with engines",
    description="The cells that the page `/` shows at the same query, bit for bit, and those of "
    f"`/board.csv`. {RULE}",
    responses={200: {"model": BoardAnswer}, 304: {"description": "It is held already."}},
    openapi_extra={"parameters": _parameters()},
    operation_id="read_board",
)
def read_board(request: Request, session: ReadSessionDep) -> Response:
    """The board of a view."""
    view = read_view(request.query_params.multi_items())
    tag = page_tag(request, app_version(), catalogue_revision(session))
    held = not_modified(request, tag)
    if held is not None:
        return held
    return JSONResponse(board_answer(board(session, view)), headers={"ETag": tag})
