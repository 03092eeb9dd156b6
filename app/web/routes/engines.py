"""The catalogue of engines: the list, one engine, putting aside and bringing back."""

from collections.abc import Sequence
from dataclasses import replace

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.comparison.run import work_out_sides
from app.documents import Engine
from app.mechanics.inputs import EngineInputs, PackInputs
from app.presentation.check_line import check_line
from app.presentation.engine_page import engine_page
from app.presentation.input_words import TORQUE_WORDS
from app.presentation.numbers import NOT_KNOWN, column_texts, number_text
from app.presentation.price_chart import price_view
from app.presentation.readouts import STATE
from app.presentation.record_list import Cell, Heading, Row, sorting
from app.services.catalogue import engines
from app.services.checking import withdrawal_of
from app.services.shopping import every_offer
from app.services.standing import standing
from app.services.stored import Stored
from app.web.deps import ReadSessionDep
from app.web.held import held
from app.web.list_pages import (
    Filter,
    FilterByKey,
    ListPage,
    changed_words,
    find,
    list_page,
    read_asked,
)
from app.web.record_routes import add_putting_aside
from app.web.render import page

router = APIRouter()

PATH = "/engines"
FILTERS = (
    Filter("torque", "torque_kind", "Torque known by", (("", "Any"), *TORQUE_WORDS.items())),
    FilterByKey(
        "strokes",
        "strokes",
        "Strokes",
        (("", "Any"), ("4", "Four"), ("2", "Two")),
        {"4": 4, "2": 2},
    ),
)


@router.get("/engines")
def show_list(request: Request, session: ReadSessionDep) -> Response:
    """The list, searched, filtered, ordered."""
    view, status = held(request, session, lambda: _list(request, session))
    return page(request, "pages/records/list.html", view, status, held=True)


def _list(request: Request, session: Session) -> tuple[ListPage, int]:
    asked = read_asked(request, FILTERS)
    found = find(session, engines, asked)
    known = standing(session).engine_by_id
    inputs = [known[stored.id].inputs for stored in found.records]
    rows = [
        Row(stored.name, f"{PATH}/{stored.id}", cells)
        for stored, cells in zip(found.records, _cells(found.records, inputs), strict=True)
    ]
    headings = (
        sorting(PATH, asked.words, "name", "Engine"),
        Heading("Crank torque", "N·m", numeric=True),
        Heading("Required, on the crankshaft", "N·m", numeric=True),
        Heading("Required, geared", "N·m", numeric=True),
        Heading("Displacement", "cc", numeric=True),
        Heading("Strokes", numeric=True),
        Heading("Torque known by"),
        sorting(PATH, asked.words, "changed", "Changed"),
    )
    caption = "Required torque at the clutch, service factor included, by mounting."
    return list_page(engines, found, asked, PATH, FILTERS, headings, rows, caption), asked.status


add_putting_aside(router, engines, PATH)


@router.get("/engines/{key}")
def show(request: Request, session: ReadSessionDep, key: str) -> Response:
    """One engine."""
    stored = engines.get(session, key)
    now = standing(session)
    view = engine_page(
        key,
        stored.version,
        stored.document,
        now.engine_by_id[key].inputs,
        [(p.public_id, p.name, p.inputs) for p in now.packs],
        changed_words(stored),
    )
    check = check_line("engine", stored.document, withdrawal_of(session, "engine", key))
    prices = price_view(now.engine_by_id[key], now.packs, every_offer(session))
    view = replace(view, check=check, prices=prices)
    return page(request, "pages/engines/detail.html", view)


def _cells(
    records: Sequence[Stored[Engine]], inputs: Sequence[EngineInputs]
) -> list[tuple[Cell, ...]]:
    if not records:
        return []
    sides = work_out_sides([PackInputs()], inputs, STATE)
    crank = sides.traced_engines.crank_torque.value[:, 0].tolist()
    columns = [column_texts(v) for v in (crank, *(side.value.tolist() for side in sides.engines))]
    return [
        (
            *(Cell(text, numeric=True) for text in texts),
            Cell(_displacement(stored.document), numeric=True),
            Cell(number_text(stored.document.strokes), numeric=True),
            Cell(
                TORQUE_WORDS[stored.document.torque.kind] if stored.document.torque else NOT_KNOWN
            ),
            Cell(f"{stored.changed_at:%Y-%m-%d}", date=True),
        )
        for stored, *texts in zip(records, *columns, strict=True)
    ]


def _displacement(engine: Engine) -> str:
    return number_text(None if engine.displacement_cc is None else engine.displacement_cc.value)
