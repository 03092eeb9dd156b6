"""An export is kept as it was shown; the answer says where."""

import logging

from starlette.background import BackgroundTask
from starlette.requests import Request
from starlette.responses import Response

from app.errors import StorageUnavailable
from app.records.base import public_id
from app.services.verdicts import Shown
from app.web.render import app_version

log = logging.getLogger("gripledger.verdicts")

HEADER = "Gripledger-Verdict"
"""Address of the page that shows again what was exported."""


def keep_exported(request: Request, answer: Response, shown: Shown, by: str) -> None:
    """Keep what an answer exports: before it goes out, a very large one after.

    A full disk must not keep anybody from taking the figures out, so a failure is only noted.
    """
    engine, key = request.app.state.engine, public_id()

    def keep() -> bool:
        try:
            shown.keep(engine, "csv", by=by, version=app_version(), key=key)
        except StorageUnavailable as fact:
            log.warning("an export was not kept: %s", fact.reason)
            return False
        return True

    if shown.large:
        answer.background = BackgroundTask(keep)
    elif not keep():
        return
    answer.headers[HEADER] = f"/verdicts/{key}"
