import os
import socket
import threading
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic import command

from app.errors import StorageUnavailable
from app.records import backups
from app.records.base import now
from app.records.copies import MAKING, CopyFailed
from app.records.in_use import Occupied
from app.records.migrate import migration_config
from app.services import safekeeping
from app.services.safekeeping import (
    back_up,
    back_up_daily,
    day_of,
    look_through,
    restore,
    thin_out,
    unfinished,
)
from app.services.sign_in import Device, end_session, session_of, sign_in
from app.services.starting import open_engine
from app.settings import Settings
from tests.own_programs import use_own_programs
from tests.people import PASSWORDS


@pytest.fixture(autouse=True)
def _programs(monkeypatch: pytest.MonkeyPatch) -> None:
    use_own_programs(monkeypatch)


@pytest.fixture
def engine(settings: Settings) -> Iterator[sa.Engine]:
    made = open_engine(settings)
    yield made
    made.dispose()


def in_folder(settings: Settings) -> list[str]:
    return sorted(p.name for p in settings.backup_dir.iterdir() if p.name != MAKING)


def test_a_copy_by_hand_is_made_checked_and_written_down(
    settings: Settings, engine: sa.Engine
) -> None:
    made = back_up(settings, engine, by="Ada")
    assert made.file.parent == settings.backup_dir
    assert look_through(made.file) == made.holds
    (row,) = backups.newest(engine)
    assert (row.stage, row.by, row.kind, row.host) == (
        "good", "Ada", "by hand", socket.gethostname()
    )  # fmt: skip
    assert (row.file, row.size, row.rows) == (str(made.file), made.size, made.holds.total)


def test_a_copy_goes_where_it_is_asked_for_and_over_nothing(
    settings: Settings, engine: sa.Engine, tmp_path: Path
) -> None:
    wanted = tmp_path / "disk" / "mine"
    back_up(settings, engine, by="Ada", file=wanted)
    before = wanted.read_bytes()
    with pytest.raises(CopyFailed, match="already; name another"):
        back_up(settings, engine, by="Ada", file=wanted)
    assert wanted.read_bytes() == before


