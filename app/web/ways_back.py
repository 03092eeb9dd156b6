"""Where somebody goes after signing in: back to the page that they came from, and nowhere else."""

import re
from urllib.parse import parse_qs, urlencode, urlsplit

from starlette.requests import Request

from app.web.roles import SAFE_METHODS

# One slash, then no second one and no backslash, which a browser reads as one; nothing unseen.
_OWN = re.compile(r"/(?![/\\])[!-\[\]-~]*")
_LONGEST = 2000
_NO_PAGES = ("/sign-in", "/sign-out", "/setup")


def own_path(text: str) -> str:
    """A path of this server with its query, or the first page for anything else.

    >>> own_path("/packs?q=a"), own_path("//evil.example"), own_path("https://evil.example/")
    ('/packs?q=a', '/', '/')
    """
    good = len(text) <= _LONGEST and _OWN.fullmatch(text) is not None
    return text if good and urlsplit(text).path not in _NO_PAGES else "/"


def sign_in_address(request: Request) -> str:
    """The address of the sign-in page, with the way back to what was asked for.

    A form was sent from the page that the browser names; where it names none, a form's own
    address shows the form.
    """
    here = own_path(request.url.path + (f"?{request.url.query}" if request.url.query else ""))
    shown = request.headers.get("hx-current-url") or ""
    if request.method not in SAFE_METHODS:
        shown = shown or request.headers.get("referer", "")
        here = request.url.path
    if shown and urlsplit(shown).netloc.lower() == request.headers.get("host", "").lower():
        parts = urlsplit(shown)
        here = own_path(parts.path + (f"?{parts.query}" if parts.query else ""))
    return "/sign-in" if here == "/" else f"/sign-in?{urlencode({'next': here})}"


def back_of(address: str) -> str:
    """The way back that an address of the sign-in page has.

    >>> back_of("/sign-in?next=%2Fpacks%2Fnew"), back_of("/sign-in")
    ('/packs/new', '/')
    """
    return own_path(parse_qs(urlsplit(address).query).get("next", ["/"])[0])
