"""What the pages say of the copies: how old the newest good one is, and what became of the rest."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

DAILY = (
    "The running server makes a backup every day. The last 14 days and the newest of each of the "
    "last 12 months are kept; those made by hand and before an upgrade stay."
)
NOT_DAILY = "Daily backups are switched off here (GRIPLEDGER_DAILY_BACKUP)."


@dataclass(frozen=True, slots=True)
class CopyFacts:
    """One copy that was made or tried."""

    started_at: datetime
    ended_at: datetime | None
    daily: bool
    by: str
    stage: str
    """"running", "good", "failed" or "stopped"."""
    file: str
    size: int | None
    rows: int | None
    message: str | None


@dataclass(frozen=True, slots=True)
class CopiesFacts:
    """How safe the data are, as far as copies go.

    Attributes:
        moment: now.
        good_at: when the newest good copy was made, None where there is none.
        lost: whether its file is gone.
        old: whether that is a fault.
        trouble: why the newest attempt failed.
        days: days without a gap of which there is a good copy.
        daily: whether copies are made daily here.
        tried: the newest attempts.
    """

    moment: datetime
    good_at: datetime | None
    lost: bool
    old: bool
    trouble: str | None
    days: int
    daily: bool
    tried: Sequence[CopyFacts]


@dataclass(frozen=True, slots=True)
class CopyLine:
    """One copy as the page lists it."""

    when: str
    what: str
    became: str
    grave: bool


@dataclass(frozen=True, slots=True)
class CopiesView:
    """The part of the page About that is about copies."""

    words: str
    grave: bool
    quiet: str
    """A line on how long all has been well, "" where it has not."""
    trouble: str
    lines: Sequence[CopyLine]
    running: str
    """When a copy that is being made was begun, "" where none is."""
    daily: str
    """When copies are made without being asked for."""
    failure: str
    """Why the copy that was just asked for was not made."""


def age_words(age: timedelta) -> str:
    """An age as one says it.

    >>> age_words(timedelta(minutes=5)), age_words(timedelta(hours=30)), age_words(timedelta(3))
    ('5 minutes', '30 hours', '3 days')
    """
    minutes = max(0, int(age.total_seconds() // 60))
    if minutes < 1:
        return "less than a minute"
    if minutes < 120:
        return "1 minute" if minutes == 1 else f"{minutes} minutes"
    hours = minutes // 60
    return f"{hours} hours" if hours < 72 else f"{hours // 24} days"


def moment_text(moment: datetime) -> str:
    """A moment in UTC."""
    return moment.astimezone(UTC).strftime("%Y-%m-%d %H:%M UTC")


def newest_words(facts: CopiesFacts) -> str:
    """How old the newest good copy is, or why there is none."""
    if facts.lost:
        return "The last good backup is gone from its folder"
    if facts.good_at is None:
        return "No good backup yet"
    return f"Last good backup {age_words(facts.moment - facts.good_at)} ago"


def copies_view(facts: CopiesFacts, failure: str = "") -> CopiesView:
    """The part of the page About that is about copies.

    Args:
        facts: how safe the data are.
        failure: why the copy that was just asked for was not made.
    """
    words = newest_words(facts)
    if facts.good_at is not None and not facts.lost:
        words += f", on {moment_text(facts.good_at)}"
    quiet = ""
    if facts.good_at is not None and facts.days > 1 and not (facts.old or facts.trouble):
        quiet = (
            f"A good backup of each of the last {facts.days} days; the last one was verified on "
            f"{moment_text(facts.good_at)}."
        )
    running = next((c for c in facts.tried if c.stage == "running"), None)
    return CopiesView(
        words=f"{words}.",
        grave=facts.old,
        quiet=quiet,
        trouble=facts.trouble or "",
        lines=tuple(_line(copy) for copy in facts.tried),
        running="" if running is None else moment_text(running.started_at),
        daily=DAILY if facts.daily else NOT_DAILY,
        failure=failure,
    )


_BECAME = {"running": "being made", "stopped": "stopped before it was done"}


def _line(copy: CopyFacts) -> CopyLine:
    if copy.stage == "good":
        became = f"good: opened and checked, {_count(copy.rows)}{_size(copy.size)}"
    else:
        became = _BECAME.get(copy.stage) or copy.message or "Not made; no reason was noted."
    what = "daily" if copy.daily else f"by hand, {copy.by}"
    when = moment_text(copy.ended_at or copy.started_at)
    return CopyLine(when, what, became, copy.stage in ("failed", "stopped"))


def _count(rows: int | None) -> str:
    return "rows not noted" if rows is None else f"{rows:,} rows".replace(",", "\u202f")


def _size(size: int | None) -> str:
    return "" if size is None else f", {size / 1e6:.1f}\u00a0MB"
