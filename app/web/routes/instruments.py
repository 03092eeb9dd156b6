"""Gauges and torque wrenches: the list, one of them, its form, putting aside and bringing back."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.documents import Instrument
from app.fields import INSTRUMENT
from app.presentation.data_sheet import SheetLine, SheetPart, part
from app.presentation.numbers import NBSP, NOT_KNOWN, number_text
from app.presentation.record_list import Cell, Heading, Row, sorting
from app.records.slip_test_queries import instrument_row, runs_with_instrument
from app.services.catalogue import instruments
from app.web.deps import ReadSessionDep
from app.web.forms.form_pages import FormPages
from app.web.forms.instrument_form import instrument_texts, read_instrument
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import RecordKind
from app.web.list_pages import changed_words, find, list_page, read_asked
from app.web.record_routes import add_form_pages, add_putting_aside
from app.web.render import page

router = APIRouter()

PATH = "/instruments"
_ACCURACY = INSTRUMENT["relative_accuracy"]


@dataclass(frozen=True)
class InstrumentPage:
    """The page of one instrument."""

    id: str
    name: str
    version: int
    changed: str
    parts: tuple[SheetPart, ...]
    runs: tuple[tuple[str, str], ...]
    notes: str


def more(_session: Session, _form: FormReader) -> Mapping[str, Any]:
    """The form shows its boxes and nothing besides."""
    return {}


def change_form(_form: FormReader) -> str | None:
    """No button changes the form itself."""
    return None


PAGES = FormPages(
    RecordKind(instruments, Instrument, instrument_texts, read_instrument),
    PATH,
    "pages/instruments/form.html",
    {},
    more,
    change_form,
)


@router.get("/instruments")
def show_list(request: Request, session: ReadSessionDep) -> Response:
    """The list."""
    asked = read_asked(request)
    found = find(session, instruments, asked)
    rows = [
        Row(stored.name, f"{PATH}/{stored.id}", _cells(stored.document))
        for stored in found.records
    ]
    headings = (
        sorting(PATH, asked.words, "name", "Instrument"),
        Heading("Range", "N·m", numeric=True),
        Heading("Accuracy", numeric=True),
        Heading("Resolution", "N·m", numeric=True),
    )
    caption = "What torque is read with"
    view = list_page(instruments, found, asked, PATH, (), headings, rows, caption)
    return page(request, "pages/records/list.html", view, asked.status)


add_putting_aside(router, instruments, PATH)
add_form_pages(router, PAGES, copies=False)


@router.get("/instruments/{key}")
def show(request: Request, session: ReadSessionDep, key: str) -> Response:
    """One instrument with the runs that were read with it."""
    stored = instruments.get(session, key)
    row = instrument_row(session, key)
    runs = () if row is None else tuple(runs_with_instrument(session, row["id"]).items())
    view = InstrumentPage(
        key, stored.name, stored.version, changed_words(stored),
        (_figures(stored.document),), runs,
        stored.document.notes or "",
    )
    return page(request, "pages/instruments/detail.html", view)


def _figures(instrument: Instrument) -> SheetPart:
    """Its figures; the accuracy in per cent, as gauges are marked."""
    share, more = instrument.relative_accuracy, []
    if share is not None:
        text = f"{number_text(100 * share)}{NBSP}% of the reading"
        more = [SheetLine("Accuracy", text, caution=_ACCURACY.caution(share) or "")]
    names = [n for n in INSTRUMENT if share is None or n != "relative_accuracy"]
    return part("Figures", instrument, INSTRUMENT, names, more)


def _cells(instrument: Instrument) -> tuple[Cell, ...]:
    low, high = instrument.range_low_nm, instrument.range_high_nm
    span = NOT_KNOWN
    if low is not None or high is not None:
        span = f"{number_text(low or 0.0)}–{number_text(high) if high is not None else '?'}"
    share = instrument.relative_accuracy
    return (
        Cell(span, numeric=True),
        Cell(NOT_KNOWN if share is None else f"{number_text(100 * share)} %", numeric=True),
        Cell(number_text(instrument.resolution_nm), numeric=True),
    )
