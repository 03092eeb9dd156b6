"""Copies that were made or tried: one row each, by which servers agree on who makes the day's.

They are no part of the catalogue: nothing here counts as a change of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy.engine import Engine, RowMapping
from sqlmodel import Field, SQLModel

from app.records.base import UtcDateTime, now, table_of
from app.records.database import writing_apart

KINDS = ("daily", "by hand")
STAGES = ("running", "good", "failed")

SILENT = timedelta(minutes=30)
"""Whoever makes a copy and says nothing for so long was killed."""

AGAIN = timedelta(hours=1)
"""When the day's copy failed, it is tried again after so long."""


class Backup(SQLModel, table=True):
    """One copy: who made it, when, where it lies, and what became of it."""

    __tablename__ = "backup"
    __table_args__ = (
        sa.CheckConstraint("kind IN ('daily', 'by hand')", name="kind"),
        sa.CheckConstraint("stage IN ('running', 'good', 'failed')", name="stage"),
        sa.Index("ix_backup_stage_ended_at", "stage", "ended_at"),
    )

    id: int | None = Field(default=None, primary_key=True)
    kind: str = Field(sa_type=sa.Text)
    # The day that it is the copy of; the first server to write it makes the copy.
    day: str | None = Field(default=None, sa_type=sa.Text, unique=True)
    by: str = Field(sa_type=sa.Text)
    stage: str = Field(sa_type=sa.Text)
    started_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    beat: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    ended_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    host: str = Field(sa_type=sa.Text)
    file: str = Field(sa_type=sa.Text)
    size: int | None = Field(default=None, sa_type=sa.BigInteger)
    rows: int | None = Field(default=None, sa_type=sa.BigInteger)
    message: str | None = Field(default=None, sa_type=sa.Text)


BACKUP: sa.Table = table_of(Backup)


@dataclass(frozen=True, slots=True)
class Copied:
    """One row, as the pages and the commands read it."""

    kind: str
    day: str | None
    by: str
    stage: str
    started_at: datetime
    beat: datetime
    ended_at: datetime | None
    host: str
    file: str
    size: int | None
    rows: int | None
    message: str | None

    def alive(self, moment: datetime) -> bool:
        """Whether it is being made, as far as can be told."""
        return self.stage == "running" and moment - self.beat < SILENT


def _read(row: RowMapping) -> Copied:
    return Copied(**{name: row[name] for name in Copied.__dataclass_fields__})


def begin(engine: Engine, *, by: str, host: str, file: str, day: str | None = None) -> int | None:
    """Write down that a copy is being made; its key, None where another makes the day's.

    Args:
        engine: the database.
        by: who asked for it.
        host: the computer that makes it.
        file: where it is made.
        day: the day that it is the copy of; None for one by hand.
    """
    moment = now()
    new = {
        "kind": "by hand" if day is None else "daily",
        "day": day,
        "by": by,
        "stage": "running",
        "started_at": moment,
        "beat": moment,
        "ended_at": None,
        "host": host,
        "file": file,
        "message": None,
    }
    try:
        with writing_apart(engine) as connection:
            if day is not None:
                found = sa.select(BACKUP).where(BACKUP.c.day == day).with_for_update()
                standing = connection.execute(found).mappings().first()
                if standing is not None:
                    if not _may_try_again(_read(standing), moment):
                        return None
                    mine = BACKUP.c.id == standing["id"]
                    connection.execute(sa.update(BACKUP).where(mine).values(new))
                    return int(standing["id"])
            made = connection.execute(sa.insert(BACKUP).values(new).returning(BACKUP.c.id))
            return int(made.scalar_one())
    except sa.exc.IntegrityError:  # another server wrote the day's row at the same moment
        return None


def _may_try_again(standing: Copied, moment: datetime) -> bool:
    if standing.stage == "failed":
        return moment - (standing.ended_at or standing.started_at) >= AGAIN
    return standing.stage == "running" and not standing.alive(moment)


def due(engine: Engine, day: str) -> bool:
    """Whether the day's copy is still to be made; asks without taking anybody's turn."""
    with engine.connect() as connection:
        standing = (
            connection.execute(sa.select(BACKUP).where(BACKUP.c.day == day)).mappings().first()
        )
    return standing is None or _may_try_again(_read(standing), now())


def beat(engine: Engine, key: int) -> None:
    """Say that a copy is still being made."""
    _set(engine, key, beat=now())


def end(engine: Engine, key: int, **became: object) -> None:
    """Write down what became of a copy: its stage, and size and rows or the reason."""
    _set(engine, key, ended_at=now(), **became)


def _set(engine: Engine, key: int, **values: object) -> None:
    with writing_apart(engine) as connection:
        connection.execute(sa.update(BACKUP).where(BACKUP.c.id == key).values(values))


def settle_after_put_back(engine: Engine, file: str) -> None:
    """A copy was put back: the rows in it that say a copy is being made are of the past.

    The one that was put back is in itself as unfinished; it was checked, so it is good.
    """
    moment = now()
    running = BACKUP.c.stage == "running"
    with writing_apart(engine) as connection:
        connection.execute(
            sa.update(BACKUP)
            .where(running, BACKUP.c.file == file)
            .values(stage="good", ended_at=moment)
        )
        connection.execute(
            sa.update(BACKUP)
            .where(running)
            .values(stage="failed", ended_at=moment, message="It was stopped.")
        )


def newest(engine: Engine, stage: str | None = None, limit: int = 1) -> Sequence[Copied]:
    """The newest rows first, all of them or those of one stage."""
    wanted = sa.select(BACKUP).order_by(
        sa.func.coalesce(BACKUP.c.ended_at, BACKUP.c.started_at).desc(), BACKUP.c.id.desc()
    )
    if stage is not None:
        wanted = wanted.where(BACKUP.c.stage == stage)
    with engine.connect() as connection:
        return [_read(row) for row in connection.execute(wanted.limit(limit)).mappings()]


def good_days(engine: Engine) -> Sequence[str]:
    """The days of which there was a good copy, the newest first."""
    wanted = (
        sa.select(BACKUP.c.day)
        .where(BACKUP.c.stage == "good", BACKUP.c.day.is_not(None))
        .order_by(BACKUP.c.day.desc())
    )
    with engine.connect() as connection:
        return [str(day) for day in connection.execute(wanted).scalars()]
