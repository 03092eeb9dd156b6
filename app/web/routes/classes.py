"""Displacement classes: which pack holds which class, and which seller's claim is supported."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.comparison.board_view import BoardView
from app.errors import BadInput, Problem
from app.presentation.classes_page import ClassesPage, claim_rows, mounting_parts, pack_rows
from app.presentation.numbers import number_text
from app.presentation.torques import UNIT_LABEL, state_words
from app.services.class_settings import class_settings, shown_bands
from app.services.classing import USUAL_KIND, ClassView, classes, read_class_view
from app.services.standing import standing
from app.web.deps import ReadSessionDep
from app.web.render import page

router = APIRouter()
KINDS = tuple((b.kind, b.label) for b in shown_bands())
_WHOLE = {"HX-Retarget": "#main", "HX-Reselect": "#main", "HX-Reswap": "outerHTML"}
"""A refusal is shown at the form's boxes, which a search by script does not swap otherwise."""
USUAL_FORM = {
    "lubrication": "oiled", "friction": "sliding", "wear": "new", "kind": USUAL_KIND,
    "factor": "1", "unit": "nm", "q": "", "mounting": "",
}


@router.get("/classes")
def show(request: Request, session: ReadSessionDep) -> Response:
    """The page; settings that cannot be read come back as typed, with what would be right."""
    pairs = request.query_params.multi_items()
    typed = {**USUAL_FORM, **{k: v for k, v in pairs if v}}
    problems: tuple[Problem, ...] = ()
    now, key = standing(session), ("classes", tuple(pairs))
    held = now.pages.get(key)
    if held is not None:
        return page(request, "pages/classes.html", held[0], headers={"HX-Push-Url": held[1]})
    try:
        asked = read_class_view(pairs)
        board = classes(session, asked)
    except BadInput as refusal:
        problems = tuple(refusal.problems)
        asked = ClassView(BoardView())
        board = classes(session, asked)
    band = board.band
    view = ClassesPage(
        state=state_words(asked.view),
        unit=UNIT_LABEL[asked.view.unit],
        parts=mounting_parts(board, asked.view),
        packs=pack_rows(board, asked.view),
        claims=claim_rows(board),
        raw=typed,
        chosen=asked.view.packs,
        choices=tuple((p.public_id, p.name) for p in now.packs),
        kinds=KINDS,
        band=f"{number_text(band.low_kpa)}–{number_text(band.high_kpa)}",
        source=band.source,
        ratios=class_settings(session).classes[0].source,
        factor=number_text(board.service_factor),
        problems=problems,
    )
    if problems:
        return page(request, "pages/classes.html", view, 422, _WHOLE)
    now.pages.put(key, (view, asked.address))
    # The form's own address has every box in it; this is the short one of the same view.
    return page(request, "pages/classes.html", view, headers={"HX-Push-Url": asked.address})
