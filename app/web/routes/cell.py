"""One cell of the board: how the verdict of a pack on an engine comes about."""

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.comparison.beyond import beyond
from app.comparison.board_query import CELL_NAMES, read_view
from app.fields import field
from app.presentation.beyond_torque import beyond_view
from app.presentation.cell_page import CellPage, cell_page
from app.presentation.spring_choice import spring_lines
from app.services.cell_working import worked_cell
from app.services.spring_choice import spring_choices
from app.web.deps import ReadSessionDep
from app.web.forms.reader import FormReader
from app.web.held import held
from app.web.render import page

router = APIRouter()
TARGET = "target"


@router.get("/cell/{pack}/{engine}")
def cell(request: Request, session: ReadSessionDep, pack: str, engine: str) -> Response:
    """The page; a wanted ratio that cannot be read comes back as typed."""
    pairs = request.query_params.multi_items()
    shown, status = held(request, session, lambda: _shown(session, pack, engine, pairs))
    return page(request, "pages/cell.html", shown, status, held=True)


def _shown(
    session: Session, pack: str, engine: str, pairs: list[tuple[str, str]]
) -> tuple[CellPage, int]:
    """What the page shows, and the answer's status."""
    form = FormReader({TARGET: next((text for name, text in pairs if name == TARGET), "")})
    target = form.number(TARGET, field("state", "target_ratio"))
    view = read_view([pair for pair in pairs if pair[0] != TARGET], CELL_NAMES)
    worked = worked_cell(session, pack, engine, view)
    found = beyond(
        worked.pack.inputs, worked.engine.inputs, view.state, target, worked.result.heavy
    )
    error = form.message_for(TARGET) or ""
    springs = spring_choices(
        session, worked.pack.inputs, worked.engine.inputs, view.state, found.target
    )
    more = beyond_view(found, view, (pack, engine), form.raw[TARGET], error, spring_lines(springs))
    documents = worked.pack_document, worked.engine_document
    shown = cell_page(
        worked.pack,
        worked.engine,
        documents,
        worked.result,
        worked.states,
        worked.rests_on,
        worked.moving,
        worked.heavy_above,
        view,
        more,
    )
    return shown, 422 if form.problems else 200
