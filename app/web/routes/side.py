"""Packs side by side, as they were ticked on the board."""

from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.comparison.board_query import NAMES, read_view
from app.comparison.board_view import Order
from app.presentation.board_side import LEAST, MOST, side_page, too_few
from app.services import comparing
from app.services.catalogue import packs
from app.web.deps import ReadSessionDep
from app.web.render import page

router = APIRouter()

PATH = "/side"
ONLY = ("only", "differences")
_NAMES = (*(name for name in NAMES if name not in ("order", "page", "per", "chart")), "from")


@router.get(PATH)
def side(request: Request, session: ReadSessionDep) -> Response:
    """Two to five packs: verdicts and figures, all of them or only what differs."""
    pairs = request.query_params.multi_items()
    only = ONLY in pairs
    rest = [pair for pair in pairs if pair != ONLY]
    view = read_view(rest, _NAMES)
    if len(view.packs) < LEAST:
        return page(request, "pages/side.html", too_few(view))
    shown = view.but(packs=view.packs[:MOST], order=Order("name"))
    board = comparing.board(session, shown)
    documents = {s.id: s.document for s in packs.get_many(session, shown.packs)}
    switch = f"{PATH}?{urlencode(rest if only else [*rest, ONLY])}"
    told = side_page(board, documents, len(view.packs), only, switch)
    return page(request, "pages/side.html", told)
