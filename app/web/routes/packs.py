"""The catalogue of packs: the list, one pack, putting aside and bringing back."""

from collections.abc import Sequence
from dataclasses import replace

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.comparison.run import carried
from app.documents import Pack
from app.mechanics.inputs import PackInputs
from app.presentation.check_line import check_line
from app.presentation.claims import claim_of
from app.presentation.numbers import NOT_KNOWN, column_texts, number_text
from app.presentation.pack_extras import pack_extras
from app.presentation.pack_page import OfferLine, offer_line, pack_page
from app.presentation.pack_sheet import CLAMP_WORDS, MOUNTING_WORDS, facing_word
from app.presentation.readouts import STATE, STATE_WORDS
from app.presentation.record_list import Cell, Heading, Row, sorting
from app.records.source_queries import active_facings, offer_rows_of_packs
from app.records.source_rows import offer_document
from app.services.catalogue import packs
from app.services.checking import withdrawal_of
from app.services.classing import classes_of_pack
from app.services.standing import standing
from app.services.stored import Stored
from app.web.claim_says import classes_say
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

PATH = "/packs"
_MOUNTINGS = (("crankshaft", "On the crankshaft"), ("geared", "Geared"))


@router.get("/packs")
def show_list(request: Request, session: ReadSessionDep) -> Response:
    """The list, searched, filtered, ordered."""
    view, status = held(request, session, lambda: _list(request, session))
    return page(request, "pages/records/list.html", view, status, held=True)


def _list(request: Request, session: Session) -> tuple[ListPage, int]:
    filters = _filters(session)
    asked = read_asked(request, filters)
    found = find(session, packs, asked)
    known = standing(session).pack_by_id
    inputs = [known[stored.id].inputs for stored in found.records]
    rows = [
        Row(stored.name, f"{PATH}/{stored.id}", cells)
        for stored, cells in zip(found.records, _cells(found.records, inputs), strict=True)
    ]
    headings = (
        sorting(PATH, asked.words, "name", "Pack"),
        Heading("Carries", "N·m", numeric=True),
        Heading("Mounting"),
        Heading("Friction plates", numeric=True),
        Heading("Facing", "mm", numeric=True),
        Heading("Material"),
        Heading("Clamp"),
        sorting(PATH, asked.words, "changed", "Changed"),
    )
    caption = f"What each pack carries: {STATE_WORDS[:1].lower()}{STATE_WORDS[1:]}."
    return list_page(packs, found, asked, PATH, filters, headings, rows, caption), asked.status


add_putting_aside(router, packs, PATH)


@router.get("/packs/{key}")
def show(request: Request, session: ReadSessionDep, key: str) -> Response:
    """One pack."""
    stored = packs.get(session, key)
    now = standing(session)
    view = pack_page(
        key,
        stored.version,
        stored.document,
        now.pack_by_id[key].inputs,
        [(e.public_id, e.name, e.inputs) for e in now.engines],
        changed_words(stored),
        _offers(session, key),
    )
    extras = pack_extras(now.pack_by_id[key].inputs, STATE, classes_of_pack(session, key))
    check = check_line("pack", stored.document, withdrawal_of(session, "pack", key))
    return page(request, "pages/packs/detail.html", replace(view, extras=extras, check=check))


def _filters(session: Session) -> tuple[Filter, ...]:
    facings = {row["name"]: row["id"] for row in active_facings(session)}
    words = tuple((name, facing_word(name)) for name in facings)
    return (
        Filter("mounting", "mounting", "Mounting", (("", "Any"), *_MOUNTINGS)),
        Filter("clamp", "clamp_kind", "Clamp", (("", "Any"), *CLAMP_WORDS.items())),
        FilterByKey("facing", "facing_id", "Facing", (("", "Any"), *words), facings),
    )


def _cells(records: Sequence[Stored[Pack]], inputs: Sequence[PackInputs]) -> list[tuple[Cell, ...]]:
    if not records:
        return []
    texts = column_texts(carried(inputs, STATE).tolist())
    return [
        (
            Cell(text, numeric=True),
            Cell(MOUNTING_WORDS.get(stored.document.mounting or "", NOT_KNOWN).split(",")[0]),
            Cell(number_text(stored.document.friction_plates), numeric=True),
            Cell(_facing(stored.document), numeric=True),
            Cell(facing_word(stored.document.facing or NOT_KNOWN)),
            Cell(CLAMP_WORDS[stored.document.clamp.kind] if stored.document.clamp else NOT_KNOWN),
            Cell(f"{stored.changed_at:%Y-%m-%d}", date=True),
        )
        for stored, text in zip(records, texts, strict=True)
    ]


def _facing(pack: Pack) -> str:
    outside, inside = pack.facing_od_mm, pack.facing_id_mm
    if outside is None or inside is None:
        return NOT_KNOWN
    return f"{number_text(outside.value, digits=4)} / {number_text(inside.value, digits=4)}"


def _offers(session: Session, key: str) -> list[OfferLine]:
    now = standing(session)
    lines = []
    for row in offer_rows_of_packs(session, [key]):
        offer = offer_document(row, key)
        pack, public_id = now.pack_by_id.get(key), row["public_id"]
        lines.append(
            replace(
                offer_line(public_id, row["version"], offer),
                ours=claim_of(offer, pack, now.engines).says,
                classes=classes_say(session, pack, public_id),
            )
        )
    return lines
