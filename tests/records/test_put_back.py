import os
import sqlite3
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
import sqlalchemy as sa
from alembic import command
from psycopg import sql
from sqlalchemy.engine import make_url

from app.errors import NewerSchema
from app.records import put_back as module
from app.records.copies import NotOurs, copy_sqlite, row_counts
from app.records.database import make_engine, read_session, writing
from app.records.dumps import connect, dump_postgresql, maintenance
from app.records.in_use import Occupied, serving
from app.records.migrate import is_current, migration_config, newest_revision
from app.records.put_back import NotPutBack, leftover_databases, put_back
from app.services.catalogue import packs
from app.settings import Settings
from tests.factories import make_pack
from tests.own_programs import use_own_programs


@pytest.fixture(autouse=True)
def _programs(monkeypatch: pytest.MonkeyPatch) -> None:
    use_own_programs(monkeypatch)


def names(settings: Settings) -> list[str]:
    engine = make_engine(settings.url)
    with read_session(engine) as session:
        found = [stored.name for stored in packs.page(session).records]
    engine.dispose()
    return found


def add(settings: Settings, name: str) -> None:
    engine = make_engine(settings.url)
    with writing(engine) as session:
        packs.add(session, make_pack(name), by="a")
    engine.dispose()


def copy_of(settings: Settings, folder: Path) -> Path:
    if settings.url.get_backend_name() == "sqlite":
        copy_sqlite(Path(str(settings.url.database)), folder / "copy.db")
        return folder / "copy.db"
    dump_postgresql(settings.url, folder / "copy.dump")
    return folder / "copy.dump"


def test_a_copy_comes_back_and_what_it_replaces_is_kept(
    settings: Settings, tmp_path: Path
) -> None:
    add(settings, "Kept")
    copy = copy_of(settings, tmp_path)
    add(settings, "Later")
    done = put_back(settings.url, copy)
    assert names(settings) == ["Kept"]
    assert done.holds.rows["pack"] == 1
    assert done.replaced is not None
    engine = make_engine(settings.url)
    assert is_current(engine)
    engine.dispose()
    # The way back, as the command says it.
    if settings.url.get_backend_name() == "sqlite":
        put_back(settings.url, Path(done.replaced))
    else:
        rename = sql.SQL("ALTER DATABASE {} RENAME TO {}")
        one, other = str(settings.url.database), done.replaced
        with connect(settings.url, maintenance(settings.url)) as server:
            server.execute(rename.format(sql.Identifier(one), sql.Identifier("put_back")))
            server.execute(rename.format(sql.Identifier(other), sql.Identifier(one)))
            server.execute("DROP DATABASE put_back")
    assert names(settings) == ["Kept", "Later"]


def test_records_can_be_added_after_a_copy_came_back(settings: Settings, tmp_path: Path) -> None:
    """The numbers that PostgreSQL gives out go on where the copy's rows end."""
    add(settings, "Kept")
    put_back(settings.url, copy_of(settings, tmp_path))
    add(settings, "Later")
    assert names(settings) == ["Kept", "Later"]


def test_a_copy_of_an_older_program_comes_back_as_it_is(settings: Settings, tmp_path: Path) -> None:
    command.downgrade(migration_config(settings.url), "e61b0d94f3a5")
    copy = copy_of(settings, tmp_path)
    command.upgrade(migration_config(settings.url), "head")
    assert put_back(settings.url, copy).holds.revision == "e61b0d94f3a5"
    command.upgrade(migration_config(settings.url), "head")
    assert names(settings) == []


def test_a_copy_of_a_newer_program_is_refused(settings: Settings, tmp_path: Path) -> None:
    engine = make_engine(settings.url)
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = 'ffff00001111'")
    copy = copy_of(settings, tmp_path)
    with engine.begin() as connection:
        newest = sa.text("UPDATE alembic_version SET version_num = :newest")
        connection.execute(newest, {"newest": newest_revision()})
    engine.dispose()
    add(settings, "Here")
    with pytest.raises(NewerSchema):
        put_back(settings.url, copy)
    assert names(settings) == ["Here"]


