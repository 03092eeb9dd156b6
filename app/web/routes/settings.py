"""The team's settings, each shown with what is shipped."""

from dataclasses import dataclass, field

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.errors import BadInput, StaleRecord, StorageUnavailable
from app.fields import HOWS, Field
from app.presentation.input_words import HOW_WORDS
from app.presentation.numbers import number_text
from app.records import database
from app.services import team_settings as team
from app.web.deps import ReadSessionDep
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import SentForm, who
from app.web.forms.settings_form import (
    HEAVY,
    KIND_WORDS,
    SHOWN_KINDS,
    Settings,
    box,
    half_width_text,
    read_settings,
    settings_texts,
    shipped,
)
from app.web.htmx import is_htmx, redirect
from app.web.notices import Notice
from app.web.render import page

router = APIRouter()

TEMPLATE = "pages/settings.html"
VERSIONS = (
    ("doubts_version", team.DOUBTS_KEY),
    ("limits_version", team.LIMITS_KEY),
    ("name_version", team.MEASURED_BY_KEY),
)


@dataclass(frozen=True)
class DoubtBox:
    """One box of the table: its name, its label for those who do not see, what is shipped."""

    name: str
    label: str
    shipped: str


@dataclass(frozen=True)
class DoubtRow:
    """One kind of figure."""

    label: str
    boxes: tuple[DoubtBox, ...]


@dataclass(frozen=True)
class SettingsPage:
    """The page."""

    form: FormReader
    versions: tuple[tuple[str, str], ...]
    draft: str
    stale: bool = False
    heavy_shipped: str = field(default_factory=lambda: number_text(team.LIMITS["heavy"]))
    heavy: Field = HEAVY
    hows: tuple[str, ...] = tuple(HOW_WORDS[how] for how in HOWS)
    rows: tuple[DoubtRow, ...] = ()


@router.get("/settings")
def show(request: Request, session: ReadSessionDep) -> Response:
    """The settings as they stand."""
    return page(request, TEMPLATE, _view(session, FormReader(_standing(session))))


@router.post("/settings")
def change(request: Request, form: SentForm) -> Response:
    """Keep the settings."""
    engine = request.app.state.engine
    status, stale = 422, False
    try:
        wanted = read_settings(form)
        with database.writing(engine) as session:
            _keep(session, wanted, form)
        return redirect(request, "/settings", Notice("Settings saved."))
    except BadInput as refusal:
        if not form.problems:
            form.problems = list(refusal.problems)
    except StaleRecord as fact:
        status, stale = 409, True
        form.say("", fact.message)
    except StorageUnavailable as fact:
        if is_htmx(request):
            raise
        status = 503
        form.say("", fact.message)
    with database.read_session(engine) as session:
        return page(request, TEMPLATE, _view(session, form, stale), status)


def _keep(session: database.WriteSession, wanted: Settings, form: FormReader) -> None:
    """Write what differs, each under the version that the form was filled from."""
    by = who(form, wanted.measured_by)
    versions = {key: _version(form, name) for name, key in VERSIONS}
    own = team.doubt_overrides(session)
    if {(row.kind, row.how): row for row in wanted.doubts} != own:
        team.set_doubt_overrides(session, wanted.doubts, version=versions[team.DOUBTS_KEY], by=by)
    if wanted.limits != (team.held(session, team.LIMITS_KEY).value or {}):
        team.set_limits(session, wanted.limits, version=versions[team.LIMITS_KEY], by=by)
    if wanted.measured_by != team.measured_by(session):
        version = versions[team.MEASURED_BY_KEY]
        team.set_measured_by(session, wanted.measured_by, version=version, by=by)


def _version(form: FormReader, name: str) -> int:
    text = form.raw.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else -1


def _standing(session: Session) -> dict[str, str]:
    return settings_texts(
        team.doubt_overrides(session),
        team.held(session, team.LIMITS_KEY).value or {},
        team.measured_by(session),
    )


def _view(session: Session, form: FormReader, stale: bool = False) -> SettingsPage:
    """The page; after somebody else's save it carries the newer versions, to save over them."""
    standing = {name: str(team.held(session, key).version) for name, key in VERSIONS}
    versions = standing if stale else {n: form.raw.get(n, v) for n, v in standing.items()}
    return SettingsPage(
        form=form,
        versions=tuple(versions.items()),
        draft="settings-" + "-".join(versions.values()),
        stale=stale,
        rows=tuple(_row(kind) for kind in SHOWN_KINDS),
    )


def _row(kind: str) -> DoubtRow:
    boxes = [
        DoubtBox(box(kind, how), f"{KIND_WORDS[kind]}, {how}", half_width_text(shipped(kind, how)))
        for how in HOWS
    ]
    return DoubtRow(KIND_WORDS[kind], tuple(boxes))
