"""Import: an empty table, a file taken in, its preview, and keeping it in one go."""

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.background import BackgroundTask
from starlette.responses import Response

from app.errors import AppError, BadInput, NotFound
from app.presentation.change_words import referred_ids
from app.presentation.csv_guard import Variant
from app.presentation.csv_text import attachment_headers, csv_text
from app.presentation.history_page import HOMES, names_shown, when_words
from app.presentation.import_page import (
    PER_PAGE,
    STATUS_WORDS,
    VARIANT_WORDS,
    ImportPage,
    buttons,
    first_shown,
    found_words,
    row_line,
    row_pager,
    tabs_of,
)
from app.presentation.records_csv import columns_help, problem_sheet, record_sheet
from app.records import import_queries as queries
from app.records.base import now
from app.records.change_queries import ChangeSearch, changes, undoing
from app.services import importing
from app.services.history import names_of
from app.services.importing import KINDS, Job
from app.web.deps import ReadSessionDep
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import SentForm, usual_name, who
from app.web.htmx import redirect
from app.web.list_pages import read_page
from app.web.render import page
from app.web.uploads import MOST_ROWS, SentFile

router = APIRouter()

AT_ONCE = 200
"""Rows of a file that is looked through before the answer; longer ones show their progress."""

PLURALS = {f"{kind}s": kind for kind in KINDS}


@dataclass(frozen=True)
class StartPage:
    """Where a file is chosen."""

    form: FormReader
    most_rows: int
    most_kib: int
    kinds: tuple[tuple[str, str], ...]
    columns: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    recent: tuple[tuple[str, str], ...]


@router.get("/import")
def start(request: Request, session: ReadSessionDep) -> Response:
    """Where a file is chosen, with the limits and the empty tables."""
    return page(request, "pages/import/start.html", _start(request, session, FormReader({})))


@router.post("/import")
def take_in(request: Request, session: ReadSessionDep, sent: SentFile) -> Response:
    """Take a file in and look through it; nothing is written of the catalogue."""
    engine, form = request.app.state.engine, sent.form
    kind, by = form.choice("kind", list(PLURALS)), who(form, usual_name(session))
    session.close()  # an open reader would hold the writer up
    try:
        form.refuse_problems()
        table = sent.table(request.app.state.settings.body_limit_bytes)
        job = importing.take_in(
            engine,
            table.columns,
            table.rows,
            kind=None if kind is None else PLURALS[kind],
            variant=table.variant,
            by=by,
        )
    except BadInput as refusal:
        form.problems = list(refusal.problems)
        return page(request, "pages/import/start.html", _start(request, session, form), 422)
    return _go_on(request, job, len(table.rows), importing.check)


@router.get("/import/template/{name}.csv")
def template(name: str) -> Response:
    """An empty table of one kind of record."""
    kind = _kind(name)
    sheet = record_sheet(KINDS[kind].noun.model, ())
    headers = attachment_headers(f"empty {name}", now().date())
    return Response(csv_text(sheet.headings, sheet.rows), headers=headers)


@router.get("/import/{job}")
def show(request: Request, session: ReadSessionDep, job: str) -> Response:
    """A file: its progress, its preview, or what became of it."""
    found = importing.job_of(session, job)
    form = FormReader({k: v for k, v in request.query_params.items() if v.strip()})
    show_status = form.choice("show", list(STATUS_WORDS))
    number = read_page(form)
    view = _job(session, found, show_status, number)
    status = 422 if form.problems else 200
    return page(request, "pages/import/job.html", view, status)


@router.get("/import/{job}/problems.csv")
def problems(session: ReadSessionDep, job: str) -> Response:
    """The rows that could not be read, with what is wrong, to be fixed and sent again."""
    found = importing.job_of(session, job)
    rows = queries.job_rows(session, found.row["id"], ("bad",))
    sheet = problem_sheet(found.row["headings"], [(r["cells"], r["problems"] or ()) for r in rows])
    headers = attachment_headers(f"{found.row['noun']}s to fix", now().date())
    variant: Variant = "semicolon" if found.row["variant"] == "semicolon" else "comma"
    return Response(csv_text(sheet.headings, sheet.rows, variant=variant), headers=headers)


@router.post("/import/{job}/check")
def check_again(request: Request, session: ReadSessionDep, job: str) -> Response:
    """Look through a file again, since the catalogue changed or the work was stopped."""
    found = importing.job_of(session, job)
    session.close()
    if not importing.begin_check(request.app.state.engine, job):
        return redirect(request, f"/import/{job}")
    return _go_on(request, job, found.row["total"], importing.check)


