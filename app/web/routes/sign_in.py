"""Signing in and out."""

import logging
from dataclasses import dataclass

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.errors import HaveToWait, WrongSignIn
from app.presentation.people import browser_words
from app.services.secret_text import form_token
from app.services.sign_in import Device, end_session, sign_in
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import SentForm
from app.web.forms.typed_again import TypedAgain
from app.web.htmx import redirect
from app.web.kept_form import SignInPage, carried, without_kept
from app.web.render import page
from app.web.sid_cookie import drop_id, put_id, sent_id
from app.web.visitor import Visitor, peer, set_visitor, visitor_of
from app.web.ways_back import own_path

log = logging.getLogger("gripledger.security")
router = APIRouter()

TEMPLATE = "pages/people/sign_in.html"
KEPT_TEMPLATE = "pages/people/kept_form.html"


@dataclass(frozen=True)
class KeptPage:
    """A form that came after its session had ended: what was typed, and where to go otherwise."""

    typed: TypedAgain
    next: str


def device_of(request: Request) -> Device:
    """Where somebody signs in from."""
    return Device(peer(request), browser_words(request.headers.get("user-agent", "")))


@router.get("/sign-in")
def show(request: Request) -> Response:
    """The form; who is signed in, or need not be, goes on to where they wanted to be."""
    back = own_path(request.query_params.get("next", "/"))
    if visitor_of(request).inside:
        return redirect(request, back)
    return page(request, TEMPLATE, SignInPage(FormReader({}), back))


@router.post("/sign-in")
def enter(request: Request, form: SentForm) -> Response:
    """Begin a session under a new id; one that the browser had ends."""
    back = own_path(form.raw.get("next", "/"))
    if not visitor_of(request).signs_in:
        return redirect(request, back)
    engine = request.app.state.engine
    kept, form = carried(form), without_kept(form)
    name, password = form.raw.get("name", "").strip(), form.raw.get("password", "")
    try:
        begun = sign_in(engine, name, password, device_of(request))
    except (WrongSignIn, HaveToWait) as fact:
        # The typed name stays out: people type their password there by mistake.
        log.warning("sign-in refused to %s: %s", peer(request), type(fact).__name__)
        return refused(request, TEMPLATE, SignInPage(form, back, kept), form, fact)
    old = sent_id(request)
    if old is not None:
        end_session(engine, old)
    log.info("sign-in of %s from %s", begun.member.member, peer(request))
    if kept is not None and kept.member == begun.member.member:
        set_visitor(request, Visitor(True, begun.member, form_token(begun.id)))
        response: Response = page(request, KEPT_TEMPLATE, KeptPage(kept.typed, back))
    else:
        response = redirect(request, back)
    put_id(request, response, begun.id)
    return response


@router.post("/sign-out")
def leave(request: Request) -> Response:
    """End the session; what the browser kept of it goes."""
    visitor, secret = visitor_of(request), sent_id(request)
    response = redirect(request, "/sign-in")
    if visitor.member is not None and secret is not None:
        end_session(request.app.state.engine, secret)
        log.info("sign-out of %s from %s", visitor.member.member, peer(request))
        drop_id(request, response)
        # Drafts of forms: the next at this browser may be somebody else.
        response.headers["Clear-Site-Data"] = '"storage"'
    return response


def refused(
    request: Request, template: str, view: object, form: FormReader, fact: WrongSignIn | HaveToWait
) -> Response:
    """The form again with what is wrong; a wait is told in a header as well."""
    form.say("", fact.message)
    if isinstance(fact, HaveToWait):
        return page(request, template, view, 429, {"Retry-After": str(fact.seconds)})
    return page(request, template, view, 422)
