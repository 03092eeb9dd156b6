"""The teardown of a pack: the checklist, its findings, the blank sheet for the bench."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from types import MappingProxyType

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.documents.finding import CheckOutcome
from app.errors import BadInput
from app.presentation.cautions import CAUTIONS, Caution
from app.presentation.teardown import (
    CHECKS,
    OUTCOME_WORDS,
    CheckWords,
    FindingLine,
    finding_line,
    finding_photos,
)
from app.records import database
from app.records.slip_test_queries import findings_of_pack
from app.records.source_queries import pack_key
from app.services.catalogue import findings, packs
from app.services.photos import photos_of
from app.services.team_settings import measured_by
from app.web.deps import ReadSessionDep, WriteSessionDep
from app.web.forms.photo_form import SentPhotos, keep
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import (
    SUBMISSION,
    SentForm,
    in_order,
    new_token,
    sent_version,
    usual_name,
    who,
)
from app.web.forms.teardown_form import read_findings
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import page

router = APIRouter()

STEPS = ("retaining-ring", "spring", "dust", "oil")


def _cautions() -> tuple[Caution, ...]:
    return tuple(CAUTIONS[key] for key in STEPS)


@dataclass(frozen=True)
class TeardownPage:
    """The checklist of one pack with what was found before."""

    id: str
    name: str
    form: FormReader
    lines: tuple[FindingLine, ...]
    submission: str
    checks: tuple[CheckWords, ...] = CHECKS
    outcomes: Mapping[CheckOutcome, str] = field(default_factory=lambda: OUTCOME_WORDS)
    cautions: tuple[Caution, ...] = field(default_factory=_cautions)


@dataclass(frozen=True)
class SheetPage:
    """The blank sheet."""

    checks: tuple[CheckWords, ...] = CHECKS
    cautions: tuple[Caution, ...] = field(default_factory=_cautions)


@router.get("/packs/teardown-sheet")
def sheet(request: Request) -> Response:
    """A blank sheet to print and fill in at the bench."""
    return page(request, "pages/packs/teardown_sheet.html", SheetPage())


@router.get("/packs/{key}/teardown")
def show(request: Request, session: ReadSessionDep, key: str) -> Response:
    """The checklist, and the findings so far."""
    return page(request, "pages/packs/teardown.html", _view(session, key, _blank(session)))


@router.post("/packs/{key}/teardown")
def add(request: Request, form: SentForm, key: str) -> Response:
    """Keep every answered question as a finding."""
    engine = request.app.state.engine
    with database.read_session(engine) as session:
        packs.get(session, key)
    token = form.text(SUBMISSION, longest=100) or new_token()
    try:
        found = read_findings(form, key)
        with database.writing(engine) as session:
            for finding in found:
                own = f"{token} {finding.check}"
                findings.add(session, finding, by=who(form), submission_token=own)
    except BadInput:
        form.problems = in_order(form)
        with database.read_session(engine) as session:
            return page(request, "pages/packs/teardown.html", _view(session, key, form), 422)
    count = f"{len(found)} finding{'' if len(found) == 1 else 's'}"
    return redirect(request, f"/packs/{key}/teardown", Notice(f"{count} saved."))


@router.post("/findings/{key}/photos")
def add_photos(request: Request, sent: SentPhotos, key: str) -> Response:
    """Add photos to a finding."""
    engine = request.app.state.engine
    with database.read_session(engine) as session:
        pack = findings.get(session, key).document.pack or ""
        by = who(sent.form, usual_name(session))
    try:
        told = keep(engine, "finding", key, sent, by)
    except BadInput as refusal:
        refused = {key: (refusal.message, sent.form.raw.get("caption", ""))}
        with database.read_session(engine) as session:
            view = _view(session, pack, _blank(session), refused)
        return page(request, "pages/packs/teardown.html", view, 422)
    return redirect(request, f"/packs/{pack}/teardown", Notice(told))


@router.post("/findings/{key}/put-aside")
def put_aside(request: Request, session: WriteSessionDep, form: SentForm, key: str) -> Response:
    """Put a finding aside; the next page offers to undo it."""
    stored = findings.put_aside(session, key, sent_version(form), by=who(form))
    told = Notice(f"{stored.name} was put aside.", undo=f"/findings/{key}/bring-back")
    return redirect(request, f"/packs/{stored.document.pack}/teardown", told)


@router.post("/findings/{key}/bring-back")
def bring_back(request: Request, session: WriteSessionDep, form: SentForm, key: str) -> Response:
    """Bring a finding back."""
    stored = findings.bring_back(session, key, by=who(form))
    told = Notice(f"{stored.name} is in use again.")
    return redirect(request, f"/packs/{stored.document.pack}/teardown", told)


def _blank(session: Session) -> FormReader:
    today = date.today().isoformat()
    return FormReader({"date": today, "by": measured_by(session), SUBMISSION: new_token()})


def _view(
    session: Session,
    key: str,
    form: FormReader,
    refused: Mapping[str, tuple[str, str]] = MappingProxyType({}),
) -> TeardownPage:
    stored = packs.get(session, key)
    rows = findings_of_pack(session, pack_key(session, key) or 0)
    kept = findings.get_many(session, [row["public_id"] for row in rows])
    photos = photos_of(session, "finding", [f.id for f in kept])
    lines = tuple(
        finding_line(
            f.id, f.version, f.document,
            finding_photos(f.id, f.document, photos.get(f.id, ()), *refused.get(f.id, ())),
        )
        for f in kept
    )
    return TeardownPage(
        id=key,
        name=stored.name,
        form=form,
        lines=lines,
        submission=form.raw.get(SUBMISSION, "") or new_token(),
    )
