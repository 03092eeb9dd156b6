"""What a request must satisfy before any handler sees it: host, origin, size.

A page in another tab is the likeliest attacker of a program on loopback. It can
point a name of its own at 127.0.0.1, or post a form across. The three checks here
answer that without a token in each form.
"""

from collections.abc import Callable
from dataclasses import dataclass

from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.settings import LOOPBACK_NAMES
from app.web.errors import NOT_FOUND, Refusal
from app.web.forms.photo_form import body_limit
from app.web.roles import SAFE_METHODS

DEFAULT_BODY_LIMIT = 4 * 1024 * 1024

Answer = Callable[[Request, Refusal], Response]


def host_name(host: str) -> str | None:
    """Name part of a Host header in lower case, or None if it is not one.

    >>> host_name("LocalHost:8000"), host_name("[::1]:80"), host_name("a@b")
    ('localhost', '[::1]', None)
    """
    name, port = host.strip().lower(), ""
    if name.startswith("["):
        head, bracket, tail = name.partition("]")
        if not bracket or (tail and not tail.startswith(":")):
            return None
        name, port = head + bracket, tail[1:] if tail else ""
    elif ":" in name:
        name, _, port = name.partition(":")
    if port and not (port.isascii() and port.isdigit()):
        return None
    if not name or any(mark in name for mark in "@/\\?#, \t"):
        return None
    return name


def is_json(content_type: str) -> bool:
    """Whether a media type is JSON, which no plain HTML form can send.

    >>> is_json("application/json; charset=utf-8"), is_json("text/plain")
    (True, False)
    """
    essence = content_type.partition(";")[0].strip().lower()
    return essence == "application/json" or (
        essence.startswith("application/") and essence.endswith("+json")
    )


def origin_refusal(method: str, path: str, scheme: str, headers: Headers) -> Refusal | None:
    """Why an unsafe request may not pass, or None.

    A browser says where a request comes from in Sec-Fetch-Site, in Origin or in both;
    all that it says must agree with this server. A request that says neither comes from
    a script: it passes with JSON, which a form in a foreign page cannot send unasked.
    """
    if method in SAFE_METHODS:
        return None
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is not None and site not in ("same-origin", "none"):
        return Refusal(403, "This form was sent from another site, so nothing was changed.")
    own = f"{scheme}://{headers.get('host', '')}".lower()
    if origin is not None and origin.lower() != own:
        return Refusal(403, "This form was sent from another address, so nothing was changed.")
    content_type = headers.get("content-type", "")
    if path.startswith("/api/"):
        # A request without a body (DELETE) has no type to check; a foreign page cannot send
        # one of those without asking first, and the answer to that question is no.
        if is_json(content_type) or (not content_type and method != "POST"):
            return None
        return Refusal(415, "Send the body as application/json.")
    if site is None and origin is None and not is_json(content_type):
        return Refusal(
            403,
            "This request does not say which page it comes from, so nothing was changed. "
            "A script sends application/json to an address under /api/v1.",
        )
    return None


@dataclass(frozen=True)
class _Oversize(Exception):
    limit: int


async def read_body(receive: Receive, headers: Headers, limit: int) -> bytes | None:
    """The whole body, at most `limit` bytes of it; None if the client went away.

    The declared length only serves to refuse early: the bytes themselves are counted.
    """
    declared = headers.get("content-length", "0")
    if not (declared.isascii() and declared.isdigit()) or int(declared) > limit:
        raise _Oversize(limit)
    parts: list[bytes] = []
    size = 0
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return None
        part: bytes = message.get("body", b"")
        size += len(part)
        if size > limit:
            raise _Oversize(limit)
        parts.append(part)
        if not message.get("more_body", False):
            return b"".join(parts)


def replay(body: bytes, receive: Receive) -> Receive:
    """A receive that gives the body that was read, then what comes after it."""
    pending: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def again() -> Message:
        return pending.pop() if pending else await receive()

    return again


class Guards:
    """ASGI middleware: foreign host 400, foreign form 403, oversized body 413."""

    def __init__(
        self,
        app: ASGIApp,
        answer: Answer,
        hosts: frozenset[str] = LOOPBACK_NAMES,
        body_limit: int = DEFAULT_BODY_LIMIT,
    ) -> None:
        self.app = app
        self.answer = answer
        self.hosts = hosts
        self.body_limit = body_limit

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse the request or pass it on."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        named = headers.getlist("host")
        if len(named) != 1 or host_name(named[0]) not in self.hosts:
            # Plain text and no address of ours: the asker may be a name pointed at us.
            text = "Gripledger does not answer to this name. Use the address that it printed.\n"
            await PlainTextResponse(text, status_code=400)(scope, receive, send)
            return
        if "\0" in scope["path"]:
            # No address of ours holds it, and a database may choke on it.
            await self.answer(Request(scope), Refusal(404, NOT_FOUND))(scope, receive, send)
            return
        method: str = scope["method"]
        refusal = origin_refusal(method, scope["path"], scope.get("scheme", "http"), headers)
        if refusal is not None:
            await self.answer(Request(scope), refusal)(scope, receive, send)
            return
        if method in SAFE_METHODS and not (
            "content-length" in headers or "transfer-encoding" in headers
        ):
            await self.app(scope, receive, send)
            return
        try:
            limit = body_limit(method, scope["path"], self.body_limit)
            body = await read_body(receive, headers, limit)
        except _Oversize as over:
            text = f"The text or file sent is larger than {over.limit // 1024} KiB, the most that "
            refusal = Refusal(413, text + "one request may hold. Nothing was stored. Send less.")
            response = self.answer(Request(scope), refusal)
            response.headers["connection"] = "close"
            await response(scope, receive, send)
            return
        if body is not None:
            await self.app(scope, replay(body, receive), send)
