"""Displacement classes and mean effective pressures, as the team wants them."""

from dataclasses import dataclass

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.errors import BadInput, Problem, StaleRecord
from app.mechanics.class_table import displacement_classes
from app.presentation.numbers import NBSP, number_text
from app.records import database
from app.services.class_settings import class_settings, set_class_settings, shown_bands
from app.services.team_settings import measured_by
from app.web.deps import ReadSessionDep
from app.web.forms.class_form import class_texts, read_classes, rows_shown
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import SentForm, who
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import page

router = APIRouter()
TEMPLATE = "pages/classes_edit.html"
PATH = "/classes/edit"


@dataclass(frozen=True)
class ClassFormPage:
    """The page: rows of the table, kinds of engine with what is shipped, the version held."""

    form: FormReader
    rows: tuple[int, ...]
    bands: tuple[tuple[str, str, str], ...]
    shipped: str
    version: str
    stale: bool = False


@router.get(PATH)
def show(request: Request, session: ReadSessionDep) -> Response:
    """Classes and bands as they stand."""
    held = class_settings(session)
    form = FormReader(class_texts(held))
    return page(request, TEMPLATE, _view(form, str(held.version)))


@router.post(PATH)
def change(request: Request, form: SentForm) -> Response:
    """Keep what was typed, or what is shipped where that was asked for."""
    engine = request.app.state.engine
    restore = form.raw.get("do") == "restore"
    names: dict[str, str] = {}
    status, stale = 422, False
    rows = [(c.displacement_cc, c.ratio_low, c.ratio_high) for c in displacement_classes()]
    bands = {band.kind: (band.low_kpa, band.high_kpa) for band in shown_bands()}
    try:
        if not restore:
            wanted, names = read_classes(form)
            rows, bands = wanted.classes, wanted.bands
        with database.writing(engine) as session:
            by = who(form, measured_by(session))
            set_class_settings(session, rows, bands, version=_version(form), by=by)
        told = "The program’s own classes are in force again." if restore else "Classes saved."
        return redirect(request, "/classes", Notice(told))
    except BadInput as refusal:
        if not form.problems:
            form.problems = [
                Problem(names.get(p.field, p.field), p.message) for p in refusal.problems
            ]
    except StaleRecord as fact:
        status, stale = 409, True
        form.say("", fact.message)
    version = form.raw.get("version", "")
    if stale:
        with database.read_session(engine) as session:
            version = str(class_settings(session).version)
    return page(request, TEMPLATE, _view(form, version, stale), status)


def _version(form: FormReader) -> int:
    text = form.raw.get("version", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else -1


def _view(form: FormReader, version: str, stale: bool = False) -> ClassFormPage:
    return ClassFormPage(
        form=form,
        rows=tuple(rows_shown(form)),
        bands=tuple(
            (b.kind, b.label, f"{number_text(b.low_kpa)}–{number_text(b.high_kpa)}")
            for b in shown_bands()
        ),
        shipped="; ".join(
            f"{number_text(c.displacement_cc)}{NBSP}cm³ {number_text(c.ratio_low)}–"
            f"{number_text(c.ratio_high)}"
            for c in displacement_classes()
        ),
        version=version,
        stale=stale,
    )
