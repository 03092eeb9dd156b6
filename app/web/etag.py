"""Weak entity tags: a page that would come out the same is not sent twice."""

import hashlib

from starlette.requests import Request
from starlette.responses import Response

from app.web import notices
from app.web.visitor import visitor_of


def page_tag(request: Request, version: str, *parts: object) -> str:
    """Tag of a page, from all that it depends on.

    Args:
        request: its path and query count.
        version: the program's version.
        parts: whatever else changes the page, such as the catalogue's revision.
    """
    # Two members' pages differ by what they may press, two sessions' by the token of their forms.
    visitor = visitor_of(request)
    whose = f"{visitor.form_token}{visitor.member}" if visitor.signs_in else ""
    said = "\x1f".join([version, whose, request.url.path, request.url.query, *map(str, parts)])
    return f'W/"{hashlib.sha256(said.encode()).hexdigest()[:20]}"'


def tags(header: str) -> set[str]:
    """Opaque tags of an If-Match or If-None-Match header, without W/.

    >>> sorted(tags('W/"a", "b"'))
    ['"a"', '"b"']
    """
    return {part.strip().removeprefix("W/") for part in header.split(",") if part.strip()}


def not_modified(request: Request, tag: str) -> Response | None:
    """A 304 if the client holds this very page, else None. Never while a notice waits."""
    if notices.COOKIE in request.cookies:
        return None
    held = tags(request.headers.get("if-none-match", ""))
    if "*" in held or tag.removeprefix("W/") in held:
        return Response(status_code=304, headers={"ETag": tag})
    return None


def record_tag(version: int) -> str:
    """Strong tag of a record in the JSON interface: its version number."""
    return f'"{version}"'


def matched_version(header: str | None) -> int | None:
    """Record version that an If-Match header names, or None if it names none.

    >>> matched_version('"7"'), matched_version(None), matched_version('"x"')
    (7, None, None)
    """
    inner = (header or "").strip().removeprefix("W/").strip('"')
    return int(inner) if inner.isascii() and inner.isdigit() else None
