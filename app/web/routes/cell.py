"""One cell of the board: how the verdict of a pack on an engine comes about."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.comparison.board_query import CELL_NAMES, read_view
from app.presentation.cell_page import cell_page
from app.services.cell_working import worked_cell
from app.web.deps import ReadSessionDep
from app.web.render import page

router = APIRouter()


@router.get("/cell/{pack}/{engine}")
def cell(request: Request, session: ReadSessionDep, pack: str, engine: str) -> Response:
    """The page."""
    view = read_view(request.query_params.multi_items(), CELL_NAMES)
    worked = worked_cell(session, pack, engine, view)
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
    )
    return page(request, "pages/cell.html", shown)
