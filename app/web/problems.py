"""Problem documents (RFC 9457): how the JSON interface says what went wrong."""

from collections.abc import Iterable, Sequence
from http import HTTPStatus
from typing import Any

from starlette.responses import JSONResponse

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


def field_path(location: Sequence[str | int], body: Any, missing: bool) -> str:
    """Dotted path, in the sender's own words, of the field that an error is about.

    The validator's location also names which alternative it tried ("coil", "float"). Walked
    along what was sent, such a name is found nowhere, and is left out.

    Args:
        location: the validator's location, without its first word ("body").
        body: what was sent.
        missing: whether the error is that the last name was not sent at all.

    >>> field_path(["clamp", "coil", "springs", 0, "count"],
    ...            {"clamp": {"kind": "coil", "springs": [{}]}}, missing=True)
    'clamp.springs.0.count'
    """
    path: list[str] = []
    here = body
    for place, part in enumerate(location):
        last = place == len(location) - 1
        inside = isinstance(here, list) and isinstance(part, int) and part < len(here)
        if inside or (isinstance(here, dict) and part in here):
            here = here[part]
        elif not (last and missing):
            continue
        path.append(str(part))
    return ".".join(path)


def from_validation(errors: Iterable[dict[str, Any]], body: Any) -> list[Problem]:
    """Problems of a body that the interface's model refuses, one a field."""
    found: dict[str, Problem] = {}
    for error in errors:
        source, *location = error["loc"]
        missing = error["type"] == "missing"
        if source == "body":
            field = field_path(location, body, missing)
        else:
            field = ".".join(map(str, location))
        found.setdefault(field, Problem(field, sentence(error)))
    return list(found.values())


def sentence(error: dict[str, Any]) -> str:
    """A validator's message as a sentence that says what would be right."""
    kind, message = error["type"], str(error["msg"])
    if kind == "missing":
        return "Give a value: this is needed."
    if kind == "extra_forbidden":
        return "There is no field of this name. Check the spelling, or leave it out."
    if kind == "json_invalid":
        return "The body is not JSON. Send one JSON object."
    text = message.removeprefix("Value error, ").removeprefix("Assertion failed, ")
    text = text.replace("Input should be a valid", "Give a").replace("Input should be", "Give")
    text = text.replace("Give a integer", "Give a whole number").replace("dictionary", "object")
    return text if text.endswith((".", "?")) else text + "."
