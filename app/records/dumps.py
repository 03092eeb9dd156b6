"""Copies of a PostgreSQL database, by PostgreSQL's own programs where they are installed.

`pg_dump` reads one moment of the database while it is in use; the rows are counted in that same
moment. The dump is then read through from end to end, and its rows are counted again.
"""

import os
import re
import shutil
import subprocess
from collections.abc import Callable, Iterable
from pathlib import Path

import psycopg
from psycopg import sql
from psycopg.conninfo import make_conninfo
from sqlalchemy.engine import URL

from app.records.copies import (
    PART,
    Contents,
    CopyFailed,
    NotOurs,
    remove_part,
    sync,
    sync_folder,
    told,
)

BEAT_S = 10.0
"""How often a dump that takes long is said to go on."""


def connect(url: URL, database: str | None = None) -> "psycopg.Connection[tuple[object, ...]]":
    """A connection beside the engine's, that commits each statement.

    Raises:
        CopyFailed: the server can't be reached.
    """
    try:
        return psycopg.connect(conninfo(url, database), autocommit=True)
    except psycopg.Error as error:
        raise CopyFailed(f"the database server did not answer ({_first_line(error)})") from error


def conninfo(url: URL, database: str | None = None, *, secret: bool = True) -> str:
    """What PostgreSQL's library calls a connection string."""
    parts: dict[str, str | int | None] = {
        "host": url.host,
        "port": url.port,
        "user": url.username,
        "password": str(url.password) if secret and url.password is not None else None,
        "dbname": database or url.database,
        "application_name": "gripledger copies",
    }
    query = {name: value for name, value in url.query.items() if isinstance(value, str)}
    return make_conninfo("", **{**parts, **query})


def program(name: str) -> str:
    """Where one of PostgreSQL's programs lies.

    Raises:
        CopyFailed: it is not installed here.
    """
    found = shutil.which(name)
    if found is None:
        raise CopyFailed(
            f"{name} is not installed on this computer (it is not on the PATH). Install "
            "PostgreSQL's client programs, of the server's version or newer"
        )
    return found


def can_dump(url: URL) -> bool:
    """Whether this computer has a pg_dump that is new enough for the server."""
    found = shutil.which("pg_dump")
    if found is None:
        return False
    answer = subprocess.run([found, "--version"], capture_output=True, text=True, check=False)  # noqa: S603  # the program found
    version = re.search(r"(\d+)(?:\.\d+)*\s*(?:\(|$)", answer.stdout)
    with connect(url) as connection:
        return version is not None and int(version[1]) >= connection.info.server_version // 10_000


