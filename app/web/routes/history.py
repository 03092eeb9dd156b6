"""The history: all changes, those of one record, one change with its undo, an import as a whole."""

from dataclasses import dataclass, replace

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.errors import AppError, CannotUndo, NewerChange, NotForRole, NotFound
from app.presentation.history_page import (
    HOMES,
    ChangeLine,
    ChangePage,
    HistoryLines,
    batch_page,
    change_line,
    ids_named,
    names_shown,
    record_name,
)
from app.presentation.record_list import count_words, pager_of
from app.records import database
from app.records.base import Row
from app.records.change_queries import (
    ChangeSearch,
    change_row,
    changes,
    kinds,
    newer_than_batch,
    people,
    undoing,
)
from app.services import history
from app.web.deps import ReadSessionDep
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import SentForm, usual_name, who
from app.web.history_asked import NAMES, Fixed, HistoryAsked, read_history_asked
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import page
from app.web.roles import role_to_take_back
from app.web.visitor import refuse_below, visitor_of

router = APIRouter()

Options = tuple[tuple[str, str], ...]
_OF_ONE = tuple(name for name in NAMES if name not in ("noun", "record"))


@dataclass(frozen=True)
class HistoryView:
    """The list of changes.

    Attributes:
        heading: of the page.
        path: its address without what it asks.
        back: the record's page with its name, for the history of one record.
        form: what the address asks for, to fill the filters again.
        kinds: of records to choose from; empty on the history of one record.
    """

    heading: str
    path: str
    form: FormReader
    lines: HistoryLines
    filtered: bool
    people: Options
    kinds: Options = ()
    back: tuple[str, str] = ("", "")


@router.get("/history")
def show_all(request: Request, session: ReadSessionDep) -> Response:
    """Every change, the newest first, filtered by kind, person, days and import."""
    asked = read_history_asked(request)
    words = tuple((kind, f"{kind.capitalize()}s") for kind in kinds(session))
    view = _view(session, asked, "History", "/history")
    found = replace(view, kinds=(("", "Any"), *words))
    return page(request, "pages/history/list.html", found, asked.status)


@router.get("/settings/history")
def show_settings(request: Request, session: ReadSessionDep) -> Response:
    """Changes of the settings."""
    asked = read_history_asked(request, Fixed("setting", names=_OF_ONE))
    view = _view(session, asked, "History of the settings", "/settings/history")
    found = replace(view, back=("/settings", "Settings"))
    return page(request, "pages/history/list.html", found, asked.status)


def _of_record(noun: str, request: Request, session: Session, key: str) -> Response:
    stored = history.CATALOGUES[noun].get(session, key, put_aside_too=True)
    asked = read_history_asked(request, Fixed(noun, key, _OF_ONE))
    path = f"{HOMES[noun]}/{key}"
    view = _view(session, asked, f"History of {stored.name}", f"{path}/history")
    shown = path if noun in ("pack", "engine", "offer", "comparison") else HOMES[noun]
    back = (shown, stored.name) if stored.put_aside_at is None else ("", "")
    return page(request, "pages/history/list.html", replace(view, back=back), asked.status)


@router.get("/packs/{key}/history")
def show_pack(request: Request, session: ReadSessionDep, key: str) -> Response:
    """Changes of one pack."""
    return _of_record("pack", request, session, key)


@router.get("/engines/{key}/history")
def show_engine(request: Request, session: ReadSessionDep, key: str) -> Response:
    """Changes of one engine."""
    return _of_record("engine", request, session, key)


@router.get("/offers/{key}/history")
def show_offer(request: Request, session: ReadSessionDep, key: str) -> Response:
    """Changes of one offer."""
    return _of_record("offer", request, session, key)


@router.get("/comparisons/{key}/history")
def show_comparison(request: Request, session: ReadSessionDep, key: str) -> Response:
    """Changes of one saved comparison."""
    return _of_record("comparison", request, session, key)


@router.get("/history/imports/{batch}")
def show_batch(request: Request, session: ReadSessionDep, batch: str) -> Response:
    """An import as a whole."""
    return _batch(request, session, batch, 200)


