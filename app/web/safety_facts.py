"""From what the services know of the copies to what pages say of it."""

from datetime import datetime

from starlette.requests import Request

from app.presentation.copies import CopiesFacts, CopyFacts, newest_words
from app.records.backups import Copied
from app.records.base import now
from app.services.daily_copies import Watch
from app.services.safety import Safety


def copies_facts(safety: Safety, daily: bool) -> CopiesFacts:
    """How safe the data are, as plain values."""
    good = safety.good
    return CopiesFacts(
        moment=safety.moment,
        good_at=None if good is None else good.ended_at or good.started_at,
        lost=safety.lost,
        old=safety.old,
        trouble=safety.trouble,
        days=safety.days,
        daily=daily,
        tried=tuple(_copy(c, safety.moment) for c in safety.tried),
    )


def _copy(copied: Copied, moment: datetime) -> CopyFacts:
    stage = copied.stage
    if stage == "running" and not copied.alive(moment):
        stage = "stopped"
    return CopyFacts(
        started_at=copied.started_at,
        ended_at=copied.ended_at,
        daily=copied.day is not None,
        by=copied.by,
        stage=stage,
        file=copied.file,
        size=copied.size,
        rows=copied.rows,
        message=copied.message,
    )


def foot_line(request: Request) -> tuple[str, bool] | None:
    """What the foot of each page says of the copies, and whether it is a fault.

    It is as old as the watch's last look (a minute), so that no page asks the database for it.
    """
    app = request.scope.get("app")
    watch: Watch | None = getattr(app.state, "copies", None) if app is not None else None
    if watch is None or not watch.on or watch.known is None:
        return None
    known = watch.known.at(now())
    return newest_words(copies_facts(known, daily=True)), known.old
