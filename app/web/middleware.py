"""What surrounds every answer: headers, the request log, and the page for a failure of ours.

Plain ASGI classes; order, outermost first, in `layers`.
"""

import logging
import time
from collections.abc import Callable

from starlette.datastructures import MutableHeaders
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.settings import LOOPBACK_NAMES
from app.web import errors
from app.web.access import Access
from app.web.guards import DEFAULT_BODY_LIMIT, Guards
from app.web.render import PACKED_AT

requests_log = logging.getLogger("gripledger.requests")

# The two hashes are of the style elements that the chart library makes for itself: an
# empty one that it fills through the object model, and one with a fixed text. A browser
# test draws a chart and counts violations, and names the hash that a new version wants.
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self' 'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
        " 'sha256-ji27qzEtxXZW+7dun6UwjHXJ18e6WAin1VvNtkzIE/o='",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
        "object-src 'none'",
    )
)

POLICY_HEADER = "Content-Security-Policy"
"""A file that somebody sent is given back under a policy of its own, that shuts everything."""

HEADERS = {
    POLICY_HEADER: POLICY,
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}


STRICT_TRANSPORT = "max-age=2592000"
"""Thirty days without plain HTTP: a browser that came by TLS once does not come otherwise."""


class Headers:
    """Adds the security headers to every answer, and a cache rule where none is set."""

    def __init__(self, app: ASGIApp, encrypted: bool = False) -> None:
        self.app = app
        self.headers = HEADERS | (
            {"Strict-Transport-Security": STRICT_TRANSPORT} if encrypted else {}
        )

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and dress its answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in self.headers.items():
                    if name != POLICY_HEADER or name not in headers:
                        headers[name] = value
                headers.setdefault("Cache-Control", "private, no-cache")
            await send(message)

        await self.app(scope, receive, send_with_headers)


class RequestLog:
    """One line a request: method, path, status, milliseconds. No query, no cookie."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and note how it went."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        status = 0
        start = time.perf_counter()

        async def send_and_note(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self.app(scope, receive, send_and_note)
        finally:
            taken = (time.perf_counter() - start) * 1000
            requests_log.info("%s %s %s %.1f ms", scope["method"], scope["path"], status, taken)


class Failures:
    """Turns an exception that nobody expected into the failure page, inside the other layers.

    The framework's own last resort stands outside all middleware, so its answer would
    lack the security headers.
    """

    def __init__(self, app: ASGIApp, answer: Callable[[Request, Exception], Response]) -> None:
        self.app = app
        self.answer = answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and answer if it fails."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        started = False

        async def send_and_note(message: Message) -> None:
            nonlocal started
            started = started or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, receive, send_and_note)
        except Exception as error:
            response = self.answer(Request(scope), error)
            if started:
                # Too late for a page; an answer cut short at least does not look whole.
                raise
            await response(scope, receive, send)


class HeadAsGet:
    """Lets HEAD reach the handler of GET; the server itself drops the body."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, as GET if it is HEAD."""
        if scope["type"] == "http" and scope["method"] == "HEAD":
            scope = {**scope, "method": "GET"}
        await self.app(scope, receive, send)


def layers(
    hosts: frozenset[str] = LOOPBACK_NAMES,
    body_limit: int = DEFAULT_BODY_LIMIT,
    sign_in: bool = False,
    encrypted: bool = False,
) -> list[Middleware]:
    """Middleware of the application, outermost first; the way in only where one has to sign in."""
    way_in = [Middleware(Access, answer=errors.answer)] if sign_in else []
    return [
        Middleware(RequestLog),
        Middleware(Headers, encrypted=encrypted),
        Middleware(GZipMiddleware, minimum_size=700, compresslevel=PACKED_AT),
        Middleware(Failures, answer=errors.on_failure),
        Middleware(Guards, answer=errors.answer, hosts=hosts, body_limit=body_limit),
        Middleware(HeadAsGet),
        *way_in,
    ]
