"""The page of an offer: its claim against our engines, and what else holds for less."""

from dataclasses import replace

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.errors import BadInput, Problem
from app.presentation.claims import (
    OfferPage,
    cheaper_packs,
    cheaper_says,
    claim_of,
    offer_facts,
    other_money,
    usual_engine,
)
from app.services.catalogue import offers
from app.services.shopping import every_offer
from app.services.standing import standing
from app.web.claim_says import classes_say
from app.web.deps import ReadSessionDep
from app.web.list_pages import changed_words
from app.web.render import page

router = APIRouter()


@router.get("/offers/{key}")
def show(request: Request, session: ReadSessionDep, key: str, engine: str = "") -> Response:
    """One offer; the address names the engine that is to be held for less."""
    stored = offers.get(session, key)
    now = standing(session)
    offer = stored.document
    chosen = engine or usual_engine(offer, now.engines)
    if chosen and chosen not in now.engine_by_id:
        raise BadInput([Problem("engine", "There is no engine with this id. Choose another.")])
    entry = now.engine_by_id.get(chosen)
    others = every_offer(session)
    cheaper = () if entry is None else cheaper_packs(offer, entry, now.packs, others)
    pack = now.pack_by_id.get(offer.pack or "")
    name = "" if entry is None else entry.name
    view = OfferPage(
        id=key,
        name=offer.name,
        version=stored.version,
        changed=changed_words(stored),
        pack="" if pack is None else pack.name,
        pack_id="" if pack is None else pack.public_id,
        facts=offer_facts(offer),
        link=offer.link or "",
        notes=offer.notes or "",
        claim=replace(claim_of(offer, pack, now.engines), classes=classes_say(session, pack, key)),
        engines=tuple((e.public_id, e.name) for e in now.engines),
        chosen=chosen,
        chosen_name=name,
        cheaper=cheaper,
        cheaper_says=cheaper_says(offer, name, cheaper),
        other_money=other_money(offer, now.packs, others),
    )
    return page(request, "pages/offers/detail.html", view)
