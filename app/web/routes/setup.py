"""A first password, by a code: the first administrator's from the terminal, others' from them."""

import logging
from dataclasses import dataclass

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.errors import BadInput, HaveToWait, WrongCode
from app.services.passwords import ADVISED, SHORTEST
from app.services.setting_up import set_up
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

TEMPLATE = "pages/people/setup.html"
_UNKEPT = {"Cache-Control": "no-store"}
"""A code that was typed goes back into its box, and no further."""


@dataclass(frozen=True)
class SetupPage:
    """The page: what was typed, but for code and password."""

    form: FormReader
    shortest: int = SHORTEST
    advised: int = ADVISED


@router.get("/setup")
def show(request: Request) -> Response:
    """The form; it does not tell whether a code is out."""
    return page(request, TEMPLATE, SetupPage(FormReader({})), headers=_UNKEPT)


@router.post("/setup")
def choose(request: Request, form: SentForm) -> Response:
    """Take the code, keep the password, and sign in where one has to."""
    code, name = form.raw.get("code", ""), form.raw.get("name", "").strip()
    password = form.raw.get("password", "")
    status, headers = 422, dict(_UNKEPT)
    try:
        if password != form.raw.get("again", ""):
            form.say("again", "Write the same password in both boxes.")
            form.refuse_problems()
        begun = set_up(request.app.state.engine, code, name, password, device_of(request))
    except BadInput as refusal:
        form.problems = list(refusal.problems)
    except (WrongCode, HaveToWait) as fact:
        log.warning("set-up refused to %s: %s", peer(request), type(fact).__name__)
        form.say("", fact.message)
        if isinstance(fact, HaveToWait):
            status, headers["Retry-After"] = 429, str(fact.seconds)
    else:
        log.info("set-up of %s from %s", begun.member.member, peer(request))
        told = f"Password kept, {begun.member.name}."
        response = redirect(request, "/", Notice(told))
        if visitor_of(request).signs_in:
            put_id(request, response, begun.id)
        return response
    return page(request, TEMPLATE, SetupPage(form), status, headers)
