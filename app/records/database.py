"""Engines and sessions: how each database is opened, and what a session may do.

A read session sees one state of the catalogue and refuses to write. A write session takes the
writer's place at once, raises the catalogue's revision before its first write, and is committed
by whoever opened it.
"""

import random
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event
from sqlalchemy.engine import URL, Engine, ExceptionContext, make_url
from sqlalchemy.orm import ORMExecuteState, UOWTransaction
from sqlmodel import Session

from app.errors import StorageUnavailable
from app.records.base import table_of
from app.records.bookkeeping import CatalogueRevision

WAL_IS_SOUND = (3, 51, 3)
"""Older SQLite can corrupt a database when two connections write and checkpoint at one time."""

_SQLITE_TROUBLE = {
    sqlite3.SQLITE_BUSY: "somebody else was saving for too long",
    sqlite3.SQLITE_LOCKED: "somebody else was saving for too long",
    sqlite3.SQLITE_FULL: "the disk is full",
    sqlite3.SQLITE_IOERR: "the disk did not take the data",
    sqlite3.SQLITE_READONLY: "the database file may not be written",
    sqlite3.SQLITE_CANTOPEN: "the database file could not be opened",
    sqlite3.SQLITE_CORRUPT: "the database file is damaged; restore a backup",
    sqlite3.SQLITE_NOTADB: "the file is not a database",
}
_SQLITE_EXACT = {
    sqlite3.SQLITE_READONLY_DBMOVED: "the database file was moved or removed while the program ran",
    sqlite3.SQLITE_READONLY_DIRECTORY: "the database's folder may not be written",
}
_POSTGRESQL_TROUBLE = {
    "08": "the connection to the database was lost",
    "25006": "this database may only be read",
    "28": "the database server did not let the program in",
    "3D": "the database is not there any more",
    "40": "somebody else was saving at the same moment",
    "53": "the database has run out of room or connections",
    "55P": "somebody else was saving for too long",
    "57P": "the database was stopped",
    "58": "the database's disk did not take the data",
}
"""By the beginning of the SQLSTATE."""


def sqlite_pragmas(version: tuple[int, ...], busy_timeout_ms: int = 5000) -> tuple[str, ...]:
    """The pragmas for a linked SQLite: WAL where it is sound, else a rollback journal.

    Both ways a commit that was acknowledged outlives a power cut (synchronous FULL in WAL,
    EXTRA with a rollback journal).
    """
    sound = version >= WAL_IS_SOUND
    return (
        f"busy_timeout={busy_timeout_ms}",
        "journal_mode=WAL" if sound else "journal_mode=DELETE",
        "synchronous=FULL" if sound else "synchronous=EXTRA",
        "foreign_keys=ON",
        "trusted_schema=OFF",
    )


def make_engine(
    url: str | URL,
    *,
    busy_timeout_ms: int = 5000,
    pool_size: int = 5,
    must_exist: bool = False,
) -> Engine:
    """An engine on a SQLite or PostgreSQL database, opened by the rules above.

    Any trouble of the storage itself is raised as `StorageUnavailable`.

    Args:
        url: the database's address.
        busy_timeout_ms: how long a save waits for another.
        pool_size: connections that are kept open.
        must_exist: refuse a missing SQLite file, where SQLite would make an empty one.
    """
    address = make_url(url)
    if address.get_backend_name() == "sqlite":
        engine = sa.create_engine(
            address,
            pool_size=pool_size,
            hide_parameters=True,
            **_connecting(address, busy_timeout_ms / 1000.0, must_exist),
        )
        _open_sqlite(engine, busy_timeout_ms)
    else:
        engine = sa.create_engine(
            address.set(drivername="postgresql+psycopg"),
            pool_size=pool_size,
            pool_pre_ping=True,
            hide_parameters=True,
            connect_args={
                "application_name": "gripledger",
                "options": f"-c lock_timeout={busy_timeout_ms}",
            },
        )
    event.listen(engine, "handle_error", _say_storage_trouble)
    return engine


def _connecting(address: URL, timeout: float, must_exist: bool) -> dict[str, Any]:
    """How SQLite is opened: it makes a missing file unless it is told not to."""
    if not must_exist or not address.database:
        return {"connect_args": {"timeout": timeout}}
    there = f"{Path(address.database).absolute().as_uri()}?mode=rw"
    return {
        "creator": lambda: sqlite3.connect(
            there, uri=True, timeout=timeout, check_same_thread=False
        )
    }


