"""From a fact that stopped an action to what its asker gets: a page or a problem document."""

import logging
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Match

from app import errors as facts
from app.errors import AppError, BadInput, Problem
from app.web.forms import problems
from app.web.forms.typed_again import TypedAgain, typed_again
from app.web.render import page

log = logging.getLogger("gripledger.web")

REFERENCE_HEADER = "Gripledger-Reference"


@dataclass(frozen=True)
class Refusal:
    """A status and the sentence that goes with it."""

    status: int
    text: str
    heading: str = ""
    """Above the sentence on a page; "": the status's usual one."""


@dataclass(frozen=True)
class ErrorView:
    """What an error page shows."""

    status: int
    heading: str
    text: str
    problems: Sequence[Problem] = ()
    reference: str | None = None
    try_again: str | None = None
    """Address to ask again, where asking again can help."""
    typed: TypedAgain | None = None
    """The form that was sent, where sending it again can help."""


STATUS: Mapping[type[AppError], int] = {
    facts.NotFound: 404,
    facts.StaleRecord: 409,
    facts.DuplicateName: 409,
    facts.NewerChange: 409,
    facts.CannotUndo: 409,
    facts.NotImported: 409,
    facts.InUse: 409,
    facts.BadInput: 422,
    facts.OutsideValidity: 422,
    facts.NotForRole: 403,
    facts.WrongSignIn: 422,
    facts.WrongCode: 422,
    facts.HaveToWait: 429,
    facts.StorageUnavailable: 503,
    facts.NewerSchema: 503,
}

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE")

HEADINGS = {
    400: "What was sent could not be read",
    401: "Sign in first",
    403: "Not done: it was asked from elsewhere",
    404: "There is nothing at this address",
    405: "This address cannot be used in that way",
    409: "Nothing was saved",
    412: "Nothing was saved",
    413: "That is too much at once",
    415: "Another kind of file is needed",
    422: "There is a problem",
    429: "Too many tries",
    500: "Something failed here",
    503: "Not possible just now",
}

NOT_FOR_ROLE = "Not for your role"

NOT_FOUND = (
    "There is no page or record at this address. It may have been put aside, or the link "
    "was cut short."
)


def is_api(request: Request) -> bool:
    """Whether the asker wants a problem document, told by the address alone."""
    return request.url.path.startswith("/api/")


def status_of(fact: AppError, api: bool) -> int:
    """Status of a fact. A stale record is a failed precondition to a script (RFC 9110, 13.1.1)."""
    if api and isinstance(fact, facts.StaleRecord):
        return 412
    for kind in type(fact).__mro__:
        if kind in STATUS:
            return STATUS[kind]
    return 422


def answer(
    request: Request,
    refusal: Refusal,
    found: Sequence[Problem] = (),
    headers: Mapping[str, str] | None = None,
    reference: str | None = None,
    more: Mapping[str, object] | None = None,
) -> Response:
    """The refusal as a problem document for the interface, as a page for everybody else.

    `more` are members that only the problem document has.
    """
    status, sent = refusal.status, dict(headers or {})
    sent["Cache-Control"] = "no-store"
    if reference is not None:
        sent[REFERENCE_HEADER] = reference
    if status == 403:
        log.warning("refused %s %s: %s", request.method, request.url.path, refusal.text)
    if is_api(request):
        more = {**(more or {}), **({"reference": reference} if reference is not None else {})}
        path = request.url.path
        return problems.response(problems.document(status, refusal.text, path, found, **more), sent)
    heading = refusal.heading or HEADINGS.get(status, problems.title(status))
    again = str(request.url.path) if status in (500, 503) and request.method == "GET" else None
    typed = typed_again(request) if status in (500, 503) and request.method == "POST" else None
    view = ErrorView(status, heading, refusal.text, found, reference, again, typed)
    return page(request, "errors/error.html", view, status, sent)


def on_fact(request: Request, fact: AppError) -> Response:
    """Answer one of our own facts."""
    found = fact.problems if isinstance(fact, BadInput) else ()
    heading = NOT_FOR_ROLE if isinstance(fact, facts.NotForRole) else ""
    refusal = Refusal(status_of(fact, is_api(request)), fact.message, heading)
    more: dict[str, object] = {}
    if isinstance(fact, facts.StaleRecord):
        more = {"version": fact.current.get("version"), "current": dict(fact.current)}
    return answer(request, refusal, found, more=more)


def on_http(request: Request, error: HTTPException) -> Response:
    """Answer an HTTP error that the framework or a handler raised."""
    text, headers = str(error.detail), dict(error.headers or {})
    if error.status_code == 405 and "Allow" in headers:
        headers["Allow"] = ", ".join(methods_taken(request))
    if text == problems.title(error.status_code):
        # The framework's own word for it; ours is a sentence.
        text = NOT_FOUND if error.status_code == 404 else "Go back and use the page's own buttons."
        if error.status_code == 405 and is_api(request):
            text = f"This address takes {headers.get('Allow', 'another method')}."
    return answer(request, Refusal(error.status_code, text), headers=headers)


def methods_taken(request: Request) -> list[str]:
    """Every method that the address takes: the framework names those of its first route only."""
    # A HEAD is answered as a GET without its body.
    return sorted(m for m in METHODS if _takes(request, "GET" if m == "HEAD" else m))


def _takes(request: Request, method: str) -> bool:
    scope = {**request.scope, "method": method}
    return any(route.matches(dict(scope))[0] is Match.FULL for route in request.app.routes)


def on_invalid(request: Request, error: RequestValidationError) -> Response:
    """Answer a request that its handler's own types refuse."""
    details: Any = error.errors()
    found = problems.from_validation(details, error.body)
    text = " ".join(f"{p.field}: {p.message}" if p.field else p.message for p in found)
    return answer(request, Refusal(422, text), found)


def on_failure(request: Request, error: Exception) -> Response:
    """Answer a failure of ours: the log has the trace, the asker gets its reference number."""
    reference = secrets.token_hex(4).upper()
    path = request.url.path
    log.error("failure %s at %s %s", reference, request.method, path, exc_info=error)
    text = (
        "The program met something that it was not made for. If you were saving, nothing was "
        "stored, and what you typed is still in the form."
    )
    return answer(request, Refusal(500, text), reference=reference)


def install(app: FastAPI) -> None:
    """Have the application answer errors this way."""
    app.exception_handler(AppError)(on_fact)
    app.exception_handler(HTTPException)(on_http)
    app.exception_handler(RequestValidationError)(on_invalid)
