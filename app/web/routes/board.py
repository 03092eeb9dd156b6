"""The board: which pack holds which engine. The page, and the same view as CSV."""

from datetime import UTC, datetime

from fastapi import APIRouter, Request
from starlette.responses import Response, StreamingResponse

from app.comparison.board_query import read_view
from app.errors import BadInput
from app.presentation.board_csv import board_csv as csv_of_board
from app.presentation.board_filters import form_as_sent
from app.presentation.board_page import board_page, refused_page
from app.presentation.csv_text import attachment_headers
from app.services import comparing, verdicts
from app.services.standing import standing
from app.web.deps import ReadSessionDep, Who
from app.web.kept_verdicts import keep_exported
from app.web.render import app_version, page

router = APIRouter()

_WHOLE = {"HX-Retarget": "#main", "HX-Reselect": "#main", "HX-Reswap": "outerHTML"}
"""A refusal is shown at the form's boxes, which a search by script does not swap otherwise."""


@router.get("/")
def board(request: Request, session: ReadSessionDep) -> Response:
    """The page; a view that cannot be read comes back as it was typed, with what would be right."""
    pairs = request.query_params.multi_items()
    now = standing(session)
    try:
        asked = read_view(pairs)
        view = now.pages.get(asked)
        if view is None:
            found = comparing.board(session, asked)
            view = board_page(found, comparing.charted(session, found))
            now.pages.put(asked, view)
    except BadInput as refusal:
        form = form_as_sent(pairs, refusal.problems, now.engines, now.heavy_above)
        return page(request, "pages/board.html", refused_page(form), 422, _WHOLE)
    # The form's own address has every box in it; this is the short one of the same view.
    headers = {"HX-Push-Url": view.canonical}
    return page(request, "pages/board.html", view, headers=headers, held=True)


@router.get("/board.csv")
def board_csv(request: Request, session: ReadSessionDep, who: Who) -> Response:
    """Every cell of the view, at full precision; worked out as it is sent, and kept as shown."""
    view = read_view(request.query_params.multi_items())
    found = comparing.whole_board(session, view)
    shown = verdicts.shown_board(session, view)
    session.close()  # an open reader would hold the writer up
    at = datetime.now(UTC)
    headers = attachment_headers("board", at.date())
    text = csv_of_board(found, comparing.cells_of, at, app_version())
    answer = StreamingResponse(text, headers=headers)
    keep_exported(request, answer, shown, who)
    return answer
