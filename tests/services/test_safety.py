import socket
from datetime import datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from app.records import backups
from app.records.backups import BACKUP, SILENT
from app.records.base import now
from app.services.safety import OLD_AFTER, days_in_a_row, safety


def copied(
    engine: sa.Engine,
    file: Path,
    stage: str = "good",
    ago: timedelta = timedelta(0),
    host: str | None = None,
    day: str | None = None,
) -> None:
    file.write_text("copy")
    host = host or socket.gethostname()
    key = backups.begin(engine, by="Ada", host=host, file=str(file), day=day)
    assert key is not None
    moment = now() - ago
    values = {"stage": stage, "started_at": moment, "beat": moment}
    if stage != "running":
        values |= {"ended_at": moment, "message": None if stage == "good" else "The disk is full."}
    with engine.begin() as connection:
        connection.execute(sa.update(BACKUP).where(BACKUP.c.id == key).values(values))


def test_nothing_made_yet_is_no_fault_until_something_fails(
    database: sa.Engine, tmp_path: Path
) -> None:
    known = safety(database)
    assert (known.good, known.age, known.old, known.trouble) == (None, None, False, None)
    copied(database, tmp_path / "a", "failed")
    known = safety(database)
    assert known.trouble == "The disk is full."
    assert known.old


def test_a_copy_grows_old_after_two_days(database: sa.Engine, tmp_path: Path) -> None:
    copied(database, tmp_path / "a", ago=timedelta(hours=47, minutes=59))
    known = safety(database)
    assert not known.old
    assert known.hours == 47
    assert known.at(known.moment + timedelta(minutes=2)).old
    assert timedelta(hours=48) == OLD_AFTER


def test_a_copy_that_is_gone_is_none(database: sa.Engine, tmp_path: Path) -> None:
    copied(database, tmp_path / "a")
    (tmp_path / "a").unlink()
    known = safety(database)
    assert known.lost
    assert known.old
    assert known.age is None


def test_a_copy_on_another_computer_is_not_sought_here(database: sa.Engine, tmp_path: Path) -> None:
    copied(database, tmp_path / "a", host="another computer")
    (tmp_path / "a").unlink()
    assert not safety(database).lost


def test_a_failure_is_told_until_a_copy_is_good_again(database: sa.Engine, tmp_path: Path) -> None:
    copied(database, tmp_path / "a", ago=timedelta(hours=3))
    copied(database, tmp_path / "b", "failed", ago=timedelta(hours=2))
    assert safety(database).trouble == "The disk is full."
    assert not safety(database).old
    copied(database, tmp_path / "c", "running")
    assert safety(database).trouble == "The disk is full."
    copied(database, tmp_path / "d", ago=timedelta(hours=1))
    assert safety(database).trouble is None


def test_who_was_killed_while_making_one_is_told(database: sa.Engine, tmp_path: Path) -> None:
    copied(database, tmp_path / "a", "running", ago=SILENT)
    assert safety(database).trouble == "It was stopped before it was done."


NOON = datetime(2026, 11, 25, 12, 0).astimezone()


@pytest.mark.parametrize(
    ("days", "count"),
    [
        ([], 0),
        (["2026-11-25"], 1),
        (["2026-11-25", "2026-11-24", "2026-11-23"], 3),
        (["2026-11-24", "2026-11-23"], 2),
        (["2026-11-25", "2026-11-23", "2026-11-22"], 1),
        (["2026-11-23", "2026-11-22"], 0),
        (["2026-11-01", "2026-10-31"], 0),
    ],
)
def test_days_without_a_gap_are_counted(days: list[str], count: int) -> None:
    assert days_in_a_row(days, NOON) == count
