import os
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic import command

from app.errors import NewerSchema, StorageUnavailable
from app.records import migrate
from app.records.database import make_engine, writing
from app.records.migrate import (
    UpgradeFailed,
    back_up_sqlite,
    bring_up,
    faults,
    is_current,
    migration_config,
    newest_revision,
    row_counts,
)
from app.services.catalogue import packs
from app.settings import PROJECT_ROOT, Settings
from tests.factories import make_pack

FIRST = "5b1e7c20a4d9"


@pytest.fixture
def older(sqlite_url: str, tmp_path: Path) -> Settings:
    """A filled SQLite database one revision behind."""
    settings = Settings(data_dir=tmp_path, database_url=sqlite_url)
    engine = make_engine(sqlite_url)
    with writing(engine) as session:
        packs.add(session, make_pack(), by="a")
    engine.dispose()
    command.downgrade(migration_config(settings.url), FIRST)
    return settings


def file_of(settings: Settings) -> Path:
    return Path(str(settings.url.database))


def test_a_missing_database_is_made_with_its_folder(tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path / "new" / "folder")
    done = bring_up(settings)
    assert (done.before, done.after, done.backup) == (None, newest_revision(), None)
    assert file_of(settings).is_file()


def test_an_older_database_is_copied_checked_and_brought_up(older: Settings) -> None:
    before = row_counts(file_of(older))
    done = bring_up(older)
    assert done.before == FIRST
    assert done.backup is not None
    assert done.backup.parent == older.backup_dir
    assert faults(done.backup) == []
    assert row_counts(done.backup) == before
    after = row_counts(file_of(older))
    assert {name: after[name] for name in before} == before
    engine = make_engine(older.url)
    assert is_current(engine)
    engine.dispose()


def test_a_newer_database_is_refused_and_not_a_byte_changed(older: Settings) -> None:
    with closing(sqlite3.connect(file_of(older))) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = 'ffff00001111'")
        connection.execute("PRAGMA user_version = 7")
    before = file_of(older).read_bytes()
    with pytest.raises(NewerSchema) as caught:
        bring_up(older)
    assert (caught.value.found, caught.value.known) == ("ffff00001111", newest_revision())
    assert file_of(older).read_bytes() == before
    assert sorted(p.name for p in file_of(older).parent.iterdir()) == ["gripledger.db"]


def test_a_newer_postgresql_database_is_refused(postgresql_url: str, tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, database_url=postgresql_url)
    engine = make_engine(postgresql_url)
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = 'ffff00001111'")
    assert not is_current(engine)
    engine.dispose()
    with pytest.raises(NewerSchema):
        bring_up(settings)


def test_an_older_postgresql_database_is_brought_up(postgresql_url: str, tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, database_url=postgresql_url)
    command.downgrade(migration_config(settings.url), FIRST)
    done = bring_up(settings)
    assert (done.before, done.after, done.backup) == (FIRST, newest_revision(), None)


def dump(file: Path) -> list[str]:
    with closing(sqlite3.connect(file)) as connection:
        return list(connection.iterdump())


