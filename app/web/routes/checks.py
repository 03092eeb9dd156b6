"""A second person notes that the figures of a pack or an engine were looked over."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.documents import Checked, read
from app.errors import BadInput, Problem, StaleRecord
from app.presentation.check_line import check_words
from app.records import database
from app.services.catalogue import Catalogue, engines, packs
from app.services.checking import check, last_figures_by
from app.services.stored import Stored
from app.web.deps import ReadSessionDep
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import ACTION, VERSION, SentForm, sent_version, who
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import page
from app.web.visitor import visitor_of

router = APIRouter()

TEMPLATE = "pages/records/check.html"
TAKE_BACK = "take-back"
_LONGEST = 200


@dataclass(frozen=True)
class CheckForm:
    """The form: who checks, when.

    Attributes:
        entered_by: who entered the figures, "" where nobody is known.
        standing: the check as it stands, "" for none.
    """

    name: str
    path: str
    form: FormReader
    version: int
    draft: str
    entered_by: str
    standing: str


@router.get("/packs/{key}/checked")
def pack_form(request: Request, session: ReadSessionDep, key: str) -> Response:
    """The form for a pack."""
    return _blank(request, session, packs, f"/packs/{key}", key)


@router.post("/packs/{key}/checked")
def pack_checked(request: Request, form: SentForm, key: str) -> Response:
    """Note the check of a pack."""
    return _note(request, form, packs, f"/packs/{key}", key)


@router.get("/engines/{key}/checked")
def engine_form(request: Request, session: ReadSessionDep, key: str) -> Response:
    """The form for an engine."""
    return _blank(request, session, engines, f"/engines/{key}", key)


@router.post("/engines/{key}/checked")
def engine_checked(request: Request, form: SentForm, key: str) -> Response:
    """Note the check of an engine."""
    return _note(request, form, engines, f"/engines/{key}", key)


def _blank(
    request: Request, session: database.ReadSession, catalogue: Catalogue[Any], path: str, key: str
) -> Response:
    stored = catalogue.get(session, key)
    texts = {"checked_by": visitor_of(request).name, "checked_at": date.today().isoformat()}
    form = FormReader({**texts, VERSION: str(stored.version)})
    return page(request, TEMPLATE, _view(session, catalogue, path, form, stored))


def _note(
    request: Request, form: FormReader, catalogue: Catalogue[Any], path: str, key: str
) -> Response:
    engine = request.app.state.engine
    taken_back = form.raw.get(ACTION) == TAKE_BACK
    try:
        mark = None if taken_back else _mark(form)
        with database.writing(engine) as session:
            by = who(form, "" if mark is None else mark.by)
            check(session, catalogue, key, sent_version(form), mark, by=by)
    except (BadInput, StaleRecord) as fact:
        stale = isinstance(fact, StaleRecord)
        problems = [Problem("", _STALE)] if stale else getattr(fact, "problems", [])
        form.problems = list(form.problems or problems)
        with database.read_session(engine) as reading:
            view = _view(reading, catalogue, path, form, catalogue.get(reading, key))
            return page(request, TEMPLATE, view, 409 if stale else 422)
    told = "The check was taken back." if taken_back else "Noted: the figures are checked."
    return redirect(request, path, Notice(told))


_STALE = (
    "Somebody changed this record since this page was opened, so the check may be of figures that "
    "are gone. Look at the figures again, then press the button once more."
)


def _mark(form: FormReader) -> Checked:
    """The check that a form says.

    Raises:
        BadInput: a name is missing, or the day is none; under the names of the boxes.
    """
    by = form.by or form.text("checked_by", longest=_LONGEST) or ""
    at = form.text("checked_at", longest=_LONGEST)
    try:
        return read(Checked, {"by": by, "at": at}).document
    except BadInput as refusal:
        found = [Problem(f"checked_{p.field}", p.message) for p in refusal.problems]
        raise BadInput(found) from refusal


def _view(
    session: database.ReadSession,
    catalogue: Catalogue[Any],
    path: str,
    form: FormReader,
    stored: Stored[Any],
) -> CheckForm:
    mark = stored.document.checked
    return CheckForm(
        name=stored.name,
        path=path,
        form=form,
        version=stored.version,
        draft=f"check-{stored.id}-v{stored.version}",
        entered_by=last_figures_by(session, catalogue.noun.kind, stored.id),
        standing="" if mark is None else check_words(mark.by, mark.at),
    )
