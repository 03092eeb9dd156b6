"""Verdicts as they were shown: kept on export and for print, shown again with what differs."""

from dataclasses import dataclass
from urllib.parse import parse_qsl

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.comparison.board_query import CELL_NAMES, read_view
from app.presentation.record_list import PER_PAGE, Pager, count_words, pager_of
from app.presentation.verdict_page import VerdictLine, verdict_line, verdict_page
from app.records import verdict_queries as queries
from app.services import verdicts
from app.web.deps import ReadSessionDep
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import SentForm, usual_name, who
from app.web.htmx import redirect
from app.web.list_pages import read_page
from app.web.notices import Notice
from app.web.render import app_version, page

router = APIRouter()

PATH = "/verdicts"
_LONGEST_QUERY = 8000


@dataclass(frozen=True)
class VerdictList:
    """The list of kept verdicts."""

    lines: tuple[VerdictLine, ...]
    pager: Pager
    found: str
    page: int
    pages: int
    form: FormReader


@router.get("/verdicts")
def show_list(request: Request, session: ReadSessionDep) -> Response:
    """Kept verdicts, the newest first."""
    form = FormReader({k: v for k, v in request.query_params.items() if v.strip()})
    asked = read_page(form)
    total = queries.verdicts_found(session)
    pages = max(1, -(-total // PER_PAGE))
    number = min(asked, pages)
    rows = queries.verdict_rows(session, PER_PAGE, (number - 1) * PER_PAGE)
    view = VerdictList(
        lines=tuple(verdict_line(row) for row in rows),
        pager=pager_of(PATH, form.raw, number, pages, total, "verdict"),
        found=count_words(total, "kept verdict"),
        page=number,
        pages=pages,
        form=form,
    )
    return page(request, "pages/verdicts/list.html", view, 422 if form.problems else 200)


@router.post("/verdicts")
def keep(request: Request, session: ReadSessionDep, form: SentForm) -> Response:
    """Keep a board or a cell as it is shown now, and open it as a sheet to print."""
    by = who(form, usual_name(session))
    pairs = parse_qsl(form.raw.get("query", "")[:_LONGEST_QUERY])
    pack, engine = form.text("pack", longest=40), form.text("engine", longest=40)
    if pack is not None and engine is not None:
        shown = verdicts.shown_cell(session, pack, engine, read_view(pairs, CELL_NAMES))
    else:
        shown = verdicts.shown_board(session, read_view(pairs))
    session.close()  # an open reader would hold the writer up
    key = shown.keep(request.app.state.engine, "print", by=by, version=app_version())
    told = Notice("Kept as it is shown now. Print this page.")
    return redirect(request, f"{PATH}/{key}", told)


@router.get("/verdicts/{key}")
def show(request: Request, session: ReadSessionDep, key: str) -> Response:
    """One kept verdict as it was shown, and what differs from today."""
    kept = verdicts.kept_verdict(session, key)
    view = verdict_page(
        kept.row,
        kept.view,
        kept.packs,
        kept.engines,
        kept.today,
        kept.heavy_above,
        app_version(),
    )
    return page(request, "pages/verdicts/detail.html", view)
