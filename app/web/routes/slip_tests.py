"""The log of slip tests: the list, the file of it, one run with its photos."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response, StreamingResponse

from app.comparison.slip_runs import RunLoad
from app.documents import SlipTest
from app.errors import BadInput
from app.mechanics.friction_source import TESTED
from app.presentation.csv_text import attachment_headers, csv_blocks
from app.presentation.photos import photo_box
from app.presentation.slip_csv import csv_columns, csv_row
from app.presentation.slip_log import STATE_WORDS, RunLine, RunPage, run_line, run_page
from app.records import database
from app.records.slip_test_queries import active_packs, instruments_by_public_id, pack_names
from app.services.catalogue import slip_tests
from app.services.photos import photos_of
from app.services.slip_fitting import inputs_of, loads_of, runs_of
from app.services.standing import standing
from app.services.stored import Stored
from app.web.deps import ReadSessionDep
from app.web.forms.photo_form import SentPhotos, keep
from app.web.forms.record_forms import usual_name, who
from app.web.htmx import redirect
from app.web.list_pages import (
    Filter,
    FilterByKey,
    ListPage,
    changed_words,
    find,
    list_page,
    read_asked,
)
from app.web.notices import Notice
from app.web.record_routes import add_putting_aside
from app.web.render import app_version, page

router = APIRouter()

PATH = "/tests"
USUAL_ORDER = "-name"
ORDERS = (
    ("", "Newest day first"),
    ("name", "Oldest day first"),
    ("-changed", "Changed last, first"),
    ("changed", "Changed last, last"),
)
_FRICTION = (("sliding", "Sliding"), ("static", "Static"))
_PLATES = (("oiled", "Oiled"), ("dry", "Dry"))
EXPORTED_AT_ONCE = 500


@dataclass(frozen=True)
class TestsPage:
    """The log as its page shows it."""

    __test__ = False

    shown: ListPage
    lines: tuple[RunLine, ...]
    csv: str
    fits: tuple[tuple[str, str], ...]
    orders: tuple[tuple[str, str], ...] = ORDERS


@router.get("/tests")
def show_list(request: Request, session: ReadSessionDep) -> Response:
    """The log, searched, filtered, a page at a time."""
    filters = _filters(session)
    asked = read_asked(request, filters, USUAL_ORDER)
    found = find(session, slip_tests, asked)
    loads = _loads(session, found.records)
    lines = tuple(run_line(s.id, s.document, loads.get(s.id)) for s in found.records)
    shown = list_page(slip_tests, found, asked, PATH, filters, (), (), "")
    query = str(request.url.query)
    view = TestsPage(
        shown, lines, f"{PATH}/export.csv?{query}" if query else f"{PATH}/export.csv",
        _fits(session, found.records),
    )
    return page(request, "pages/tests/list.html", view, asked.status)


@router.get("/tests/export.csv")
def export(request: Request, session: ReadSessionDep) -> Response:
    """Every run that the log's filters keep, a line each."""
    asked = read_asked(request, _filters(session), USUAL_ORDER)
    asked.form.refuse_problems()
    found: list[Stored[SlipTest]] = []
    number = 1
    while True:
        part = slip_tests.page(session, asked.search, page=number, size=EXPORTED_AT_ONCE)
        found += part.records
        if number >= part.pages:
            break
        number += 1
    names = _names(session, [s.document for s in found])
    at = datetime.now(UTC)
    rows = [
        [*csv_row(s.id, s.version, s.document, names), at, app_version()] for s in found
    ]
    headers = attachment_headers("slip-tests", at.date())
    return StreamingResponse(csv_blocks(csv_columns(), rows), headers=headers)


add_putting_aside(router, slip_tests, PATH)


@router.get("/tests/{key}")
def show(request: Request, session: ReadSessionDep, key: str) -> Response:
    """One run: measured against predicted, what it repeats, its readings, its photos."""
    return page(request, "pages/tests/detail.html", _shown(session, key))


