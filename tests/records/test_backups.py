from datetime import timedelta

import pytest
import sqlalchemy as sa

from app.records import backups
from app.records.backups import AGAIN, BACKUP, SILENT, beat, begin, due, end, good_days, newest
from app.records.base import now
from app.records.database import catalogue_revision, read_session

DAY = "2026-11-25"


def start(engine: sa.Engine, day: str | None = DAY, file: str = "/copies/x.db") -> int | None:
    return begin(engine, by="Ada", host="bench", file=file, day=day)


def must_start(engine: sa.Engine, day: str | None = DAY) -> int:
    key = start(engine, day)
    assert key is not None
    return key


def set_times(engine: sa.Engine, key: int, **ago: timedelta) -> None:
    values = {name: now() - age for name, age in ago.items()}
    with engine.begin() as connection:
        connection.execute(sa.update(BACKUP).where(BACKUP.c.id == key).values(values))


def test_one_server_makes_the_days_copy(database: sa.Engine) -> None:
    assert due(database, DAY)
    key = must_start(database)
    assert not due(database, DAY)
    assert start(database) is None
    end(database, key, stage="good", size=10, rows=2)
    assert not due(database, DAY)
    assert start(database) is None
    assert due(database, "2026-11-26")
    assert start(database, "2026-11-26") is not None


def test_copies_by_hand_are_as_many_as_are_asked_for(database: sa.Engine) -> None:
    assert must_start(database, None) != must_start(database, None)


def test_who_was_killed_is_followed_by_another(database: sa.Engine) -> None:
    key = must_start(database)
    set_times(database, key, beat=SILENT - timedelta(minutes=1))
    assert not due(database, DAY)
    assert start(database) is None
    set_times(database, key, beat=SILENT)
    assert due(database, DAY)
    assert start(database) == key
    assert not due(database, DAY)


def test_a_beat_says_that_it_goes_on(database: sa.Engine) -> None:
    key = must_start(database)
    set_times(database, key, beat=SILENT)
    beat(database, key)
    assert not due(database, DAY)
    assert newest(database)[0].alive(now())


def test_a_copy_that_failed_is_tried_again_after_an_hour(database: sa.Engine) -> None:
    key = must_start(database)
    end(database, key, stage="failed", message="The disk is full.")
    assert not due(database, DAY)
    set_times(database, key, ended_at=AGAIN)
    assert due(database, DAY)
    assert start(database) == key
    (row,) = newest(database)
    assert (row.stage, row.message, row.ended_at) == ("running", None, None)


def test_two_servers_that_begin_at_one_moment_make_one_copy(
    database: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second has looked and found nothing, and then meets the first one's row."""
    must_start(database)

    class Blind:
        def mappings(self) -> "Blind":
            return self

        def first(self) -> None:
            return None

    real = sa.Connection.execute

    def execute(self: sa.Connection, statement: object, *args: object, **more: object) -> object:
        if isinstance(statement, sa.Select):
            return Blind()
        return real(self, statement, *args, **more)  # type: ignore[call-overload]  # as it came

    monkeypatch.setattr(sa.Connection, "execute", execute)
    assert start(database) is None


def test_the_newest_come_first_and_by_stage(database: sa.Engine) -> None:
    good = must_start(database, "2026-11-23")
    end(database, good, stage="good", size=10, rows=2)
    bad = must_start(database, "2026-11-24")
    end(database, bad, stage="failed", message="no")
    must_start(database, None)
    assert [c.stage for c in newest(database, limit=3)] == ["running", "failed", "good"]
    (found,) = newest(database, "good")
    assert (found.day, found.size, found.rows, found.by) == ("2026-11-23", 10, 2, "Ada")
    assert good_days(database) == ["2026-11-23"]


def test_none_of_this_changes_the_catalogue(database: sa.Engine) -> None:
    with read_session(database) as session:
        before = catalogue_revision(session)
    end(database, must_start(database), stage="good", size=1, rows=1)
    with read_session(database) as session:
        assert catalogue_revision(session) == before


def test_a_copy_that_was_put_back_is_good_and_others_in_it_were_stopped(
    database: sa.Engine,
) -> None:
    must_start(database, None)
    start(database, None, file="/copies/other.db")
    backups.settle_after_put_back(database, "/copies/x.db")
    stages = {c.file: (c.stage, c.message) for c in newest(database, limit=5)}
    assert stages == {
        "/copies/x.db": ("good", None),
        "/copies/other.db": ("failed", "It was stopped."),
    }


def test_the_database_refuses_another_stage(database: sa.Engine) -> None:
    key = must_start(database)
    with pytest.raises(sa.exc.IntegrityError):
        end(database, key, stage="perhaps")