def dump_postgresql(url: URL, copy: Path, beat: Callable[[], None] = lambda: None) -> Contents:
    """Make a checked copy of a database, which may be in use; what it holds.

    Args:
        url: the database.
        copy: the file to make.
        beat: called now and then while it takes long.

    Raises:
        CopyFailed: it could not be made, or is not sound; nothing is left of it.
    """
    part = copy.with_name(copy.name + PART)
    dump, restore = program("pg_dump"), program("pg_restore")
    try:
        copy.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        remove_part(part)
        os.close(os.open(part, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))
        with connect(url) as connection:
            connection.execute("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
            snapshot = connection.execute("SELECT pg_export_snapshot()").fetchone()
            wanted = contents(connection)
            if wanted.revision is None:
                raise NotOurs("The database has no tables of this program.")
            assert snapshot is not None  # noqa: S101  # the function always gives a row
            run(
                [dump, "--format=custom", f"--snapshot={snapshot[0]}", f"--file={part}",
                 f"--dbname={conninfo(url, secret=False)}"],
                url, beat,
            )  # fmt: skip
            connection.execute("ROLLBACK")
        sync(part)
        wrong = wanted.differences(dump_contents(part, restore))
        if wrong:
            raise CopyFailed(f"{copy.name} differs from the database ({'; '.join(wrong[:3])})")
        part.replace(copy)
        sync_folder(copy.parent)
    except OSError as error:
        raise CopyFailed(f"{copy} could not be written ({told(error)})") from error
    except psycopg.Error as error:
        raise CopyFailed(f"the database did not answer ({_first_line(error)})") from error
    finally:
        remove_part(part)
    return wanted


def run(command: list[str], url: URL, beat: Callable[[], None] = lambda: None) -> None:
    """Run one of PostgreSQL's programs to its end; the password goes by the environment.

    Raises:
        CopyFailed: with the program's own words.
    """
    environment = dict(os.environ)
    if url.password is not None:
        environment["PGPASSWORD"] = str(url.password)
    with subprocess.Popen(  # noqa: S603  # PostgreSQL's own, with an address of ours
        command,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        try:
            while True:
                try:
                    _, words = process.communicate(timeout=BEAT_S)
                    break
                except subprocess.TimeoutExpired:
                    beat()
        except BaseException:
            process.kill()
            raise
    if process.returncode != 0:
        name = Path(command[0]).name
        lines = [line for line in words.splitlines() if line.strip()] or ["no reason given"]
        mismatch = next((line for line in lines if "server version: " in line), None)
        if mismatch is not None:
            versions = mismatch.split("detail: ")[-1]
            raise CopyFailed(
                f"{name} on this computer is older than the server ({versions}). Install "
                "PostgreSQL's client programs of the server's version or newer"
            )
        raise CopyFailed(f"{name} stopped ({lines[0].removeprefix(f'{name}: ')})")


def contents(connection: "psycopg.Connection[tuple[object, ...]]") -> Contents:
    """What a database holds: its revision and the rows of its tables.

    Raises:
        NotOurs: it has tables, and none of this program's.
    """
    names = [
        str(name)
        for (name,) in connection.execute(
            "SELECT tablename FROM pg_tables WHERE schemaname = 'public'"
        )
    ]
    if "alembic_version" not in names:
        if names:
            raise NotOurs("It is a database of another program.")
        return Contents(None)
    found = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    count = sql.SQL("SELECT count(*) FROM public.{}")
    rows: dict[str, int] = {}
    for name in names:
        row = connection.execute(count.format(sql.Identifier(name))).fetchone()
        rows[name] = int(str(row[0])) if row else 0
    return Contents(None if found is None else str(found[0]), rows)


def dump_contents(file: Path, restore: str | None = None) -> Contents:
    """What a dump holds, read through from end to end without a server.

    Raises:
        CopyFailed: it is damaged.
        NotOurs: it is no dump, or another program's.
    """
    if not is_dump(file):
        raise NotOurs(f"{file} is no copy of a PostgreSQL database.")
    command = [restore or program("pg_restore"), "--data-only", "--file=-", str(file)]
    with subprocess.Popen(  # noqa: S603  # PostgreSQL's own, on a file
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None  # noqa: S101  # as asked for
        assert process.stderr is not None  # noqa: S101  # as asked for
        found = _count(process.stdout)
        words = process.stderr.read().decode("utf-8", "replace").strip()
    if process.returncode != 0:
        line = words.splitlines()[0] if words else "no reason given"
        raise CopyFailed(f"{file} could not be read to its end ({line})")
    if found.revision is None:
        raise NotOurs(f"{file} is not a copy of a database of this program.")
    return found


def is_dump(file: Path) -> bool:
    """Whether a file begins as pg_dump's own format does."""
    with file.open("rb") as opened:
        return opened.read(5) == b"PGDMP"


_TABLE = re.compile(rb'COPY public\."?(\w+)"? \(.*\) FROM stdin;')


def _count(lines: Iterable[bytes]) -> Contents:
    """Rows of each table in a dump's text: the lines between its COPY and the dot."""
    rows: dict[str, int] = {}
    revision, table = None, None
    for line in lines:
        if table is None:
            begun = _TABLE.fullmatch(line.rstrip(b"\r\n"))
            if begun is not None:
                table = begun[1].decode()
                rows[table] = 0
        elif line.rstrip(b"\r\n") == b"\\.":
            table = None
        else:
            rows[table] += 1
            if table == "alembic_version":
                revision = line.strip().decode()
    return Contents(revision, rows)


def _first_line(error: BaseException) -> str:
    text = str(error).strip()
    return text.splitlines()[0] if text else type(error).__name__


def others_connected(url: URL) -> int:
    """How many other connections a database has."""
    with connect(url, maintenance(url)) as connection:
        row = connection.execute(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = %s", [url.database]
        ).fetchone()
        return int(str(row[0])) if row else 0


def maintenance(url: URL) -> str:
    """A database of the server to work from while ours is swapped."""
    return "template1" if url.database == "postgres" else "postgres"


