"""How safe the data are, as far as copies go: what the pages and the commands say of it."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy.engine import Engine

from app.records import backups
from app.records.backups import Copied
from app.records.base import now
from app.services.safekeeping import host as this_host

OLD_AFTER = timedelta(hours=48)
"""A newest copy older than this is a fault."""


@dataclass(frozen=True, slots=True)
class Safety:
    """How safe the data are, as far as copies go.

    Attributes:
        moment: when this was asked.
        good: the newest good copy, if there is one.
        lost: whether that copy's file is gone from this computer.
        tried: the newest attempts, good or not, the newest first.
        days: how many days without a gap have a good copy.
    """

    moment: datetime
    good: Copied | None
    lost: bool
    tried: tuple[Copied, ...]
    days: int

    def at(self, moment: datetime) -> "Safety":
        """The same as it is seen at a later moment."""
        return replace(self, moment=moment)

    @property
    def age(self) -> timedelta | None:
        """Age of the newest good copy."""
        return None if self.good is None or self.lost else self.moment - _ended(self.good)

    @property
    def hours(self) -> int | None:
        """That age in whole hours."""
        return None if self.age is None else int(self.age.total_seconds() // 3600)

    @property
    def trouble(self) -> str | None:
        """Why the newest attempt failed, if it did."""
        newest = next((c for c in self.tried if not c.alive(self.moment)), None)
        if newest is None or newest.stage == "good":
            return None
        return newest.message or "It was stopped before it was done."

    @property
    def old(self) -> bool:
        """Whether there is no good copy, or the newest one is too old."""
        age = self.age
        if age is None:
            return self.lost or self.trouble is not None
        return age >= OLD_AFTER


def safety(engine: Engine) -> Safety:
    """How safe the data are, as far as copies go."""
    moment = now()
    good = next(iter(backups.newest(engine, "good")), None)
    lost = good is not None and good.host == this_host() and not Path(good.file).exists()
    tried = tuple(backups.newest(engine, limit=5))
    return Safety(moment, good, lost, tried, days_in_a_row(list(backups.good_days(engine)), moment))


def days_in_a_row(days: list[str], moment: datetime) -> int:
    """How many days up to this one or the one before have a good copy, without a gap.

    Args:
        days: as ISO dates, the newest first.
        moment: now.
    """
    if not days:
        return 0
    last = datetime.fromisoformat(days[0]).date()
    if (moment.astimezone().date() - last).days > 1:
        return 0
    wanted = [(last - timedelta(days=i)).isoformat() for i in range(len(days))]
    return next((i for i, (a, b) in enumerate(zip(days, wanted, strict=True)) if a != b), len(days))


def _ended(copied: Copied) -> datetime:
    return copied.ended_at or copied.started_at
