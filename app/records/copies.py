"""Copies of a SQLite database: made while it is in use, opened and checked before they count.

A copy is made by SQLite's own backup of one moment of the database, never by copying the file: what
was saved last may still be in a journal beside it. It has another name until it was checked, so a
file with a copy's name is sound, whatever stopped the program.
"""

import os
import shutil
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from app.errors import AppError

PART = ".part"
"""Ending of a copy's name until it was checked."""

MAKING = ".making"
"""Name of the file whose lock is held by whoever makes a copy into a folder."""

PATIENCE_S = 60.0
_PAGES = 4096


class CopyFailed(AppError):
    """No copy was made, or it is not sound; the database is as it was."""

    def __init__(self, reason: str) -> None:
        super().__init__(f"No copy was made: {reason}. The records are as they were.")
        self.reason = reason


class NotOurs(AppError):
    """A file or database is not one of this program's."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What a database holds: its revision, and the rows of every table by its name."""

    revision: str | None
    rows: Mapping[str, int] = field(default_factory=dict)

    @property
    def total(self) -> int:
        """Rows of all tables."""
        return sum(self.rows.values())

    def differences(self, other: "Contents") -> list[str]:
        """What another database holds otherwise, in words."""
        found = []
        if other.revision != self.revision:
            found.append(f"its revision is {other.revision}, not {self.revision}")
        for name in sorted({*self.rows, *other.rows}):
            have, want = other.rows.get(name), self.rows.get(name)
            if (have or 0) != (want or 0):
                found.append(f"{name} has {have or 0} rows of {want or 0}")
        return found


def stamp() -> str:
    """The time in UTC as the names of copies have it; later ones sort after earlier ones."""
    return datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")


def open_existing(file: Path, *, read_only: bool = False) -> sqlite3.Connection:
    """Open a database that is there already; SQLite would make a missing one.

    One with a journal beside it is opened to be written even if it is only to be read: SQLite
    itself has to take back what a killed program left half done.
    """
    read_only = read_only and not any(side.exists() for side in journals(file))
    address = f"{file.resolve().as_uri()}?mode={'ro' if read_only else 'rw'}"
    connection = sqlite3.connect(address, uri=True, timeout=PATIENCE_S, isolation_level=None)
    connection.execute("PRAGMA trusted_schema=OFF")
    return connection


def journals(file: Path) -> list[Path]:
    """Where SQLite keeps what is not in the database's own file yet, or is to be taken back."""
    return [file.with_name(file.name + ending) for ending in ("-journal", "-wal")]


def contents(connection: sqlite3.Connection) -> Contents:
    """What a database holds.

    Raises:
        NotOurs: it has tables, and none of this program's.
    """
    revision, count = revision_of(connection), 'SELECT count(*) FROM "{}"'
    rows = {
        name: int(connection.execute(count.format(name)).fetchone()[0])
        for name in _tables(connection)
    }
    return Contents(revision, rows)


def revision_of(connection: sqlite3.Connection) -> str | None:
    """The revision of a database, None where it has no tables yet.

    Raises:
        NotOurs: it has tables, and none of this program's.
    """
    names = _tables(connection)
    if "alembic_version" not in names:
        if names:
            raise NotOurs("It is a database of another program.")
        return None
    found = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    return None if found is None else str(found[0])


def _tables(connection: sqlite3.Connection) -> list[str]:
    named = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    return [str(name) for (name,) in connection.execute(named)]


def connection_faults(connection: Any) -> list[str]:
    """What SQLite's own checks find wrong; an empty list when the database is sound."""
    found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check")]
    found = [] if found == ["ok"] else found
    orphans = connection.execute("PRAGMA foreign_key_check")
    return found + [f"{row[0]}: a row points at none" for row in orphans]


def faults(file: Path) -> list[str]:
    """What SQLite's own checks find wrong with a database; an empty list when it is sound."""
    with closing(open_existing(file)) as connection:
        return connection_faults(connection)


def row_counts(file: Path) -> Mapping[str, int]:
    """Rows of every table of a database, by the table's name."""
    with closing(open_existing(file)) as connection:
        return contents(connection).rows


