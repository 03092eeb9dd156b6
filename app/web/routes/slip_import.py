"""Slip tests from CSV: a look at what would change, then all or nothing."""

import secrets
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from starlette.datastructures import UploadFile
from starlette.responses import Response

from app.errors import BadInput, NotFound, Problem
from app.presentation.slip_csv import COLUMNS, HOW_TO_WRITE, NEEDED
from app.presentation.slip_import_page import ImportLine, counts_words, import_lines
from app.records import database
from app.services import history
from app.services.catalogue import slip_tests
from app.services.slip_importing import ImportPlan, carry_out, plan_import
from app.web.deps import ReadSessionDep, WriteSessionDep
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import SentForm, usual_name, who
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import page
from app.web.slip_import import LIMITS, sent_runs

router = APIRouter()

TEMPLATE = "pages/tests/import.html"


@dataclass(frozen=True)
class SentFile:
    """What was sent: the file's bytes, and what stands in the other boxes."""

    data: bytes
    form: FormReader


@dataclass(frozen=True)
class ImportPage:
    """The page: the form, or what a file would change."""

    form: FormReader
    text: str = ""
    lines: tuple[ImportLine, ...] = ()
    counts: str = ""
    writes: int = 0
    refused: int = 0
    columns: tuple[str, ...] = COLUMNS
    needed: tuple[str, ...] = NEEDED
    how_to_write: str = HOW_TO_WRITE
    most_rows: int = LIMITS.rows
    most_kib: int = LIMITS.bytes // 1024


async def _sent_file(request: Request) -> SentFile:
    # A little more than the limit is read, so that a file above it is told its own size.
    most = LIMITS.bytes + 64 * 1024
    async with request.form(max_files=1, max_fields=20, max_part_size=most) as data:
        file = data.get("file")
        content = await file.read() if isinstance(file, UploadFile) else b""
        form = FormReader(dict(data))
    text = form.raw.get("text", "")
    return SentFile(content or text.encode(), form)


Sent = Annotated[SentFile, Depends(_sent_file)]


@router.get("/tests/import")
def show(request: Request) -> Response:
    """The form, with the columns that a file may have."""
    return page(request, TEMPLATE, ImportPage(FormReader({})))


@router.post("/tests/import")
def send(request: Request, sent: Sent, session: ReadSessionDep) -> Response:
    """Look at a file: what every line would do. Nothing is written."""
    form = sent.form
    if not sent.data.strip():
        form.say("file", "Choose a file, or paste its lines.")
        return page(request, TEMPLATE, ImportPage(form), 422)
    try:
        plan = plan_import(session, sent_runs(session, sent.data))
    except BadInput as refusal:
        form.problems += [Problem("file", p.message) for p in refusal.problems]
        return page(request, TEMPLATE, ImportPage(form), 422)
    return page(request, TEMPLATE, _looked(form, sent.data, plan))


@router.post("/tests/import/save")
def save(request: Request, sent: Sent) -> Response:
    """Write what the look beforehand showed, all of it or nothing."""
    engine = request.app.state.engine
    form = sent.form
    shown = form.raw.get("writes", "")
    expected = int(shown) if shown.isascii() and shown.isdecimal() and len(shown) < 6 else -1
    batch = f"csv-{secrets.token_hex(6)}"
    try:
        with database.writing(engine) as session:
            runs = sent_runs(session, sent.data)
            done = carry_out(session, runs, by=who(form), batch=batch, expected=expected)
    except BadInput as refusal:
        form.problems += [Problem("", p.message) for p in refusal.problems]
        with database.read_session(engine) as session:
            try:
                plan = plan_import(session, sent_runs(session, sent.data))
            except BadInput:
                return page(request, TEMPLATE, ImportPage(form), 422)
            return page(request, TEMPLATE, _looked(form, sent.data, plan), 409)
    told = f"{done.count('new')} added, {done.count('changed')} changed."
    notice = Notice(f"Slip tests brought in: {told}", undo=_way_back(batch))
    return redirect(request, "/tests", notice)


@router.post("/imported-tests/{batch}/bring-back")
def take_back(request: Request, session: WriteSessionDep, form: SentForm, batch: str) -> Response:
    """Take an import of slip tests back as a whole, or bring back what was taken back so."""
    if {row["noun"] for row in history.batch_of(session, batch)} != {slip_tests.noun.kind}:
        raise NotFound("import of slip tests", batch)
    made = history.undo_batch(session, batch, by=who(form, usual_name(session)))
    notice = Notice("The slip tests are as they were before.", undo=_way_back(made))
    return redirect(request, "/tests", notice)


def _way_back(batch: str) -> str:
    return f"/imported-tests/{batch}/bring-back"


def _looked(form: FormReader, data: bytes, plan: ImportPlan) -> ImportPage:
    return ImportPage(
        form=form,
        text=data.decode("utf-8-sig"),
        lines=import_lines(_line(plan)),
        counts=counts_words({name: plan.count(name) for name in
                             ("new", "changed", "unchanged", "refused")}),
        writes=plan.writes,
        refused=plan.count("refused"),
    )


def _line(plan: ImportPlan) -> list[tuple[int, str, str, list[tuple[str, object, object]],
                                          list[tuple[str, str]]]]:
    return [
        (line.row, line.action, line.name,
         [(d.name, d.before, d.after) for d in line.differences],
         [(p.field, p.message) for p in line.problems])
        for line in plan.lines
    ]
