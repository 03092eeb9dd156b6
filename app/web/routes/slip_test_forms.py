"""Logging and changing a slip test by its form."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.documents import SlipTest, beyond_range
from app.errors import NotFound
from app.fields import SLIP_TEST, Field
from app.presentation.slip_log import KIND_WORDS
from app.records.slip_test_queries import (
    active_instruments,
    active_packs,
    instrument_row,
    pack_names,
)
from app.services.catalogue import packs, slip_tests
from app.services.team_settings import measured_by
from app.units import unit_names
from app.web.deps import ReadSessionDep
from app.web.forms import slip_test_form as boxes
from app.web.forms.form_pages import FormPages
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import ACTION, RecordKind, SentForm

router = APIRouter()

Options = tuple[tuple[str, str], ...]
_REMOVE = re.compile(r"remove-reading-([0-9]{1,3})")


@dataclass(frozen=True)
class RowView:
    """One row of readings; `question` is asked where the reading lies beyond the gauge."""

    number: int
    place: int
    question: str = ""
    answers: Options = ()


@dataclass(frozen=True)
class TestBoxes:
    """What the form of a slip test shows besides."""

    __test__ = False

    packs: Options
    instruments: Options
    rows: tuple[RowView, ...]
    kinds: Options
    units: tuple[str, ...]
    fields: Mapping[str, Field]


def change_form(form: FormReader) -> str | None:
    """Do what a button of the form itself asks for: the box to go on at, None to save."""
    asked = form.raw.pop(ACTION, "")
    if asked == "add-reading":
        return boxes.add_row(form)
    found = _REMOVE.fullmatch(asked)
    if found is None:
        return None
    head = f"{boxes.HEAD}.{found[1]}."
    form.raw = {name: text for name, text in form.raw.items() if not name.startswith(head)}
    return f"{head}low"


def more(session: Session, form: FormReader) -> Mapping[str, Any]:
    """Packs, instruments and rows of readings, with the questions that they raise."""
    chosen = form.raw.get("pack", "")
    names = {row["public_id"]: row["name"] for row in active_packs(session)}
    if chosen and chosen not in names:
        names |= {key: name for key, (name, _) in pack_names(session, [chosen]).items()}
    used = form.raw.get("instrument", "")
    gauges = {row["public_id"]: row["name"] for row in active_instruments(session)}
    row = instrument_row(session, used) if used else None
    if row is not None:
        gauges[used] = row["name"]
    limits = (None, None) if row is None else (row["range_low_nm"], row["range_high_nm"])
    shown = boxes.rows_shown(form)
    rows = tuple(_row(form, n, place, limits) for place, n in enumerate(shown, start=1))
    return {
        "own": TestBoxes(
            packs=(("", "Choose the pack"), *names.items()),
            instruments=(("", "Not said"), *gauges.items()),
            rows=rows,
            kinds=tuple(KIND_WORDS.items()),
            units=unit_names("torque"),
            fields=SLIP_TEST,
        )
    }


def _row(
    form: FormReader, n: int, place: int, limits: tuple[float | None, float | None]
) -> RowView:
    reading = boxes.reading_in_row(form, n) if n in boxes.rows_filled(form) else None
    asked = None if reading is None else beyond_range(reading, *limits)
    if asked is None:
        return RowView(n, place)
    low, high = asked.bound.ends
    bound = f"{asked.bound.kind} {low or high:.10g}"
    return RowView(n, place, asked.question, (("yes", asked.as_read), (bound, asked.as_bound)))


PAGES = FormPages(
    RecordKind(slip_tests, SlipTest, boxes.slip_test_texts, boxes.read_slip_test),
    "/tests",
    "pages/tests/form.html",
    {},
    more,
    change_form,
)


@router.get("/tests/new")
def blank(
    request: Request, session: ReadSessionDep, pack: str = "", like: str = "", springs: str = ""
) -> Response:
    """A form for a new run: blank, of a pack, or like another run without its readings."""
    beginning = {"by": measured_by(session), "date": date.today().isoformat()}
    if like:
        texts = boxes.slip_test_texts(slip_tests.get(session, like).document)
        beginning |= {name: texts[name] for name in boxes.SAME_AGAIN if name in texts}
    elif pack:
        try:
            beginning["pack"] = packs.get(session, pack).id
        except NotFound:
            beginning["pack"] = ""
    if springs.isascii() and springs.isdecimal() and len(springs) < 4:
        beginning["springs_fitted"] = springs
    return replace(PAGES, beginning=beginning).blank(request, session)


@router.post("/tests/new")
def add(request: Request, form: SentForm) -> Response:
    """Log a run, or change the form itself."""
    return PAGES.add(request, form)


@router.get("/tests/{key}/edit")
def edit(request: Request, session: ReadSessionDep, key: str) -> Response:
    """A run's form as it was filled in."""
    return PAGES.edit(request, session, key)


@router.post("/tests/{key}/edit")
def change(request: Request, form: SentForm, key: str) -> Response:
    """Change a run, or change the form itself."""
    return PAGES.change(request, form, key)