def _open_sqlite(engine: Engine, busy_timeout_ms: int) -> None:
    pragmas = sqlite_pragmas(sqlite3.sqlite_version_info, busy_timeout_ms)

    @event.listens_for(engine, "connect")
    def _on_connect(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = None  # SQLAlchemy says BEGIN, not the driver
        cursor = connection.cursor()
        for pragma in pragmas:
            cursor.execute(f"PRAGMA {pragma}")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _on_begin(connection: sa.Connection) -> None:
        # A read that turns into a write can't wait for its turn; a writer takes it at once.
        if connection.get_execution_options().get("write", False):
            _take_turn(connection, busy_timeout_ms)
        else:
            connection.exec_driver_sql("BEGIN")


def _take_turn(connection: sa.Connection, patience_ms: int) -> None:
    """Begin to write, waiting for others as fairly as can be.

    SQLite's own waiting asks less and less often, up to ten times a second: among many writers
    whoever came last would mostly win, and one that waits for long would wait until it is refused.
    """
    driver: Any = connection.connection.dbapi_connection
    driver.execute("PRAGMA busy_timeout=0")
    try:
        until = time.monotonic() + patience_ms / 1000.0
        while time.monotonic() < until:
            try:
                driver.execute("BEGIN IMMEDIATE")
                return
            except sqlite3.OperationalError as error:
                if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
                    break
            time.sleep(random.uniform(0.001, 0.008))  # noqa: S311  # a moment, no secret
        connection.exec_driver_sql("BEGIN IMMEDIATE")  # a refusal is told as every other
    finally:
        driver.execute(f"PRAGMA busy_timeout={patience_ms}")


def _say_storage_trouble(context: ExceptionContext) -> None:
    original = context.original_exception
    trouble = storage_trouble(original)
    if trouble is not None:
        raise trouble from original


def storage_trouble(error: BaseException | None) -> StorageUnavailable | None:
    """What befell the storage, when that is what a driver's error means; else None."""
    if isinstance(error, sqlite3.Error):
        code = getattr(error, "sqlite_errorcode", None)
        if code is None:
            return None
        reason = _SQLITE_EXACT.get(code) or _SQLITE_TROUBLE.get(code & 0xFF)
    else:
        state = getattr(error, "sqlstate", None)
        if state is None and type(error).__name__ == "OperationalError":
            state = "08"  # no state: it never reached the server
        told = (why for start, why in _POSTGRESQL_TROUBLE.items() if str(state).startswith(start))
        reason = next(told, None)
    return None if reason is None else StorageUnavailable(reason)


class ReadSession(Session):
    """A session that reads one state of the catalogue and refuses to write."""


class WriteSession(Session):
    """A session that may write; its first write raises the catalogue's revision."""


def read_session(engine: Engine) -> ReadSession:
    """Open a read session; on PostgreSQL every query of it sees the same moment."""
    if engine.dialect.name == "postgresql":
        engine = engine.execution_options(
            isolation_level="REPEATABLE READ", postgresql_readonly=True
        )
    return ReadSession(engine, expire_on_commit=False, autoflush=False)


def write_session(engine: Engine) -> WriteSession:
    """Open a write session; whoever opens it commits it."""
    return WriteSession(engine.execution_options(write=True), expire_on_commit=False)


@contextmanager
def writing(engine: Engine) -> Iterator[WriteSession]:
    """A write session that commits at the end, and rolls back when anything is raised."""
    with write_session(engine) as session:
        yield session
        session.commit()


@contextmanager
def writing_apart(engine: Engine) -> Iterator[sa.Connection]:
    """A connection for one change of what is no part of the catalogue, such as who is signed in.

    It takes the writer's place at once, and leaves the revision alone: whatever was worked out
    from the catalogue still holds.
    """
    with engine.execution_options(write=True).begin() as connection:
        yield connection


@event.listens_for(ReadSession, "before_flush")
def _refuse_to_write(_session: Session, _context: UOWTransaction, _instances: object) -> None:
    raise RuntimeError("this session only reads; open a write session to change a record")


@event.listens_for(WriteSession, "before_flush")
def _count_a_flush(session: Session, _context: UOWTransaction, _instances: object) -> None:
    raise_revision(session)


@event.listens_for(WriteSession, "do_orm_execute")
def _count_a_statement(state: ORMExecuteState) -> None:
    if state.is_insert or state.is_update or state.is_delete:
        raise_revision(state.session)


@event.listens_for(WriteSession, "after_transaction_end")
def _forget_the_count(session: Session, transaction: Any) -> None:
    if transaction.parent is None:
        session.info.pop("revision_raised", None)


def raise_revision(session: sa.orm.Session) -> None:
    """Raise the catalogue's revision, once in a transaction.

    It comes before the first write, so that on PostgreSQL writers wait for each other here and
    never meet half-way through (SQLite's writer lock does the same).
    """
    if session.info.get("revision_raised"):
        return
    session.info["revision_raised"] = True
    table = table_of(CatalogueRevision)
    session.connection().execute(sa.update(table).values(number=table.c.number + 1))


def catalogue_revision(session: Session) -> int:
    """The catalogue's revision: two answers alike mean that nothing was written in between."""
    table = table_of(CatalogueRevision)
    return int(session.connection().execute(sa.select(table.c.number)).scalar_one())


def storage_facts(engine: Engine) -> dict[str, str]:
    """What the About page says of the database: its kind, version, journal mode and sync."""
    with engine.connect() as connection:
        if engine.dialect.name != "sqlite":
            version = connection.exec_driver_sql("SHOW server_version").scalar_one()
            sync = connection.exec_driver_sql("SHOW synchronous_commit").scalar_one()
            return {"database": "PostgreSQL", "version": str(version), "sync": str(sync)}
        mode = connection.exec_driver_sql("PRAGMA journal_mode").scalar_one()
        sync = connection.exec_driver_sql("PRAGMA synchronous").scalar_one()
        return {
            "database": "SQLite",
            "version": sqlite3.sqlite_version,
            "journal mode": str(mode),
            "sync": ("OFF", "NORMAL", "FULL", "EXTRA")[int(sync)],
        }