@router.post("/import/{job}/save")
def save(request: Request, form: SentForm, session: ReadSessionDep, job: str) -> Response:
    """Keep a file: all of it, or its good rows only."""
    found = importing.job_of(session, job)
    by = who(form, found.row["by"])
    mode = importing.GOOD if form.raw.get("rows") == importing.GOOD else importing.ALL
    session.close()
    if not importing.begin_save(request.app.state.engine, job):
        return redirect(request, f"/import/{job}")

    def keep(engine: Any, key: str) -> None:
        importing.save(engine, key, mode, by=by)

    return _go_on(request, job, found.row["total"], keep)


def _go_on(request: Request, job: str, rows: int, work: Any) -> Response:
    """Send the browser to the file's page; small files are done by then."""
    engine = request.app.state.engine

    def done() -> None:
        try:
            work(engine, job)
        except AppError:
            return  # the job says what happened

    answer = redirect(request, f"/import/{job}")
    if rows <= AT_ONCE:
        done()
    else:
        answer.background = BackgroundTask(done)
    return answer


def _kind(name: str) -> str:
    if name not in PLURALS:
        raise NotFound("table", name[:40])
    return PLURALS[name]


def _start(request: Request, session: Session, form: FormReader) -> StartPage:
    limit = request.app.state.settings.body_limit_bytes
    jobs = queries.recent_jobs(session)
    return StartPage(
        form=form,
        most_rows=MOST_ROWS,
        most_kib=limit // 1024,
        kinds=(("", "Tell from the headings"), *((p, p.capitalize()) for p in PLURALS)),
        columns=tuple((p, columns_help(KINDS[kind].noun.model)) for p, kind in PLURALS.items()),
        recent=tuple(
            (
                f"/import/{row['public_id']}",
                f"{row['noun'].capitalize()}s, {when_words(row['at'])}, "
                f"{_STAGE_WORDS[row['stage']]}, by {row['by']}",
            )
            for row in jobs
        ),
    )


_STAGE_WORDS = {
    "checking": "being looked through",
    "checked": "looked through, not imported",
    "saving": "being imported",
    "saved": "imported",
    "failed": "not imported",
}


def _job(session: Session, found: Job, asked: str | None, number: int) -> ImportPage:
    row, counts, noun = found.row, found.counts, found.row["noun"]
    path = f"/import/{found.id}"
    total = max(1, row["total"])
    shared: dict[str, Any] = {
        "id": found.id,
        "plural": f"{noun}s",
        "stage": found.stage,
        "stuck": found.stuck,
        "variant": VARIANT_WORDS.get(row["variant"], ""),
        "done": row["done"],
        "total": row["total"],
        "share": min(100, 100 * row["done"] // total),
        "found": found_words(counts),
        "message": row["message"] or "",
        "problems_href": f"{path}/problems.csv" if counts.get("bad") else "",
    }
    if found.stage == "saved":
        first = changes(session, ChangeSearch(batch=row["batch"]), 1)
        undone = bool(undoing(session, [change["id"] for change in first]))
        return ImportPage(**shared, batch=row["batch"], undone=undone)
    if found.stage != "checked":
        return ImportPage(**shared)
    show_status = asked or first_shown(counts)
    rows_found = counts.get(show_status, 0)
    pages = max(1, -(-rows_found // PER_PAGE))
    number = min(number, pages)
    start_at = (number - 1) * PER_PAGE
    rows = queries.job_rows(session, row["id"], (show_status,), PER_PAGE, start_at)
    standing: dict[str, Any] = {}
    if show_status == "changed":
        stored = found.catalogue.get_many(session, [r["record"] for r in rows])
        standing = {s.id: s.document.written() for s in stored}
    named = referred_ids([*standing.values(), *(r["document"] for r in rows)])
    names = names_shown(names_of(session, named))
    whole, good = buttons(counts, noun)
    return ImportPage(
        **shared,
        tabs=tabs_of(path, counts, show_status),
        show=show_status,
        lines=tuple(
            row_line(r, noun, HOMES[noun], standing.get(r["record"]), names) for r in rows
        ),
        pager=row_pager(
            path, show_status, number, pages, (start_at + 1, start_at + len(rows), rows_found)
        ),
        write_all=whole,
        write_good=good,
        nothing=not (counts.get("new") or counts.get("changed") or counts.get("bad")),
    )
