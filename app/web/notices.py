"""The one line that a page shows after something was saved, such as “Pack saved.”.

It has to survive a redirect, so it travels in a cookie that the next page reads and
clears. Another program on this machine may set a cookie for the same host, so the text
is treated as typed by a stranger and the offered way back can be nothing but that.
"""

import json
import re
from dataclasses import dataclass
from urllib.parse import quote, unquote

from starlette.requests import Request
from starlette.responses import Response

COOKIE = "gripledger-notice"
_WAY_BACK = re.compile(r"/[a-z-]{1,40}/[A-Za-z0-9_-]{1,64}/bring-back")
_LONGEST = 200


@dataclass(frozen=True)
class Notice:
    """Text, and the address that brings a record back, if the notice offers it."""

    text: str
    undo: str | None = None


def leave(response: Response, notice: Notice) -> None:
    """Have the next page show the notice."""
    if notice.undo is not None and not _WAY_BACK.fullmatch(notice.undo):
        raise ValueError("undo must be an address that ends in /bring-back")
    value = quote(json.dumps([notice.text[:_LONGEST], notice.undo]), safe="")
    response.set_cookie(COOKIE, value, max_age=60, httponly=True, samesite="lax", path="/")


def waiting(request: Request) -> Notice | None:
    """The notice left for this page, or None."""
    raw = request.cookies.get(COOKIE)
    if raw is None:
        return None
    try:
        text, undo = json.loads(unquote(raw))
    except (ValueError, TypeError):
        return Notice("")
    if not isinstance(text, str):
        return Notice("")
    good = isinstance(undo, str) and _WAY_BACK.fullmatch(undo)
    return Notice(text[:_LONGEST], undo if good else None)


def forget(response: Response) -> None:
    """Clear the notice: it is shown once."""
    response.delete_cookie(COOKIE, path="/", httponly=True, samesite="lax")