@router.post("/history/imports/{batch}/undo")
def undo_batch(request: Request, form: SentForm, batch: str) -> Response:
    """Take an import back as a whole."""
    engine = request.app.state.engine
    try:
        with database.writing(engine) as session:
            made = history.undo_batch(session, batch, by=who(form, usual_name(session)))
    except (NewerChange, CannotUndo) as fact:
        with database.read_session(engine) as reading:
            return _batch(request, reading, batch, 409, fact.message)
    told = Notice("The import was taken back as a whole. This is what was done for it.")
    return redirect(request, f"/history/imports/{made}", told)


@router.get("/history/{key}")
def show_change(request: Request, session: ReadSessionDep, key: str) -> Response:
    """One change with every field."""
    view = _change(session, _key(key))
    noun = str(history.change_of(session, _key(key))["noun"])
    if not visitor_of(request).may(role_to_take_back(noun)):
        view = replace(view, undo="")
    return page(request, "pages/history/change.html", view)


@router.post("/history/{key}/undo")
def undo(request: Request, form: SentForm, key: str) -> Response:
    """Take one change back; where the record was changed since, both are shown."""
    engine = request.app.state.engine
    try:
        with database.writing(engine) as session:
            noun = str(history.change_of(session, _key(key))["noun"])
            refuse_below(request, role_to_take_back(noun))
            row = history.undo(session, _key(key), by=who(form, usual_name(session)))
            told = f"Undone: {record_name(row['noun'], row['name'])} is as it was before."
            home = change_line(row, None).record
    except (NotFound, NotForRole):
        raise
    except AppError as fact:
        newer = fact.newer if isinstance(fact, NewerChange) else ()
        with database.read_session(engine) as reading:
            view = replace(
                _change(reading, _key(key)),
                refusal=fact.message,
                newer=tuple(_lines(reading, [r for k in newer if (r := change_row(reading, k))])),
            )
            return page(request, "pages/history/change.html", view, 409)
    return redirect(request, home, Notice(told))


def _key(text: str) -> int:
    """The key of a change in an address.

    Raises:
        NotFound: it is none.
    """
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise NotFound("change", text[:40])
    return int(text)


def _view(session: Session, asked: HistoryAsked, heading: str, path: str) -> HistoryView:
    found = history.history_page(session, asked.search, asked.page)
    pager = pager_of(path, asked.words, found.page, found.pages, found.total, "change")
    names = names_shown(history.names_of(session, ids_named(found.changes)))
    lines = tuple(
        change_line(row, found.undone.get(row["id"]), names=names) for row in found.changes
    )
    words = count_words(found.total, "change")
    persons = tuple((name, name) for name in people(session))
    return HistoryView(
        heading=heading,
        path=path,
        form=asked.form,
        lines=HistoryLines(lines, pager, words, found.page, found.pages),
        filtered=asked.filtered,
        people=(("", "Anybody"), *persons),
    )


def _lines(session: Session, rows: list[Row]) -> list[ChangeLine]:
    undone = undoing(session, [row["id"] for row in rows])
    names = names_shown(history.names_of(session, ids_named(rows)))
    return [change_line(row, undone.get(row["id"]), 1000, names) for row in rows]


def _change(session: Session, key: int) -> ChangePage:
    row = history.change_of(session, key)
    (line,) = _lines(session, [row])
    undo = f"/history/{key}/undo" if history.can_undo(row) and not line.undone else ""
    return ChangePage(line, undo)


def _batch(
    request: Request, session: Session, batch: str, status: int, refusal: str = ""
) -> Response:
    totals = history.batch_of(session, batch)
    first = changes(session, ChangeSearch(batch=batch), 1)
    undone = bool(undoing(session, [row["id"] for row in first]))
    newer = _lines(session, list(newer_than_batch(session, batch))) if refusal else []
    view = batch_page(batch, totals, undone, refusal, tuple(newer))
    return page(request, "pages/history/batch.html", view, status)
