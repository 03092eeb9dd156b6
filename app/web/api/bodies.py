"""Bodies of the JSON interface: which types are taken, and what is not JSON.

The standard library's reader is lenient where it matters here: it takes NaN, keeps the last of
two equal keys without a word, and gives up on deep nesting. A body is read once, strictly, before
any handler sees it.
"""

import json
import math
from collections.abc import Callable, Coroutine, Iterator
from typing import Any, NoReturn

from fastapi import HTTPException, Request, Response
from fastapi.routing import APIRoute

from app.errors import BadInput, Problem

JSON = "application/json"
MERGE_PATCH = "application/merge-patch+json"
DEEPEST = 32
"""Levels of objects and lists in one another; a pack needs six."""
LONGEST_INTEGER = 20
"""Digits that are read as a whole number; a longer one is a number of a size to be refused."""

Handler = Callable[[Request], Coroutine[Any, Any, Response]]


class NotJson(HTTPException):
    """The body can't be read as JSON: the sender's program needs mending, not a figure."""

    def __init__(self, sentence: str) -> None:
        super().__init__(400, sentence)


def _distinct(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for i, name in enumerate(names) if name in names[:i])
        raise NotJson(f"The body names {_shown(twice)} twice in one object. Write each name once.")
    return found


def _integer(digits: str) -> float:
    return int(digits) if len(digits) <= LONGEST_INTEGER else float(digits)


def _no_number(word: str) -> NoReturn:
    raise NotJson(f"{word} is not a number of JSON. Leave out what is not known, or write null.")


def _shown(text: str) -> str:
    """A sender's word for a message: short, and without halves of characters."""
    short = text if len(text) <= 60 else f"{text[:60]}…"
    return "“" + short.encode("utf-8", "replace").decode("utf-8") + "”"


def decode(body: bytes) -> Any:
    """The JSON value that a body writes down.

    Raises:
        NotJson: the body is no JSON text, or not one with a single meaning.
        BadInput: a number is too large for any figure.

    >>> decode(b'{"count": 6}')
    {'count': 6}
    """
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise NotJson(
            f"The body is not UTF-8: byte {error.start + 1} can't be read. Send it as UTF-8."
        ) from None
    if not text.strip():
        raise NotJson("The body is empty. Send one JSON object, in braces.")
    try:
        value = json.loads(
            text, object_pairs_hook=_distinct, parse_int=_integer, parse_constant=_no_number
        )
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise NotJson(f"The body is not JSON from {where} on: {error.msg.lower()}.") from None
    except RecursionError:
        raise _too_deep() from None
    found = [Problem(path, told) for path, told in _unusable(value, "", 1)]
    if found:
        raise BadInput(found)
    return value


def _too_deep() -> NotJson:
    return NotJson(f"The body is nested too deeply. {DEEPEST} levels are the most.")


def _unusable(value: Any, at: str, depth: int) -> Iterator[tuple[str, str]]:
    """Paths of numbers that no float holds and of text that no file can hold."""
    if isinstance(value, float) and not math.isfinite(value):
        yield at, "Write a number between -1000000000 and 1000000000."
    elif isinstance(value, str):
        if not _whole(value):
            yield at, "Write whole characters: this text holds half of a surrogate pair."
    elif isinstance(value, dict | list):
        if depth > DEEPEST:
            raise _too_deep()
        items = value.items() if isinstance(value, dict) else enumerate(value)
        for key, inner in items:
            if isinstance(key, str) and not _whole(key):
                raise NotJson(f"The name {_shown(key)} holds half of a surrogate pair.")
            yield from _unusable(inner, f"{at}.{key}" if at else str(key), depth + 1)


def _whole(text: str) -> bool:
    return text.isascii() or not any("\ud800" <= sign <= "\udfff" for sign in text)


class JsonRequest(Request):
    """A request whose body is read strictly, once."""

    async def json(self) -> Any:
        """The body's value; see `decode`."""
        if not hasattr(self, "_strict"):
            self._strict = decode(await self.body())
        return self._strict


def media_type(request: Request) -> str:
    """The body's type without its parameters, in lower case."""
    return request.headers.get("content-type", "").partition(";")[0].strip().lower()


class JsonRoute(APIRoute):
    """A route of the interface: it looks at the body's type, then reads the body strictly."""

    def get_route_handler(self) -> Handler:
        """The framework's handler behind the two looks."""
        handle = super().get_route_handler()
        described = self.openapi_extra or {}
        has_body = self.body_field is not None or "requestBody" in described
        patches = "PATCH" in (self.methods or ())
        takes = (MERGE_PATCH, JSON) if patches else (JSON,)
        told = {"Accept-Patch": ", ".join(takes)} if patches else None

        async def look_and_handle(request: Request) -> Response:
            strict = JsonRequest(request.scope, request.receive)
            if has_body:
                if media_type(request) not in takes:
                    raise HTTPException(415, f"Send the body as {' or '.join(takes)}.", told)
                # Read here, outside the framework's own reading, so that a refusal keeps its form.
                await strict.json()
            return await handle(strict)

        return look_and_handle
