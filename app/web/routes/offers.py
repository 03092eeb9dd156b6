"""Sellers' offers of a pack: add, change, put aside, bring back."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.documents import Offer
from app.fields import Field
from app.records import database
from app.services.catalogue import offers, packs
from app.web.deps import ReadSessionDep, WriteSessionDep
from app.web.forms.form_views import StaleView, stale_view
from app.web.forms.offer_form import FIELDS, offer_texts, read_offer
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import (
    SUBMISSION,
    VERSION,
    Outcome,
    RecordKind,
    SentForm,
    new_token,
    save_change,
    save_new,
    sent_version,
    who,
)
from app.web.htmx import is_htmx, redirect
from app.web.notices import Notice
from app.web.render import page

router = APIRouter()

KIND = RecordKind(offers, Offer, offer_texts, read_offer)
TEMPLATE = "pages/offers/form.html"


@dataclass(frozen=True)
class OfferForm:
    """The form of an offer."""

    heading: str
    form: FormReader
    action: str
    cancel: str
    draft: str
    submission: str = ""
    version: int = 0
    stale: StaleView | None = None
    fields: Mapping[str, Field] = field(default_factory=lambda: FIELDS)


@router.get("/packs/{key}/offers/new")
def blank(request: Request, session: ReadSessionDep, key: str) -> Response:
    """A blank form for an offer of this pack."""
    pack = packs.get(session, key)
    form = FormReader({SUBMISSION: new_token()})
    return page(request, TEMPLATE, _new_view(key, pack.name, form))


@router.post("/packs/{key}/offers/new")
def add(request: Request, form: SentForm, key: str) -> Response:
    """Add an offer of this pack."""
    engine = request.app.state.engine
    with database.read_session(engine) as session:
        pack = packs.get(session, key)
    outcome = save_new(engine, KIND, form, Offer(name="of this pack", pack=key))
    if outcome.stored is not None:
        return redirect(request, f"/packs/{key}#offers", Notice("Offer saved."))
    if outcome.failure is not None and is_htmx(request):
        raise outcome.failure
    return page(request, TEMPLATE, _new_view(key, pack.name, form), outcome.status)


@router.get("/offers/{key}/edit")
def edit(request: Request, session: ReadSessionDep, key: str) -> Response:
    """An offer's form as it was filled in."""
    stored = offers.get(session, key)
    form = FormReader({**offer_texts(stored.document), VERSION: str(stored.version)})
    return page(request, TEMPLATE, _edit_view(key, stored.document, form, Outcome()))


@router.post("/offers/{key}/edit")
def change(request: Request, form: SentForm, key: str) -> Response:
    """Change an offer."""
    engine = request.app.state.engine
    with database.read_session(engine) as session:
        stored = offers.get(session, key)
    outcome = save_change(engine, KIND, form, key, stored.document)
    if outcome.stored is not None:
        return redirect(request, _home(stored.document), Notice("Offer saved."))
    if outcome.failure is not None and is_htmx(request):
        raise outcome.failure
    view = _edit_view(key, stored.document, form, outcome)
    return page(request, TEMPLATE, view, outcome.status)


@router.post("/offers/{key}/put-aside")
def put_aside(request: Request, session: WriteSessionDep, form: SentForm, key: str) -> Response:
    """Put an offer aside; the next page offers to undo it."""
    stored = offers.put_aside(session, key, sent_version(form), by=who(form))
    told = Notice(f"{stored.name} was put aside.", undo=f"/offers/{key}/bring-back")
    return redirect(request, _home(stored.document), told)


@router.post("/offers/{key}/bring-back")
def bring_back(request: Request, session: WriteSessionDep, form: SentForm, key: str) -> Response:
    """Bring an offer back."""
    stored = offers.bring_back(session, key, by=who(form))
    return redirect(request, _home(stored.document), Notice(f"{stored.name} is in use again."))


def _home(offer: Offer) -> str:
    """The page that lists the offer."""
    return "/packs" if offer.pack is None else f"/packs/{offer.pack}#offers"


def _new_view(key: str, pack_name: str, form: FormReader) -> OfferForm:
    return OfferForm(
        heading=f"New offer of {pack_name}",
        form=form,
        action=f"/packs/{key}/offers/new",
        cancel=f"/packs/{key}",
        draft=f"offer-new-{key}",
        submission=form.raw.get(SUBMISSION, "") or new_token(),
    )


def _edit_view(key: str, offer: Offer, form: FormReader, outcome: Outcome[Offer]) -> OfferForm:
    version, told = sent_version(form), None
    if outcome.stale is not None:
        version = outcome.stale.version
        told = stale_view(outcome.stale, offer_texts(outcome.stale.document), form)
    return OfferForm(
        heading=f"Change offer {offer.name}",
        form=form,
        action=f"/offers/{key}/edit",
        cancel=_home(offer),
        draft=f"offer-{key}-v{version}",
        version=version,
        stale=told,
    )
