"""What the server needs to know of htmx: its settings, its requests, its redirects.

One address has one answer here: a page is always sent whole and the browser's script
picks the part that it swaps (hx-select), so that Back, reload and a shared link always
meet a page. A part that is no page of its own lives at its own address.
"""

import json

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.web import notices

HTMX_CONFIG = json.dumps(
    {
        # Our style sheet has the indicator rules; the policy forbids an injected sheet.
        "includeIndicatorStyles": False,
        "allowEval": False,
        "allowScriptTags": False,
        "selfRequestsOnly": True,
        # Back asks the server for the whole page; no page text stays in the browser.
        "historyCacheSize": 0,
        "refreshOnHistoryMiss": True,
        "historyRestoreAsHxRequest": False,
        "responseHandling": [
            {"code": "204", "swap": False},
            {"code": "[23]..", "swap": True},
            # A form that came back with its errors is an answer to show, not a failure.
            {"code": "409|412|422", "swap": True},
            {"code": "[45]..", "swap": False, "error": True},
        ],
    },
    separators=(",", ":"),
)


def is_htmx(request: Request) -> bool:
    """Whether htmx asks, and not to fill in a page for Back or Forward."""
    headers = request.headers
    return (
        headers.get("hx-request") == "true" and headers.get("hx-history-restore-request") != "true"
    )


def redirect(request: Request, path: str, notice: notices.Notice | None = None) -> Response:
    """Send the browser to another page of ours after a change.

    A browser gets 303, so that reload does not repeat the change. htmx follows a 303 by
    itself and would swap the page into the old one: it is told to go there instead.
    """
    if not path.startswith("/") or path.startswith("//"):
        raise ValueError("redirect goes to a path of this server")
    response: Response
    if is_htmx(request):
        response = Response(status_code=204, headers={"HX-Redirect": path})
    else:
        response = RedirectResponse(path, status_code=303)
    if notice is not None:
        notices.leave(response, notice)
    return response