def test_what_is_no_copy_is_refused_and_nothing_changed(settings: Settings, tmp_path: Path) -> None:
    add(settings, "Here")
    letter = tmp_path / "letter.db"
    letter.write_text("Dear clutch, " * 100)
    with pytest.raises((NotOurs, NotPutBack)):
        put_back(settings.url, letter)
    with pytest.raises(NotPutBack, match="there is no file"):
        put_back(settings.url, tmp_path / "none.db")
    damaged = copy_of(settings, tmp_path)
    whole = damaged.read_bytes()
    damaged.write_bytes(whole[: len(whole) // 2])
    with pytest.raises((NotPutBack, NotOurs)):
        put_back(settings.url, damaged)
    assert names(settings) == ["Here"]
    assert not list(tmp_path.glob("*putting-back*"))


def test_an_empty_database_is_no_copy(sqlite_url: str, tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "empty.db")) as connection:
        connection.execute("VACUUM")
    with pytest.raises(NotOurs, match="empty database"):
        put_back(make_url(sqlite_url), tmp_path / "empty.db")


def test_it_is_refused_while_a_server_runs(settings: Settings, tmp_path: Path) -> None:
    add(settings, "Kept")
    copy = copy_of(settings, tmp_path)
    add(settings, "Later")
    engine = make_engine(settings.url)
    with serving(settings.url), engine.connect() as connection:
        connection.exec_driver_sql("SELECT 1")
        with pytest.raises(Occupied, match="Stop it first"):
            put_back(settings.url, copy)
    engine.dispose()
    assert names(settings) == ["Kept", "Later"]


def test_it_is_refused_while_a_program_is_at_work_in_it(sqlite_url: str, tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, database_url=sqlite_url)
    copy = copy_of(settings, tmp_path)
    engine = make_engine(sqlite_url)
    with writing(engine) as session:
        packs.add(session, make_pack("Being saved"), by="a")
        with pytest.raises(Occupied, match="at work"):
            put_back(settings.url, copy)
    engine.dispose()
    assert names(settings) == ["Being saved"]


def test_the_database_itself_is_no_copy_of_it(sqlite_url: str) -> None:
    url = make_url(sqlite_url)
    with pytest.raises(NotPutBack, match="the database itself"):
        put_back(url, Path(str(url.database)))


@pytest.mark.parametrize("harm", ["damaged", "no database", "missing"])
def test_a_damaged_or_missing_database_is_replaced_too(
    sqlite_url: str, tmp_path: Path, harm: str
) -> None:
    """That is when a copy is wanted most; what there was is kept byte for byte."""
    settings = Settings(data_dir=tmp_path, database_url=sqlite_url)
    add(settings, "Kept")
    copy = copy_of(settings, tmp_path)
    file = Path(str(settings.url.database))
    journal = file.with_name("gripledger.db-journal")
    if harm == "missing":
        file.unlink()
    else:
        raw = bytearray(file.read_bytes())
        raw[0 if harm == "no database" else 5000 : 60_000] = b"\xff" * 30_000
        file.write_bytes(raw)
        journal.write_bytes(b"not a journal")
    before = file.read_bytes() if file.exists() else None
    done = put_back(settings.url, copy)
    assert names(settings) == ["Kept"]
    assert not journal.exists()
    if before is None:
        assert done.replaced is None
    else:
        assert done.replaced is not None
        assert Path(done.replaced).read_bytes() == before


def test_a_database_in_wal_mode_is_kept_whole(sqlite_url: str, tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, database_url=sqlite_url)
    copy = copy_of(settings, tmp_path)
    file = Path(str(settings.url.database))
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
    add(settings, "In the journal")
    done = put_back(settings.url, copy)
    assert done.replaced is not None
    assert row_counts(Path(done.replaced))["pack"] == 1
    assert row_counts(file)["pack"] == 0


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such rights on files")
def test_the_database_keeps_its_rights(sqlite_url: str, tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, database_url=sqlite_url)
    copy = copy_of(settings, tmp_path)
    file = Path(str(settings.url.database))
    file.chmod(0o640)
    put_back(settings.url, copy)
    assert file.stat().st_mode & 0o777 == 0o640


def test_a_restore_that_fails_leaves_no_database_behind(
    postgresql_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = Settings(data_dir=tmp_path, database_url=postgresql_url)
    add(settings, "Here")
    copy = copy_of(settings, tmp_path)

    def refuse(*_: object) -> None:
        raise NotPutBack("the power went")

    monkeypatch.setattr(module, "_swap", refuse)
    with pytest.raises(NotPutBack, match="the power went"):
        put_back(settings.url, copy)
    with connect(settings.url) as server:
        assert leftover_databases(server, str(settings.url.database)) == []
    assert names(settings) == ["Here"]


def test_what_a_killed_restore_left_goes_with_the_next(
    postgresql_url: str, tmp_path: Path
) -> None:
    settings = Settings(data_dir=tmp_path, database_url=postgresql_url)
    name = str(settings.url.database)
    copy = copy_of(settings, tmp_path)
    with psycopg.connect(postgresql_url, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}_restoring_20261125t000000000000z"')
        assert len(leftover_databases(server, name)) == 1
    put_back(settings.url, copy)
    with connect(settings.url) as server:
        assert leftover_databases(server, name) == []


def test_a_role_that_may_not_make_databases_is_told(postgresql_url: str, tmp_path: Path) -> None:
    url = make_url(postgresql_url)
    settings = Settings(data_dir=tmp_path, database_url=postgresql_url)
    copy = copy_of(settings, tmp_path)
    with psycopg.connect(postgresql_url, autocommit=True) as server:
        server.execute("DROP ROLE IF EXISTS plain_user")
        server.execute("CREATE ROLE plain_user LOGIN PASSWORD 'x'")
    with pytest.raises(NotPutBack, match="CREATEDB"):
        put_back(url.set(username="plain_user", password="x"), copy)  # noqa: S106  # made up
