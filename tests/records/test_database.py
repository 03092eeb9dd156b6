import sqlite3
import threading
import time
from pathlib import Path

import pytest
import sqlalchemy as sa
from sqlmodel import Session

from app.errors import StorageUnavailable
from app.records.bookkeeping import Setting, Submission
from app.records.database import (
    catalogue_revision,
    make_engine,
    read_session,
    sqlite_pragmas,
    storage_facts,
    storage_trouble,
    write_session,
    writing,
)


@pytest.mark.parametrize(
    ("version", "mode", "sync"),
    [
        ((3, 40, 1), "DELETE", "EXTRA"),
        ((3, 51, 2), "DELETE", "EXTRA"),
        ((3, 51, 3), "WAL", "FULL"),
        ((4, 0, 0), "WAL", "FULL"),
    ],
)
def test_the_journal_follows_the_linked_sqlite(
    version: tuple[int, ...], mode: str, sync: str
) -> None:
    pragmas = sqlite_pragmas(version)
    assert f"journal_mode={mode}" in pragmas
    assert f"synchronous={sync}" in pragmas


def test_the_pragmas_have_taken_effect(sqlite_url: str) -> None:
    engine = make_engine(sqlite_url)
    wanted = dict(p.split("=") for p in sqlite_pragmas(sqlite3.sqlite_version_info))
    with engine.connect() as connection:
        for name in wanted:
            found = str(connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()).upper()
            expected = {"ON": "1", "OFF": "0", "FULL": "2", "EXTRA": "3"}.get(
                wanted[name], wanted[name]
            )
            assert found == expected, name
    facts = storage_facts(engine)
    assert facts["journal mode"].upper() == wanted["journal_mode"]
    assert facts["sync"] == wanted["synchronous"]
    assert facts["version"] == sqlite3.sqlite_version
    engine.dispose()


def test_the_facts_of_postgresql(postgresql_url: str) -> None:
    engine = make_engine(postgresql_url)
    assert storage_facts(engine)["database"] == "PostgreSQL"
    engine.dispose()


def form(number: int) -> Submission:
    return Submission(token=f"form {number}", noun="pack", record="x")


def revision(engine: sa.Engine) -> int:
    with read_session(engine) as session:
        return catalogue_revision(session)


def test_every_transaction_that_writes_raises_the_revision_by_one(database: sa.Engine) -> None:
    start = revision(database)
    with writing(database) as session:
        session.add(form(1))
        session.flush()
        session.add(form(2))
    assert revision(database) == start + 1
    with writing(database) as session:
        session.execute(sa.delete(Submission))
    assert revision(database) == start + 2
    with writing(database) as session:
        session.execute(sa.select(Submission))
    assert revision(database) == start + 2


def test_a_transaction_that_fails_leaves_the_revision(database: sa.Engine) -> None:
    start = revision(database)

    def fail() -> None:
        with writing(database) as session:
            session.add(form(1))
            session.flush()
            raise RuntimeError("stop")

    with pytest.raises(RuntimeError, match="stop"):
        fail()
    assert revision(database) == start
    with write_session(database) as session:
        session.add(form(1))
        session.flush()
        session.rollback()
        session.add(form(2))
        session.commit()
    assert revision(database) == start + 1


def test_a_read_session_refuses_to_write(database: sa.Engine) -> None:
    with read_session(database) as session:
        session.add(form(1))
        with pytest.raises(RuntimeError, match="only reads"):
            session.flush()


def test_a_read_session_sees_one_moment(postgresql_url: str) -> None:
    """On SQLite with a rollback journal the writer waits for the reader instead."""
    engine = make_engine(postgresql_url)
    with read_session(engine) as reader:
        before = catalogue_revision(reader)
        with writing(engine) as writer:
            writer.add(form(1))
        assert catalogue_revision(reader) == before
    engine.dispose()


def test_writers_wait_for_each_other_and_lose_nothing(database: sa.Engine) -> None:
    """Four writers raise one number twenty times each: none may be lost."""
    with writing(database) as session:
        session.add(Setting(key="n", value=0, changed_by="a"))

    def raise_it(_writer: int) -> None:
        for _ in range(20):
            with write_session(database) as session:
                session.execute(sa.update(Submission).values(noun="x"))  # takes its turn
                found = session.get(Setting, "n", populate_existing=True)
                assert found is not None
                found.value += 1
                session.commit()

    threads = [threading.Thread(target=raise_it, args=(i,)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with read_session(database) as session:
        found = session.get(Setting, "n")
        assert found is not None
        assert found.value == 80


def test_a_locked_database_says_that_nothing_was_saved(sqlite_url: str) -> None:
    engine = make_engine(sqlite_url, busy_timeout_ms=50)
    with write_session(engine) as first, write_session(engine) as second:
        first.add(form(1))
        first.flush()
        second.add(form(2))
        with pytest.raises(StorageUnavailable, match="somebody else"):
            second.flush()
    engine.dispose()


def test_a_full_disk_says_that_nothing_was_saved(sqlite_url: str) -> None:
    engine = make_engine(sqlite_url)
    with write_session(engine) as session:
        pages = session.connection().exec_driver_sql("PRAGMA page_count").scalar_one()
        session.connection().exec_driver_sql(f"PRAGMA max_page_count={pages}")
        session.add(Setting(key="long", value="x" * 200_000, changed_by="a"))
        with pytest.raises(StorageUnavailable, match="disk is full"):
            session.flush()
    engine.dispose()


def test_a_database_that_is_not_there_is_told(tmp_path: Path) -> None:
    engine = make_engine(f"sqlite:///{tmp_path}/no/such/folder.db")
    with pytest.raises(StorageUnavailable, match="could not be opened"):
        engine.connect()
    server = make_engine(f"postgresql://nobody@/none?host={tmp_path}")
    with pytest.raises(StorageUnavailable, match="connection to the database"):
        server.connect()


def test_a_server_that_ends_the_connection_is_told(postgresql_url: str) -> None:
    engine = make_engine(postgresql_url)
    with Session(engine) as session:
        pid = session.connection().exec_driver_sql("SELECT pg_backend_pid()").scalar_one()
        with engine.connect() as other:
            other.exec_driver_sql(f"SELECT pg_terminate_backend({pid})")
        time.sleep(0.05)
        with pytest.raises(StorageUnavailable):
            session.connection().exec_driver_sql("SELECT 1")
    engine.dispose()


def test_an_error_of_ours_is_no_trouble_of_the_storage(database: sa.Engine) -> None:
    assert storage_trouble(ValueError("x")) is None
    with database.connect() as connection, pytest.raises(sa.exc.DBAPIError):
        connection.exec_driver_sql("SELECT * FROM no_such_table")


def test_who_waited_for_a_turn_waits_for_the_rest_as_long_as_before(sqlite_url: str) -> None:
    """Asking for the turn again and again is done without SQLite's own patience."""
    engine = make_engine(sqlite_url, busy_timeout_ms=80)
    with write_session(engine) as first:
        first.add(form(1))
        first.flush()
        with write_session(engine) as second:
            second.add(form(2))
            with pytest.raises(StorageUnavailable):
                second.flush()
        first.commit()
    with write_session(engine) as third:
        patience = third.connection().exec_driver_sql("PRAGMA busy_timeout").scalar_one()
    assert patience == 80
    engine.dispose()
