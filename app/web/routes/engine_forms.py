"""Adding, copying and changing an engine by its form."""

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter
from sqlmodel import Session

from app.documents import Engine
from app.mechanics.tables import suggested_service_factor
from app.presentation.numbers import number_text
from app.services.catalogue import engines
from app.web.forms.engine_form import engine_texts, read_engine
from app.web.forms.form_pages import FormPages
from app.web.forms.form_sections import ENGINE_SECTIONS, section_views
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import ACTION, RecordKind
from app.web.record_routes import add_form_pages

router = APIRouter()

MOST_CYLINDERS = 99


def change_form(form: FormReader) -> str | None:
    """An engine's form has no buttons of its own: it is always to be saved."""
    form.raw.pop(ACTION, None)
    return None


def more(_session: Session, form: FormReader) -> Mapping[str, Any]:
    """What the form shows besides: the factor that is usual for such an engine, its parts."""
    return {
        "suggestion": suggestion(form.raw.get("strokes", ""), form.raw.get("cylinders", "")),
        "sections": section_views(ENGINE_SECTIONS, form),
    }


def suggestion(strokes: str, cylinders: str) -> str:
    """The usual service factor in words; it is told and never filled in.

    >>> suggestion("4", "1")
    ' Usual for a four-stroke, one cylinder: 1.5 (1.3 to 1.8), common practice.'
    """
    if strokes not in ("2", "4") or not (cylinders.isascii() and cylinders.isdigit()):
        return ""
    row = suggested_service_factor(int(strokes), min(int(cylinders[:4]), MOST_CYLINDERS))
    if row is None:
        return ""
    kind = row.label[:1].lower() + row.label[1:]
    span = f"{number_text(row.factor_low)} to {number_text(row.factor_high)}"
    return f" Usual for a {kind}: {number_text(row.factor)} ({span}), common practice."


PAGES = FormPages(
    RecordKind(engines, Engine, engine_texts, read_engine),
    "/engines",
    "pages/engines/form.html",
    {"cylinders": "1", "torque.curve.at": "crank"},
    more,
    change_form,
)

add_form_pages(router, PAGES)