def checked(file: Path) -> Contents:
    """What a file holds, when it is a sound database of this program.

    Raises:
        CopyFailed: SQLite's checks find something wrong.
        NotOurs: it is no database, or another program's.
    """
    try:
        with closing(open_existing(file, read_only=True)) as connection:
            wrong = connection_faults(connection)
            if wrong:
                raise CopyFailed(f"{file} is not sound ({'; '.join(wrong[:3])})")
            return contents(connection)
    except sqlite3.DatabaseError as error:
        if getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_NOTADB:
            raise NotOurs(f"{file} is not a database.") from error
        raise CopyFailed(f"{file} could not be read ({error})") from error


def back_up_sqlite(file: Path, folder: Path, why: str) -> Path:
    """A checked copy of a database in a folder of copies, made while it may be in use.

    Raises:
        CopyFailed: the copy could not be made, or is not sound.
    """
    copy = folder / f"{stamp()}-{why}.db"
    with making_copies(folder):
        copy_sqlite(file, copy)
    return copy


def copy_sqlite(file: Path, copy: Path) -> Contents:
    """Make a checked copy of a database, which may be in use; what it holds.

    Rows are counted in the same moment of the database that is copied. Where SQLite keeps a
    rollback journal, saves wait for as long as the copying takes.

    Raises:
        CopyFailed: it could not be made, or is not sound; nothing is left of it.
    """
    part = copy.with_name(copy.name + PART)
    try:
        room_for(file.stat().st_size, copy.parent)
        _make_private(part)
        with closing(open_existing(file)) as source, closing(sqlite3.connect(part)) as target:
            source.execute("BEGIN")
            wanted = contents(source)
            target.execute("PRAGMA synchronous=OFF")  # synced as a whole, below
            source.backup(target, pages=_PAGES)
            # One file without a journal beside it, whatever the source has.
            target.execute("PRAGMA journal_mode=DELETE")
            source.rollback()
        sync(part)
        wrong = wanted.differences(checked(part))
        if wrong:
            raise CopyFailed(f"{copy.name} differs from the database ({'; '.join(wrong[:3])})")
        part.replace(copy)
        sync_folder(copy.parent)
    except (sqlite3.Error, OSError) as error:
        raise CopyFailed(f"{copy} could not be written ({told(error)})") from error
    finally:
        remove_part(part)
    return wanted


def told(error: BaseException) -> str:
    """An error of the system or of SQLite in few words."""
    if isinstance(error, OSError) and error.strerror:
        return error.strerror.lower()
    if getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_FULL:
        return "the disk is full"
    return str(error)


def room_for(size: int, folder: Path) -> None:
    """Refuse to begin a copy that has no room.

    Raises:
        CopyFailed: says how much there is and how much it takes.
    """
    folder.mkdir(parents=True, exist_ok=True)
    free = shutil.disk_usage(folder).free
    if free < size:
        have, want = (f"{n / 1e6:.1f} MB" for n in (free, size))
        raise CopyFailed(f"the disk with {folder} has {have} free, and the copy takes {want}")


@contextmanager
def making_copies(folder: Path) -> Iterator[None]:
    """Hold the place of the one who makes copies into a folder, and tidy up after the last.

    What a killed program left half made goes first: nobody else is making one.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        lock = sqlite3.connect(folder / MAKING, timeout=PATIENCE_S, isolation_level=None)
    except (OSError, sqlite3.Error) as error:
        raise CopyFailed(f"the folder {folder} could not be written ({told(error)})") from error
    with closing(lock):
        try:
            lock.execute("BEGIN EXCLUSIVE")
        except sqlite3.Error as error:
            raise CopyFailed(
                f"another copy is being made into {folder}, or it may not be written ({error})"
            ) from error
        for left in parts(folder):
            remove_part(left)
        yield


def parts(folder: Path) -> list[Path]:
    """Copies in a folder that were not finished."""
    return sorted(p for p in folder.glob(f"*{PART}") if p.is_file())


def remove_part(part: Path) -> None:
    """Take away what is left of a copy that was not finished."""
    for ending in ("", "-journal", "-wal", "-shm"):
        with suppress(OSError):  # its folder may be gone, or be none
            part.with_name(part.name + ending).unlink(missing_ok=True)


def _make_private(file: Path) -> None:
    """An empty file that nobody else can read: copies hold what the database holds."""
    remove_part(file)
    os.close(os.open(file, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))


def sync(file: Path) -> None:
    """Have the disk take a file's content."""
    with file.open("rb") as opened:
        os.fsync(opened.fileno())


def sync_folder(folder: Path) -> None:
    """Have the disk take a folder's names, on systems where a folder can be opened."""
    if os.name == "nt":
        return
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
