"""Put a copy of a database back in its place, and keep the one that it replaces beside it.

The copy is made ready and checked first; the change itself is one step that the system does wholly
or not at all. A program killed at any moment leaves one of the two databases in place, whole.
"""

import os
import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import psycopg
from psycopg import sql
from sqlalchemy.engine import URL

from app.errors import AppError
from app.records import dumps
from app.records.copies import (
    Contents,
    CopyFailed,
    NotOurs,
    copy_sqlite,
    journals,
    open_existing,
    remove_part,
    stamp,
    sync,
    sync_folder,
    told,
)
from app.records.in_use import Occupied, alone
from app.records.migrate import refuse_newer

STAGED = ".putting-back"
REPLACED = "replaced"
RESTORING = "restoring"
_LONGEST_NAME = 63


class NotPutBack(AppError):
    """A copy was not put back; the database is as it was."""

    def __init__(self, reason: str) -> None:
        super().__init__(f"Nothing was put back: {reason}. The records are as they were.")


@dataclass(frozen=True, slots=True)
class PutBack:
    """What was put back, and where the database that it replaced is kept."""

    holds: Contents
    replaced: str | None


def put_back(url: URL, copy: Path) -> PutBack:
    """Put a copy back in a database's place.

    Raises:
        Occupied: the database is in use.
        NotPutBack: the copy is not sound, or there is no room for it.
        NotOurs: the file is no copy of a database of this program.
        NewerSchema: a newer program made it.
    """
    if not copy.is_file():
        raise NotPutBack(f"there is no file {copy}")
    try:
        if url.get_backend_name() == "sqlite":
            return _put_back_sqlite(Path(str(url.database)), copy)
        return _put_back_postgresql(url, copy)
    except CopyFailed as fact:
        raise NotPutBack(fact.reason) from fact


def _put_back_sqlite(file: Path, copy: Path) -> PutBack:
    if file.exists() and file.samefile(copy):
        raise NotPutBack(f"{copy} is the database itself")
    staged = file.with_name(file.name + STAGED)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        with alone(file):
            try:
                holds = copy_sqlite(copy, staged)
                if holds.revision is None:
                    raise NotOurs(f"{copy} is an empty database.")
                refuse_newer(holds.revision)
                replaced = _keep_beside(file, staged)
                staged.replace(file)
                sync_folder(file.parent)
            finally:
                remove_part(staged)
    except (OSError, sqlite3.Error) as error:
        raise NotPutBack(f"{file} could not be written ({told(error)})") from error
    return PutBack(holds, None if replaced is None else str(replaced))


def _keep_beside(file: Path, staged: Path) -> Path | None:
    """Give the database that is to be replaced a second name, with what belongs to it."""
    if not file.exists():
        return None
    _settle(file)
    before = file.stat()
    shutil.copymode(file, staged)
    if hasattr(os, "chown"):
        os.chown(staged, before.st_uid, before.st_gid)
    replaced = file.with_name(f"{file.stem}-{REPLACED}-{stamp()}{file.suffix}")
    left = [side for side in journals(file) if side.exists()]
    for side in left:
        kept = replaced.with_name(side.name.replace(file.name, replaced.name, 1))
        shutil.copy2(side, kept)
        sync(kept)
    try:
        os.link(file, replaced)
    except OSError:  # a file system without second names
        shutil.copy2(file, replaced)
        sync(replaced)
    sync_folder(file.parent)
    # Before the new database is there: another's journal would be played back into it.
    for side in left:
        side.unlink()
    return replaced


def _settle(file: Path) -> None:
    """Have SQLite put everything into the file itself; a damaged one is kept as it lies.

    Raises:
        Occupied: somebody is at work in it.
    """
    try:
        with closing(open_existing(file)) as connection:
            connection.execute("PRAGMA busy_timeout=2000")
            connection.execute("BEGIN EXCLUSIVE")
            connection.execute("COMMIT")
            connection.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.DatabaseError as error:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF in (
            sqlite3.SQLITE_BUSY,
            sqlite3.SQLITE_LOCKED,
        ):
            raise Occupied(f"A program is at work in {file}") from error