def test_a_relative_name_is_written_down_whole(
    settings: Settings, engine: sa.Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    back_up(settings, engine, by="Ada", file=Path("mine.copy"))
    assert backups.newest(engine)[0].file == str(tmp_path / "mine.copy")


def test_the_days_copy_is_made_once(settings: Settings, engine: sa.Engine) -> None:
    made = back_up_daily(settings, engine, "2026-11-25")
    assert made is not None
    assert back_up_daily(settings, engine, "2026-11-25") is None
    assert in_folder(settings) == [made.file.name]
    assert backups.good_days(engine) == ["2026-11-25"]


def test_several_servers_make_one(settings: Settings) -> None:
    made: list[object] = []
    together = threading.Barrier(4)

    def server() -> None:
        own = open_engine(settings)
        together.wait()
        made.append(back_up_daily(settings, own, "2026-11-25"))
        own.dispose()

    servers = [threading.Thread(target=server) for _ in range(4)]
    for each in servers:
        each.start()
    for each in servers:
        each.join()
    assert len(made) == 4
    assert sum(m is not None for m in made) == 1
    assert len(in_folder(settings)) == 1


def test_a_copy_that_fails_is_written_down_with_its_reason(
    settings: Settings, engine: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise CopyFailed("the disk is full")

    monkeypatch.setattr(safekeeping, "copy_sqlite", fail)
    monkeypatch.setattr("app.records.dumps.dump_postgresql", fail)
    with pytest.raises(CopyFailed):
        back_up_daily(settings, engine, "2026-11-25")
    (row,) = backups.newest(engine)
    assert row.stage == "failed"
    assert row.message == "No copy was made: the disk is full. The records are as they were."


def test_a_copy_is_made_also_where_it_can_not_be_written_down(
    settings: Settings, engine: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The database's own disk is full: then a copy on another is wanted most."""

    def full(*_: object, **__: object) -> None:
        raise StorageUnavailable("the disk is full")

    monkeypatch.setattr(backups, "begin", full)
    assert look_through(back_up(settings, engine, by="Ada").file).rows["backup"] == 0


def test_a_copy_whose_end_can_not_be_written_down_is_kept(
    settings: Settings, engine: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise StorageUnavailable("the disk is full")

    monkeypatch.setattr(backups, "end", full)
    assert back_up(settings, engine, by="Ada").file.exists()
    assert backups.newest(engine)[0].stage == "running"


def test_a_database_that_waits_to_be_brought_up_can_be_copied(settings: Settings) -> None:
    command.downgrade(migration_config(settings.url), "e61b0d94f3a5")
    engine = open_engine(settings)
    made = back_up(settings, engine, by="Ada")
    engine.dispose()
    assert made.holds.revision == "e61b0d94f3a5"


@pytest.mark.parametrize(
    ("moment", "day"),
    [
        ((2026, 11, 25, 2, 59), "2026-11-24"),
        ((2026, 11, 25, 3, 0), "2026-11-25"),
        ((2026, 11, 26, 0, 0), "2026-11-25"),
    ],
)
def test_a_day_begins_at_the_time_that_is_set(moment: tuple[int, ...], day: str) -> None:
    local = datetime(*moment).astimezone()  # type: ignore[arg-type, misc]  # year to minute
    assert day_of(local, "03:00") == day
    assert day_of(local.astimezone(UTC), "03:00") == day


def daily(folder: Path, day: date, time: str = "030000000000") -> Path:
    file = folder / f"{day:%Y%m%d}T{time}Z-daily.db"
    file.write_text("copy")
    return file


def test_fourteen_days_and_twelve_months_are_kept(tmp_path: Path) -> None:
    last = date(2026, 11, 25)
    made = [daily(tmp_path, last - timedelta(days=i)) for i in range(500)]
    others = [
        tmp_path / name
        for name in (
            "20200101T000000000000Z-by-hand.db",
            "20200101T000000000000Z-before-f7d20b58c3e6.db",
            "20200101T000000000000Z-daily.dump",
            "my own daily.db",
            "x-daily.db",
        )
    ]
    for other in others:
        other.write_text("kept")
    removed = thin_out(tmp_path)
    left = sorted(p.name[:8] for p in tmp_path.glob("2*-daily.db"))
    newest = [f"{last - timedelta(days=i):%Y%m%d}" for i in range(14)]
    months = [
        "20261031", "20260930", "20260831", "20260731", "20260630", "20260531",
        "20260430", "20260331", "20260228", "20260131", "20251231",
    ]  # fmt: skip
    assert left == sorted(newest + months)
    assert len(removed) == len(made) - len(left)
    assert all(other.exists() for other in others)
    assert thin_out(tmp_path) == ()


def test_of_one_day_the_newest_is_kept(tmp_path: Path) -> None:
    early = daily(tmp_path, date(2026, 11, 25), "030000000000")
    late = daily(tmp_path, date(2026, 11, 25), "040000000000")
    assert thin_out(tmp_path) == (early,)
    assert late.exists()


def test_older_ones_go_only_after_the_new_one_is_good(
    settings: Settings, engine: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.backup_dir.mkdir()
    ending = safekeeping.ending(settings.url)
    for i in range(20):
        day = date(2026, 11, 1) + timedelta(days=i)
        (settings.backup_dir / f"{day:%Y%m%d}T030000000000Z-daily{ending}").write_text("copy")

    def fail(*_: object, **__: object) -> None:
        raise CopyFailed("the disk is full")

    with monkeypatch.context() as broken:
        broken.setattr(safekeeping, "copy_sqlite", fail)
        broken.setattr("app.records.dumps.dump_postgresql", fail)
        with pytest.raises(CopyFailed):
            back_up_daily(settings, engine, "2026-11-24")
    assert len(in_folder(settings)) == 20
    made = back_up_daily(settings, engine, "2026-11-25")
    assert made is not None
    assert len(made.removed) >= 6
    assert made.file.exists()


def test_a_copy_comes_back_with_its_own_row_settled(settings: Settings, engine: sa.Engine) -> None:
    """In itself the copy is still being made: it was taken before that was written down."""
    made = back_up(settings, engine, by="Ada")
    back_up(settings, engine, by="later")
    engine.dispose()
    restore(settings, engine, made.file)
    (row,) = backups.newest(engine, limit=5)
    assert (row.stage, row.by) == ("good", "Ada")
    assert row.ended_at is not None
    assert row.ended_at <= now()


def test_nobody_is_signed_in_by_a_copy_that_comes_back(
    settings: Settings, people: sa.Engine
) -> None:
    """A session that has ended since the copy was made must not be open again."""
    here = Device("198.51.100.7", "Firefox on Linux")
    begun = sign_in(people, "Ada", PASSWORDS["Ada"], here)
    made = back_up(settings, people, by="Ada")
    end_session(people, begun.id)
    people.dispose()
    restore(settings, people, made.file)
    assert session_of(people, begun.id) is None
    assert sign_in(people, "Ada", PASSWORDS["Ada"], here).member.name == "Ada"


def test_a_copy_is_not_put_back_under_a_running_server(
    settings: Settings, engine: sa.Engine
) -> None:
    made = back_up(settings, engine, by="Ada")
    from app.records.in_use import serving

    with serving(settings.url), engine.connect():
        other = open_engine(settings)
        with pytest.raises(Occupied):
            restore(settings, other, made.file)
        other.dispose()


def test_what_a_killed_program_left_is_named(sqlite_url: str, tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, database_url=sqlite_url)
    assert unfinished(settings) == []
    settings.backup_dir.mkdir()
    left = [settings.backup_dir / "x.db.part", tmp_path / "gripledger.db.putting-back"]
    for file in left:
        file.write_text("half")
    assert unfinished(settings) == left


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such rights on files")
def test_copies_are_for_their_owner_alone(settings: Settings, engine: sa.Engine) -> None:
    made = back_up(settings, engine, by="Ada")
    assert made.file.stat().st_mode & 0o777 == 0o600
    assert settings.backup_dir.stat().st_mode & 0o777 == 0o700
