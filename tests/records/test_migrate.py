import os
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest
from alembic import command

from app.errors import NewerSchema, StorageUnavailable
from app.records import migrate
from app.records.copies import CopyFailed, faults, row_counts
from app.records.database import make_engine, writing
from app.records.dumps import dump_contents
from app.records.migrate import (
    UpgradeFailed,
    bring_up,
    is_current,
    migration_config,
    newest_revision,
)
from app.services.catalogue import packs
from app.settings import PROJECT_ROOT, Settings
from tests.factories import make_pack
from tests.own_programs import use_own_programs

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


def test_an_older_postgresql_database_is_dumped_and_brought_up(
    postgresql_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    use_own_programs(monkeypatch)
    settings = Settings(data_dir=tmp_path, database_url=postgresql_url)
    command.downgrade(migration_config(settings.url), FIRST)
    done = bring_up(settings)
    assert (done.before, done.after) == (FIRST, newest_revision())
    assert done.backup is not None
    assert dump_contents(done.backup).revision == FIRST


def test_without_a_program_for_it_postgresql_is_brought_up_in_its_one_transaction(
    postgresql_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    settings = Settings(data_dir=tmp_path, database_url=postgresql_url)
    command.downgrade(migration_config(settings.url), FIRST)
    done = bring_up(settings)
    assert (done.before, done.after, done.backup) == (FIRST, newest_revision(), None)


def test_nothing_is_changed_when_no_copy_can_be_made_first(older: Settings) -> None:
    older.backup_dir.write_text("a file in the way")
    before = file_of(older).read_bytes()
    with pytest.raises(CopyFailed, match="The records are as they were"):
        bring_up(older)
    assert file_of(older).read_bytes() == before


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

    monkeypatch.setattr("alembic.command.upgrade", half_an_upgrade)
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
    if "sqlite" in database_url:
        assert len(list(settings.backup_dir.glob("*.db"))) == 1


def test_a_server_waits_while_another_brings_it_up(older: Settings) -> None:
    lock = file_of(older).with_name("gripledger.db.upgrading")
    with closing(sqlite3.connect(lock, isolation_level=None, check_same_thread=False)) as held:
        held.execute("BEGIN EXCLUSIVE")
        threading.Timer(0.2, held.rollback).start()
        assert bring_up(older).after == newest_revision()
        assert not held.in_transaction