def _put_back_postgresql(url: URL, copy: Path) -> PutBack:
    holds = dumps.dump_contents(copy)
    refuse_newer(holds.revision)
    name, moment = str(url.database), stamp()
    new, old = (_named(name, what, moment) for what in (RESTORING, REPLACED))
    with dumps.connect(url, dumps.maintenance(url)) as server:
        users = dumps.others_connected(url)
        if users:
            raise Occupied(
                f"{users} connections to the database {name} are open: a server runs on it"
            )
        try:
            _drop_leftovers(server, name)
            server.execute(sql.SQL("CREATE DATABASE {} {}").format(_id(new), _like(server, name)))
        except psycopg.Error as error:
            raise NotPutBack(
                "a database beside the present one could not be made; the role needs the right "
                f"CREATEDB ({error.diag.message_primary})"
            ) from error
        try:
            dumps.run(
                [dumps.program("pg_restore"), "--exit-on-error", "--single-transaction",
                 "--no-owner", "--no-privileges",
                 f"--dbname={dumps.conninfo(url, new, secret=False)}", str(copy)], url,
            )  # fmt: skip
            with dumps.connect(url, new) as connection:
                wrong = holds.differences(dumps.contents(connection))
            if wrong:
                raise NotPutBack(f"the rows do not agree ({'; '.join(wrong[:3])})")
            replaced = _swap(server, name, new, old)
        except BaseException:
            server.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(_id(new)))
            raise
    return PutBack(holds, replaced)


def _swap(
    server: "psycopg.Connection[tuple[object, ...]]", name: str, new: str, old: str
) -> str | None:
    """Give both databases their new names in one transaction."""
    rename = sql.SQL("ALTER DATABASE {} RENAME TO {}")
    there = _exists(server, name)
    try:
        with server.transaction():
            if there:
                server.execute(rename.format(_id(name), _id(old)))
            server.execute(rename.format(_id(new), _id(name)))
    except psycopg.errors.ObjectInUse as error:
        raise Occupied(f"A server connected to the database {name} meanwhile") from error
    except psycopg.Error as error:
        raise NotPutBack(
            f"the databases could not be renamed ({error.diag.message_primary})"
        ) from error
    return old if there else None


def _drop_leftovers(server: "psycopg.Connection[tuple[object, ...]]", name: str) -> None:
    """Drop what an earlier attempt that was killed left half restored."""
    for left in leftover_databases(server, name):
        server.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(_id(left)))


def leftover_databases(
    server: "psycopg.Connection[tuple[object, ...]]", name: str
) -> list[str]:
    """Databases that a restore made and that never took the place of the present one."""
    begins = _named(name, RESTORING, "")
    found = server.execute(
        "SELECT datname FROM pg_database WHERE starts_with(datname, %s) ORDER BY 1", [begins]
    )
    return [str(row[0]) for row in found]


def _like(server: "psycopg.Connection[tuple[object, ...]]", name: str) -> sql.Composable:
    """How to make a database that sorts and encodes as the present one."""
    row = server.execute(
        "SELECT pg_encoding_to_char(encoding), datcollate, datctype FROM pg_database "
        "WHERE datname = %s AND datlocprovider = 'c'",
        [name],
    ).fetchone()
    if row is None:
        return sql.SQL("TEMPLATE template0")
    return sql.SQL("TEMPLATE template0 ENCODING {} LC_COLLATE {} LC_CTYPE {}").format(
        *(sql.Literal(str(value)) for value in row)
    )


def _exists(server: "psycopg.Connection[tuple[object, ...]]", name: str) -> bool:
    found = server.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name])
    return found.fetchone() is not None


def _named(name: str, what: str, moment: str) -> str:
    ending = f"_{what}_{moment.lower()}"
    return name[: _LONGEST_NAME - len(f"_{RESTORING}_{stamp()}")] + ending


def _id(name: str) -> sql.Identifier:
    return sql.Identifier(name)
