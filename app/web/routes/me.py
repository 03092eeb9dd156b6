"""What members see and change of their own: sessions, password, tokens of their scripts."""

import logging
from dataclasses import dataclass

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.errors import BadInput, HaveToWait, NotFound, Problem, WrongSignIn
from app.presentation.people import (
    ROLE_WORDS,
    SessionLine,
    TokenLine,
    session_lines,
    token_lines,
)
from app.services import own_account
from app.services.passwords import ADVISED, SHORTEST
from app.services.sign_in import SignedIn
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import SentForm
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import page
from app.web.routes.sign_in import device_of
from app.web.sid_cookie import put_id
from app.web.visitor import peer, visitor_of

log = logging.getLogger("gripledger.security")
router = APIRouter()

TEMPLATE = "pages/people/me.html"


@dataclass(frozen=True)
class MePage:
    """The page; `secret` is a token just made, shown this once."""

    form: FormReader
    name: str
    role: str
    sessions: tuple[SessionLine, ...]
    tokens: tuple[TokenLine, ...]
    secret: str = ""
    shortest: int = SHORTEST
    advised: int = ADVISED


def member_asking(request: Request) -> SignedIn:
    """The member who asks.

    Raises:
        NotFound: nobody signs in on this server.
    """
    member = visitor_of(request).member
    if member is None:
        raise NotFound("account", "here: nobody signs in on this computer's own address")
    return member


@router.get("/me")
def show(request: Request) -> Response:
    """The page."""
    return _page(request, FormReader({}))


@router.post("/me/password")
def change_password(request: Request, form: SentForm) -> Response:
    """Change the password; every other session ends, and this one goes on under a new id."""
    who, engine = member_asking(request), request.app.state.engine
    current, wanted = form.raw.get("current", ""), form.raw.get("password", "")
    try:
        if wanted != form.raw.get("again", ""):
            raise BadInput([Problem("again", "Write the same password in both boxes.")])
        begun = own_account.change_password(engine, who, current, wanted, device_of(request))
    except BadInput as refusal:
        form.problems = list(refusal.problems)
        return _page(request, form, 422)
    except WrongSignIn:
        log.warning("change of password refused to %s from %s", who.member, peer(request))
        form.say("current", "Write the password that you signed in with.")
        return _page(request, form, 422)
    except HaveToWait as fact:
        form.say("current", fact.message)
        return _page(request, form, 429)
    log.info("change of password by %s from %s", who.member, peer(request))
    told = Notice("Password changed. You are signed out everywhere else.")
    response = redirect(request, "/me", told)
    put_id(request, response, begun.id)
    return response


@router.post("/me/sessions/end-others")
def end_others(request: Request) -> Response:
    """End every session but this one."""
    who = member_asking(request)
    count = own_account.end_other_sessions(request.app.state.engine, who)
    log.info("%d other sessions ended by %s from %s", count, who.member, peer(request))
    return redirect(request, "/me", Notice("You are signed out everywhere else."))


@router.post("/me/sessions/{key}/end")
def end(request: Request, key: str) -> Response:
    """End one of one's own sessions."""
    who = member_asking(request)
    own_account.end_own_session(request.app.state.engine, who, key)
    log.info("session ended by %s from %s", who.member, peer(request))
    return redirect(request, "/me", Notice("That session has ended."))


@router.post("/me/tokens")
def add_token(request: Request, form: SentForm) -> Response:
    """Make a token; the answer shows it, and nothing else ever does."""
    who = member_asking(request)
    try:
        secret = own_account.add_token(request.app.state.engine, who, form.raw.get("name", ""))
    except BadInput as refusal:
        form.problems = list(refusal.problems)
        return _page(request, form, 422)
    log.info("token made by %s from %s", who.member, peer(request))
    return _page(request, FormReader({}), secret=secret)


@router.post("/me/tokens/{key}/remove")
def remove_token(request: Request, key: str) -> Response:
    """Remove one of one's own tokens."""
    who = member_asking(request)
    own_account.remove_token(request.app.state.engine, who, key)
    log.info("token removed by %s from %s", who.member, peer(request))
    return redirect(request, "/me", Notice("That token is no longer taken."))


def _page(request: Request, form: FormReader, status: int = 200, secret: str = "") -> Response:
    who = member_asking(request)
    account = own_account.account_of(request.app.state.engine, who.member)
    view = MePage(
        form=form,
        name=who.name,
        role=ROLE_WORDS[who.role],
        sessions=session_lines(account.sessions, who.session),
        tokens=token_lines(account.tokens),
        secret=secret,
    )
    return page(request, TEMPLATE, view, status)
