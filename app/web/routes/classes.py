"""Displacement classes: which pack holds which class, and which seller's claim is supported."""

from dataclasses import replace

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.comparison.board_view import BoardView
from app.comparison.class_board import ClassBoard
from app.errors import BadInput, Problem
from app.presentation.classes_page import (
    ClassesPage,
    claim_rows,
    class_heads,
    factor_words,
    found_words,
    mounting_parts,
    pack_rows,
    pages_of,
    size_choices,
)
from app.presentation.numbers import number_text
from app.presentation.torques import UNIT_LABEL, state_words
from app.services.class_settings import class_settings, shown_bands
from app.services.classing import USUAL_KIND, ClassView, classes, read_class_view
from app.services.standing import standing
from app.web.deps import ReadSessionDep
from app.web.render import page

router = APIRouter()
TEMPLATE = "pages/classes.html"
KINDS = tuple((b.kind, b.label) for b in shown_bands())
_WHOLE = {"HX-Retarget": "#main", "HX-Reselect": "#main", "HX-Reswap": "outerHTML"}
"""A refusal is shown at the form's boxes, which a search by script does not swap otherwise."""
USUAL_FORM = {
    "lubrication": "oiled", "friction": "sliding", "wear": "new", "kind": USUAL_KIND,
    "factor": "1", "unit": "nm", "q": "", "mounting": "", "holds": "",
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
        return page(request, TEMPLATE, held[0], headers={"HX-Push-Url": held[1]})
    try:
        asked = read_class_view(pairs)
        board = classes(session, asked)
    except BadInput as refusal:
        problems = tuple(refusal.problems)
        asked = ClassView(BoardView())
        board = classes(session, asked)
    view = replace(
        _view(board, asked), raw=typed, problems=problems,
        ratios=class_settings(session).classes[0].source,
    )
    if problems:
        return page(request, TEMPLATE, view, 422, _WHOLE)
    now.pages.put(key, (view, asked.address))
    # The form's own address has every box in it; this is the short one of the same view.
    return page(request, TEMPLATE, view, headers={"HX-Push-Url": asked.address})


def _view(board: ClassBoard, asked: ClassView) -> ClassesPage:
    view, band = asked.view, board.band
    wanted = range(len(board.entries)) if asked.holds is None else board.holding(asked.holds)
    pager, shown = pages_of(
        "Packs", view.page or 1, view.per, len(wanted),
        lambda n: replace(asked, view=view.but(page=n)).address,
    )
    claims_pager, claimed = pages_of(
        "Packs with claims", asked.claims, view.per, len(board.claimed),
        lambda n: replace(asked, claims=n).address,
    )
    return ClassesPage(
        state=state_words(view),
        unit=UNIT_LABEL[view.unit],
        parts=mounting_parts(board, view),
        packs=pack_rows(board.rows(wanted[shown]), view),
        claims=claim_rows(board, board.rows(board.claimed[claimed])),
        raw={},
        chosen=view.packs,
        kinds=KINDS,
        band=f"{number_text(band.low_kpa)}–{number_text(band.high_kpa)}",
        source=band.source,
        ratios="",
        factor=number_text(board.service_factor),
        found=found_words(board, asked.holds, len(wanted)),
        sizes=size_choices(board.sizes),
        factor_says=factor_words(band.strokes, board.service_factor),
        heads=class_heads(view, lambda other: replace(asked, view=other, claims=1).address),
        pager=pager,
        claims_pager=claims_pager,
        kept=tuple((n, v) for n, v in view.pairs() if n in ("order", "per", "pack")),
    )
