"""Problem documents (RFC 9457): how the JSON interface says what went wrong."""

from collections.abc import Iterable, Mapping
from http import HTTPStatus
from typing import Any

from starlette.responses import JSONResponse

from app.documents import refusals
from app.errors import Problem

MEDIA_TYPE = "application/problem+json"


def title(status: int) -> str:
    """The short name of a status, such as "Not Found"."""
    try:
        return HTTPStatus(status).phrase
    except ValueError:
        return "Error"


def document(
    status: int,
    detail: str,
    instance: str,
    problems: Iterable[Problem] = (),
    **more: object,
) -> dict[str, object]:
    """Members of a problem document; `errors` has one entry a field, `path` dotted."""
    found = [{"path": problem.field, "detail": problem.message} for problem in problems]
    body: dict[str, object] = {
        "type": "about:blank",
        "title": title(status),
        "status": status,
        "detail": detail,
        "instance": instance,
    }
    if found:
        body["errors"] = found
    return body | more


def response(body: dict[str, object], headers: dict[str, str] | None = None) -> JSONResponse:
    """A problem document as an HTTP answer."""
    return JSONResponse(body, int(str(body["status"])), headers, MEDIA_TYPE)


def from_validation(errors: Iterable[Mapping[str, Any]], body: Any) -> list[Problem]:
    """Problems of a request that its handler's types refuse, one a field, in the sender's words.

    Args:
        errors: the validator's findings, each located by "body", "query" or "path" first.
        body: what was sent.
    """
    found: dict[str, Problem] = {}
    for error in errors:
        source, *location = error["loc"]
        if not location and error["type"] == "missing":
            found.setdefault("", Problem("", "Send a body: one JSON object, in braces."))
            continue
        raw = body if source == "body" else None
        for problem in refusals([{**error, "loc": tuple(location)}], raw):
            found.setdefault(problem.field, problem)
    return list(found.values())
