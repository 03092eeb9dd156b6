"""The way in, where others can reach the server: who asks, and whether they may.

It stands before every handler and is not there at all on a computer's own address. A browser is
known by the session's id in its cookie, a script by its token. What a browser sends to change
something carries the session's form token besides: over plain HTTP a browser does not say which
site a request comes from, and an Origin alone is one safeguard where two are cheap.
"""

import logging

import anyio.to_thread
from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.errors import NotForRole, StorageUnavailable
from app.services.secret_text import form_token, same
from app.services.sign_in import SignedIn, session_of, token_of
from app.web.errors import NOT_FOR_ROLE, Refusal, is_api
from app.web.forms.reader import FormReader
from app.web.guards import Answer, replay
from app.web.htmx import is_htmx
from app.web.kept_form import KeptForm, SignInPage, form_to_keep
from app.web.render import page
from app.web.roles import NOBODY, SAFE_METHODS, needed_role
from app.web.sid_cookie import sent_id
from app.web.visitor import TOKEN_BOX, TOKEN_HEADER, Visitor, peer, set_visitor
from app.web.ways_back import back_of, sign_in_address

log = logging.getLogger("gripledger.security")

FILES = ("/static/", "/libraries/")
"""The same for everybody, and needed by the sign-in page."""

_SIGN_IN = Refusal(401, "Sign in first, or send a member's token: Authorization: Bearer …")
_NO_TOKEN = Refusal(401, "This token is not known. Its owner may have removed it or been disabled.")
_FOREIGN = Refusal(
    403,
    "This page is from before you signed in, or the request came from another site; nothing was "
    "changed. Load the page again: what you typed comes back.",
    "Not done: the form belongs to another session",
)


class Access:
    """ASGI middleware: nobody 303 or 401, a form of another session 403, too small a role 403."""

    def __init__(self, app: ASGIApp, answer: Answer) -> None:
        self.app = app
        self.answer = answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let the request in or answer it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope, receive)
        if scope["path"].startswith(FILES):
            await self.app(scope, receive, send)
            return
        send = _unkept(send)
        try:
            response, body = await self._look(request)
        except StorageUnavailable as fact:
            # Who asks can't be known, so nobody is let in.
            response, body = self.answer(request, Refusal(503, fact.message)), None
        if response is not None:
            await response(scope, receive, send)
        elif body is None:
            await self.app(scope, receive, send)
        else:
            await self.app(scope, replay(body, receive), send)

    async def _look(self, request: Request) -> tuple[Response | None, bytes | None]:
        """An answer, if the request may not pass; and the body, if it was read."""
        bearer = _bearer(request)
        member = await anyio.to_thread.run_sync(_who, request, bearer)
        secret = sent_id(request)
        token = form_token(secret) if member is not None and bearer is None and secret else ""
        visitor = Visitor(signs_in=True, member=member, form_token=token)
        set_visitor(request, visitor)
        # The path that the routes go by: an address put together may be cut at a decoded sign.
        role = needed_role(request.method, request.scope["path"])
        if role == NOBODY:
            return None, None
        if member is None:
            kept = None if is_api(request) else await form_to_keep(request)
            return self._nobody(request, bearer is not None, kept), None
        body = None
        if bearer is None and request.method not in SAFE_METHODS:
            sent, body = await _sent_token(request)
            if not same(sent, token):
                _note("foreign form", request, member)
                return self.answer(request, _FOREIGN), None
        if not visitor.may(role):
            _note(f"needs {role}", request, member)
            told = NotForRole(role, member.role).message
            return self.answer(request, Refusal(403, told, NOT_FOR_ROLE)), None
        return None, body

    def _nobody(self, request: Request, had_token: bool, kept: KeptForm | None) -> Response:
        """Scripts are told; a browser is sent to the sign-in page, with the way back.

        A form whose session has ended is kept on that page, which then comes at once.
        """
        if is_api(request):
            if had_token:
                _note("unknown token", request, None)
            response = self.answer(request, _NO_TOKEN if had_token else _SIGN_IN)
            response.headers["WWW-Authenticate"] = "Bearer"
            return response
        address = sign_in_address(request)
        if is_htmx(request):
            return Response(status_code=204, headers={"HX-Redirect": address})
        if kept is not None:
            view = SignInPage(FormReader({}), back_of(address), kept)
            return page(request, "pages/people/sign_in.html", view, 403)
        return RedirectResponse(address, status_code=303)


def _bearer(request: Request) -> str | None:
    """The token that a script sent to the interface."""
    scheme, _, token = request.headers.get("authorization", "").partition(" ")
    if not is_api(request) or not scheme:
        return None
    return token.strip()[:200] if scheme.lower() == "bearer" else ""


def _who(request: Request, bearer: str | None) -> SignedIn | None:
    """Who asks; a script with a token is nobody else, whatever cookie comes along."""
    engine = request.app.state.engine
    if bearer is not None:
        return token_of(engine, bearer)
    secret = sent_id(request)
    return None if secret is None else session_of(engine, secret)


async def _sent_token(request: Request) -> tuple[str, bytes | None]:
    """The form token that came along, in a header or in the form; and the body, if it was read."""
    header = request.headers.get(TOKEN_HEADER)
    if header is not None:
        return header, None
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in ("application/x-www-form-urlencoded", "multipart/form-data"):
        return "", None
    body = await request.body()
    # Another request on the same bytes: this one's would be used up for the handler.
    again = Request(request.scope, replay(body, request.receive))
    try:
        async with again.form(max_fields=10_000, max_files=10, max_part_size=len(body) + 1) as form:
            sent = form.get(TOKEN_BOX)
    except (HTTPException, MultiPartException):
        return "", body
    return (sent if isinstance(sent, str) else ""), body


def _note(why: str, request: Request, member: SignedIn | None) -> None:
    who = "nobody" if member is None else member.member
    path = request.scope["path"]
    log.warning("refused (%s) %s %s to %s from %s", why, request.method, path, who, peer(request))


def _unkept(send: Send) -> Send:
    """What a member sees is not kept by the browser: somebody else may use it next."""

    async def send_unkept(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message)["Cache-Control"] = "no-store"
        await send(message)

    return send_unkept