@router.post("/tests/{key}/photos")
def add_photos(request: Request, sent: SentPhotos, key: str) -> Response:
    """Add photos to a run."""
    engine = request.app.state.engine
    with database.read_session(engine) as session:
        by = who(sent.form, usual_name(session))
    try:
        told = keep(engine, "slip test", key, sent, by)
    except BadInput as refusal:
        typed = sent.form.raw.get("caption", "")
        with database.read_session(engine) as session:
            view = _shown(session, key, refusal.message, typed)
        return page(request, "pages/tests/detail.html", view, 422)
    return redirect(request, f"{PATH}/{key}#photos", Notice(told))


def _shown(session: Session, key: str, problem: str = "", caption: str = "") -> RunPage:
    stored = slip_tests.get(session, key)
    test = stored.document
    pack = test.pack or ""
    name, in_use = pack_names(session, [pack])[pack]
    inputs = inputs_of(session, pack)
    alike = [s for s in runs_of(session, pack) if _alike(s.document, test)]
    loads = {} if inputs is None else {
        load.run.key: load for load in loads_of(session, inputs, alike)
    }
    instrument = instruments_by_public_id(session, [test.instrument] if test.instrument else [])
    photos = photos_of(session, "slip test", [key]).get(key, [])
    return run_page(
        key, stored.version, test, changed_words(stored), name, in_use,
        next((row["name"] for row in instrument.values()), ""),
        loads.get(key), [load for load in loads.values() if not load.excluded],
        inputs is not None
        and inputs.friction_source.get((test.lubrication, test.friction)) == TESTED,
        photo_box(f"{PATH}/{key}/photos", stored.name, photos, problem, caption),
    )


def _filters(session: Session) -> tuple[Filter, ...]:
    rows = active_packs(session)
    keys = {row["public_id"]: row["id"] for row in rows}
    names = tuple((row["public_id"], row["name"]) for row in rows)
    return (
        FilterByKey("pack", "pack_id", "Pack", (("", "Any"), *names), keys),
        Filter("lubrication", "lubrication", "Plates", (("", "Any"), *_PLATES)),
        Filter("friction", "friction", "Friction", (("", "Any"), *_FRICTION)),
    )


def _alike(one: SlipTest, other: SlipTest) -> bool:
    """Whether one run repeats another."""
    names = ("lubrication", "friction", "springs_fitted", "wear_mm")
    return all(getattr(one, name) == getattr(other, name) for name in names)


def _loads(
    session: Session, records: Sequence[Stored[SlipTest]]
) -> dict[str, RunLoad]:
    """Loads of the runs whose pack is in use, by the run's id."""
    known = standing(session).pack_by_id
    by_pack: dict[str, list[Stored[SlipTest]]] = defaultdict(list)
    for stored in records:
        by_pack[stored.document.pack or ""].append(stored)
    return {
        load.run.key: load
        for pack, tests in by_pack.items()
        if pack in known
        for load in loads_of(session, known[pack].inputs, tests)
    }


def _fits(session: Session, records: Iterable[Stored[SlipTest]]) -> tuple[tuple[str, str], ...]:
    """Packs and states on the page, each with the address of its fit."""
    known = standing(session).pack_by_id
    found = {}
    for stored in records:
        t = stored.document
        if t.pack in known:
            words = STATE_WORDS[t.lubrication, t.friction].lower()
            address = f"{PATH}/fit/{t.pack}?lubrication={t.lubrication}&friction={t.friction}"
            found[f"{known[t.pack].name}, {words}"] = address
    return tuple(sorted(found.items()))


def _names(session: Session, tests: Sequence[SlipTest]) -> Mapping[str, str]:
    """Names of packs and instruments by their ids."""
    packs = pack_names(session, {t.pack for t in tests if t.pack})
    used = instruments_by_public_id(session, {t.instrument for t in tests if t.instrument})
    return {key: name for key, (name, _) in packs.items()} | {
        key: row["name"] for key, row in used.items()
    }
