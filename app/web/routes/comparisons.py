"""Saved comparisons: name a board, list them, open one as a sheet, rename it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from urllib.parse import parse_qsl

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.comparison.board_query import read_view
from app.comparison.board_view import BoardView
from app.documents import read
from app.documents.keeping import MOST_PACKS, SavedComparison
from app.errors import BadInput
from app.presentation.comparison_page import (
    comparison_row,
    comparison_sheet,
    sheet_facts,
    what_words,
)
from app.presentation.history_page import when_words
from app.presentation.record_list import Cell, Heading, Row, sorting
from app.presentation.torques import state_words
from app.records import database
from app.services import comparing
from app.services.catalogue import comparisons
from app.services.comparisons import frozen_view, kept_board
from app.services.keeping_nouns import document_of, view_of
from app.services.stored import Stored
from app.web.deps import ReadSessionDep
from app.web.forms.figures import FormRead
from app.web.forms.form_views import StaleView, stale_view
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import (
    SUBMISSION,
    VERSION,
    Outcome,
    RecordKind,
    SentForm,
    new_token,
    save_change,
    save_new,
    sent_version,
)
from app.web.htmx import is_htmx, redirect
from app.web.list_pages import changed_words, find, list_page, read_asked
from app.web.notices import Notice
from app.web.record_routes import add_putting_aside
from app.web.render import app_version, page

router = APIRouter()

PATH = "/comparisons"
TEMPLATE = "pages/comparisons/form.html"
QUERY = "query"
_LONGEST_QUERY = 8000


@dataclass(frozen=True)
class ComparisonForm:
    """The form of a comparison: its name, what it is for, and (new) which packs it keeps."""

    heading: str
    form: FormReader
    action: str
    cancel: str
    draft: str
    what: str
    state: str
    choices: tuple[tuple[str, str], ...] = ()
    submission: str = ""
    version: int = 0
    stale: StaleView | None = None


def _texts(document: SavedComparison) -> dict[str, str]:
    return {"name": document.name, "notes": document.notes or ""}


def _read(form: FormReader, standing: SavedComparison | None) -> FormRead[SavedComparison]:
    """The comparison that a form describes: what it compares is the standing one's.

    Raises:
        BadInput: the name is missing or too long.
    """
    if standing is None:
        raise BadInput([])
    raw: dict[str, Any] = standing.written()
    raw["name"] = form.text("name", longest=300) or ""
    raw["notes"] = form.text("notes", longest=10_000)
    form.refuse_problems()
    return FormRead(read(SavedComparison, raw).document, {})


KIND = RecordKind(comparisons, SavedComparison, _texts, _read)


@router.get("/comparisons")
def show_list(request: Request, session: ReadSessionDep) -> Response:
    """The list, searched and ordered."""
    asked = read_asked(request)
    found = find(session, comparisons, asked)
    rows = []
    for stored in found.records:
        line = comparison_row(
            stored.id, stored.document, view_of(stored.document), f"{stored.changed_at:%Y-%m-%d}"
        )
        cells = (Cell(line.what), Cell(line.state), Cell(line.saved, date=True))
        rows.append(Row(line.name, line.href, cells))
    headings = (
        sorting(PATH, asked.words, "name", "Comparison"),
        Heading("What is compared"),
        Heading("State"),
        sorting(PATH, asked.words, "changed", "Changed"),
    )
    view = list_page(comparisons, found, asked, PATH, (), headings, rows, "Boards under a name")
    return page(request, "pages/records/list.html", view, asked.status)


add_putting_aside(router, comparisons, PATH)


@router.get("/comparisons/new")
def blank(request: Request, session: ReadSessionDep) -> Response:
    """A form for the view that the address asks for."""
    query = request.url.query
    form = FormReader({SUBMISSION: new_token(), QUERY: query, "which": "these"})
    return page(request, TEMPLATE, _new_view(session, form))


@router.post("/comparisons/new")
def add(request: Request, form: SentForm) -> Response:
    """Keep a view of the board under a name."""
    engine = request.app.state.engine
    outcome: Outcome[SavedComparison] = Outcome(status=422)
    try:
        with database.read_session(engine) as session:
            which = "these" if form.raw.get("which") == "these" else "filters"
            kept = frozen_view(session, _asked(form), which)
        outcome = save_new(engine, KIND, form, document_of("to be named", kept))
    except BadInput as refusal:
        form.problems = list(refusal.problems)
    if outcome.stored is not None:
        told = Notice("Comparison saved. Its address can be shared.")
        return redirect(request, f"{PATH}/{outcome.stored.id}", told)
    if outcome.failure is not None and is_htmx(request):
        raise outcome.failure
    with database.read_session(engine) as session:
        return page(request, TEMPLATE, _new_view(session, form), outcome.status)


@router.get("/comparisons/{key}")
def show(request: Request, session: ReadSessionDep, key: str) -> Response:
    """One comparison as a sheet, worked out as the catalogue stands."""
    stored = comparisons.get(session, key)
    kept = kept_board(session, stored.document)
    board = kept.board
    facts = sheet_facts(
        board.view,
        board.heavy_above,
        board.revision,
        app_version(),
        when_words(datetime.now(UTC)),
    )
    view = comparison_sheet(
        key, stored.version, stored.document, board, changed_words(stored), facts, kept.lost
    )
    return page(request, "pages/comparisons/detail.html", view)


@router.get("/comparisons/{key}/edit")
def edit(request: Request, session: ReadSessionDep, key: str) -> Response:
    """The form to rename it."""
    stored = comparisons.get(session, key)
    form = FormReader({**_texts(stored.document), VERSION: str(stored.version)})
    return page(request, TEMPLATE, _edit_view(stored, form, Outcome()))


@router.post("/comparisons/{key}/edit")
def change(request: Request, form: SentForm, key: str) -> Response:
    """Rename it, or say what it is for."""
    engine = request.app.state.engine
    with database.read_session(engine) as session:
        stored = comparisons.get(session, key)
    outcome = save_change(engine, KIND, form, key, stored.document)
    if outcome.stored is not None:
        return redirect(request, f"{PATH}/{key}", Notice("Comparison saved."))
    if outcome.failure is not None and is_htmx(request):
        raise outcome.failure
    return page(request, TEMPLATE, _edit_view(stored, form, outcome), outcome.status)


def _asked(form: FormReader) -> BoardView:
    """The view that a form carries.

    Raises:
        BadInput: it can't be read.
    """
    return read_view(parse_qsl(form.raw.get(QUERY, "")[:_LONGEST_QUERY]))


def _new_view(session: Session, form: FormReader) -> ComparisonForm:
    choices: Mapping[str, str] = {"filters": "Whatever passes the filters at the time"}
    what = state = ""
    try:
        view = _asked(form)
        found = comparing.whole_board(session, view.but(page=None))
        what = what_words(len(found.packs), len(found.engines))
        state = state_words(view)
        if len(found.packs) <= MOST_PACKS:
            packs, engines = len(found.packs), len(found.engines)
            told = f"Just these: {what_words(packs, engines)}"
            choices = {"these": told, **choices}
    except BadInput as refusal:
        form.problems = form.problems or list(refusal.problems)
    query = form.raw.get(QUERY, "")[:_LONGEST_QUERY]
    return ComparisonForm(
        heading="Save this comparison",
        form=form,
        action=f"{PATH}/new",
        cancel=f"/?{query}" if query else "/",
        draft="comparison-new",
        what=what,
        state=state,
        choices=tuple(choices.items()),
        submission=form.raw.get(SUBMISSION, "") or new_token(),
    )


def _edit_view(
    stored: Stored[SavedComparison], form: FormReader, outcome: Outcome[SavedComparison]
) -> ComparisonForm:
    version, told = sent_version(form), None
    if outcome.stale is not None:
        version = outcome.stale.version
        told = stale_view(outcome.stale, _texts(outcome.stale.document), form)
    document = stored.document
    return ComparisonForm(
        heading=f"Rename {stored.name}",
        form=form,
        action=f"{PATH}/{stored.id}/edit",
        cancel=f"{PATH}/{stored.id}",
        draft=f"comparison-{stored.id}-v{version}",
        what=what_words(len(document.packs), len(document.engines)),
        state=state_words(view_of(document)),
        version=version,
        stale=told,
    )