def test_an_upgrade_that_fails_in_its_transaction_is_undone(
    older: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = dump(file_of(older))

    def refuse(_watch: object, _connection: object) -> None:
        raise RuntimeError("the power went.")

    monkeypatch.setattr(migrate.Watch, "after", refuse)
    monkeypatch.setattr(migrate, "_put_back_if_needed", lambda *_: None)
    with pytest.raises(UpgradeFailed, match=r"power went\. It is as it was before"):
        bring_up(older)
    assert dump(file_of(older)) == before


def test_an_upgrade_that_fails_outside_a_transaction_is_undone_from_the_copy(
    older: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = dump(file_of(older))

    def half_an_upgrade(_config: object, _revision: str) -> None:
        with closing(sqlite3.connect(file_of(older))) as connection, connection:
            connection.execute("DROP TABLE load_point")
            connection.execute("DELETE FROM pack")
        raise RuntimeError("the power went.")

    monkeypatch.setattr(migrate.command, "upgrade", half_an_upgrade)
    with pytest.raises(UpgradeFailed, match=r"power went\. It is as it was before"):
        bring_up(older)
    assert dump(file_of(older)) == before


@pytest.mark.parametrize(
    ("harm", "told"),
    [
        ("DELETE FROM spring", "spring has 0 rows of 1"),
        (
            "INSERT OR IGNORE INTO load_point VALUES (9, 99, 0, 1.0, 2.0)",
            "load_point: a row points at none",
        ),
    ],
)
def test_an_upgrade_that_harms_the_rows_is_undone(older: Settings, harm: str, told: str) -> None:
    """The trigger stands for a migration that goes wrong."""
    with closing(sqlite3.connect(file_of(older))) as connection, connection:
        connection.execute(f"CREATE TRIGGER harm AFTER UPDATE ON alembic_version BEGIN {harm}; END")
    before = dump(file_of(older))
    with pytest.raises(UpgradeFailed, match=told):
        bring_up(older)
    assert dump(file_of(older)) == before


def test_an_upgrade_that_loses_rows_is_undone_on_postgresql_too(
    postgresql_url: str, tmp_path: Path
) -> None:
    settings = Settings(data_dir=tmp_path, database_url=postgresql_url)
    command.downgrade(migration_config(settings.url), FIRST)
    engine = make_engine(postgresql_url)
    with engine.begin() as connection:
        connection.exec_driver_sql(
            "CREATE RULE harm AS ON UPDATE TO alembic_version DO ALSO DELETE FROM friction_value"
        )
    with pytest.raises(UpgradeFailed, match="friction_value has 0 rows"):
        bring_up(settings)
    with engine.connect() as connection:
        rows = connection.exec_driver_sql("SELECT count(*) FROM friction_value").scalar_one()
    engine.dispose()
    assert rows > 0


def test_a_copy_holds_what_is_still_in_the_journal(sqlite_url: str, tmp_path: Path) -> None:
    """A raw copy of the file alone would miss it."""
    file = Path(str(sa.make_url(sqlite_url).database))
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA wal_autocheckpoint=0")
        with connection:
            connection.execute("INSERT INTO submission VALUES ('t', 'pack', 'x', '2026-11-25')")
        copy = back_up_sqlite(file, tmp_path / "copies", "test")
    assert row_counts(copy)["submission"] == 1
    assert faults(copy) == []


def test_a_copy_that_can_not_be_made_is_told(sqlite_url: str, tmp_path: Path) -> None:
    file = Path(str(sa.make_url(sqlite_url).database))
    (tmp_path / "in the way").write_text("a file, not a folder")
    with pytest.raises(StorageUnavailable, match="could not be made"):
        back_up_sqlite(file, tmp_path / "in the way", "test")


def test_a_copy_that_is_not_sound_is_told(
    sqlite_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = Path(str(sa.make_url(sqlite_url).database))
    monkeypatch.setattr(migrate, "faults", lambda _file: ["page 3 is never used"])
    with pytest.raises(StorageUnavailable, match="page 3"):
        back_up_sqlite(file, tmp_path, "test")


def test_rows_that_point_at_none_are_faults(sqlite_url: str) -> None:
    file = Path(str(sa.make_url(sqlite_url).database))
    with closing(sqlite3.connect(file)) as connection, connection:
        connection.execute("INSERT INTO load_point VALUES (1, 99, 0, 1.0, 2.0)")
    assert faults(file) == ["load_point: a row points at none"]


@pytest.mark.parametrize("content", [b"not a database at all" * 100, None])
def test_another_s_file_is_refused_and_left_alone(tmp_path: Path, content: bytes | None) -> None:
    file = tmp_path / "gripledger.db"
    if content is None:
        with closing(sqlite3.connect(file)) as connection, connection:
            connection.execute("CREATE TABLE recipes (id INTEGER)")
    else:
        file.write_bytes(content)
    before = file.read_bytes()
    with pytest.raises((StorageUnavailable, UpgradeFailed)):
        bring_up(Settings(data_dir=tmp_path))
    assert file.read_bytes() == before


def test_a_database_in_memory_is_refused(tmp_path: Path) -> None:
    for url in ("sqlite://", "sqlite:///:memory:"):
        with pytest.raises(UpgradeFailed, match="Name a file"):
            bring_up(Settings(data_dir=tmp_path, database_url=url))


def test_servers_that_start_at_once_bring_it_up_once(database_url: str, tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, database_url=database_url)
    command.downgrade(migration_config(settings.url), FIRST)
    code = "from app.settings import Settings; from app.records.migrate import bring_up; "
    code += "print(bring_up(Settings()).after)"
    environment = os.environ | {
        "GRIPLEDGER_DATA_DIR": str(tmp_path),
        "GRIPLEDGER_DATABASE_URL": database_url,
        "PYTHONPATH": str(PROJECT_ROOT),
    }
    servers = [
        subprocess.Popen(
            [sys.executable, "-c", code], env=environment, stdout=subprocess.PIPE, text=True
        )
        for _ in range(2)
    ]
    assert [server.communicate()[0].strip() for server in servers] == [newest_revision()] * 2
    engine = make_engine(settings.url)
    assert is_current(engine)
    engine.dispose()
    assert len(list(settings.backup_dir.glob("*"))) == (1 if "sqlite" in database_url else 0)


def test_a_server_waits_while_another_brings_it_up(older: Settings) -> None:
    lock = file_of(older).with_name("gripledger.db.upgrading")
    with closing(sqlite3.connect(lock, isolation_level=None, check_same_thread=False)) as held:
        held.execute("BEGIN EXCLUSIVE")
        threading.Timer(0.2, held.rollback).start()
        assert bring_up(older).after == newest_revision()
        assert not held.in_transaction
