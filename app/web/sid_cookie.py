"""The cookie that holds a session's id.

Over TLS its name begins with __Host-: the browser then takes it only from this very host, over TLS,
for every path, so neither a neighbour's page nor plain HTTP can put another in its place. Without
TLS a browser would drop such a cookie, and signing in would never end; there it has a plain name.
"""

from starlette.requests import Request
from starlette.responses import Response

from app.services.sign_in import LONGEST

SAFE_NAME = "__Host-sid"
PLAIN_NAME = "sid"
_LONGEST_ID = 128


def _name(request: Request) -> str:
    return PLAIN_NAME if request.app.state.settings.insecure_lan else SAFE_NAME


def sent_id(request: Request) -> str | None:
    """The session id that the browser sent."""
    sent = request.cookies.get(_name(request))
    return sent if sent and len(sent) <= _LONGEST_ID else None


def put_id(request: Request, response: Response, secret: str) -> None:
    """Have the browser keep a session's id."""
    response.set_cookie(
        _name(request),
        secret,
        max_age=int(LONGEST.total_seconds()),
        path="/",
        secure=_name(request) == SAFE_NAME,
        httponly=True,
        samesite="lax",
    )


def drop_id(request: Request, response: Response) -> None:
    """Have the browser forget the session's id."""
    secure = _name(request) == SAFE_NAME
    response.delete_cookie(_name(request), "/", secure=secure, httponly=True, samesite="lax")
