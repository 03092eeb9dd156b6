"""Bring a database up to this program's schema, or refuse one that a newer program made.

The upgrade is one transaction on both databases, with row counts and references compared before it
is committed. On SQLite an older database is copied first (VACUUM INTO), and the copy is opened and
checked; should the database not be as it was after a failure, the copy is put back. On PostgreSQL
copies are the administrator's.
"""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy.engine import URL

from app.errors import AppError, NewerSchema, StorageUnavailable
from app.records.database import make_engine
from app.settings import PROJECT_ROOT, Settings


class UpgradeFailed(AppError):
    """The database could not be brought up; it is as it was before."""


@dataclass(frozen=True, slots=True)
class BroughtUp:
    """What `bring_up` did: the revisions before and after, and the copy that it made."""

    before: str | None
    after: str
    backup: Path | None


class Watch:
    """Looks at the database inside the upgrade's transaction; what it raises undoes the upgrade."""

    def __init__(self) -> None:
        self.counts: dict[str, int] = {}

    def before(self, connection: sa.Connection) -> None:
        """Count the rows of every table."""
        self.counts = _counts(connection)

    def after(self, connection: sa.Connection) -> None:
        """Refuse an upgrade that lost rows, left something lying, or broke a reference.

        Raises:
            UpgradeFailed: says what is wrong.
        """
        after = _counts(connection)
        wrong = [f"{name} is left over" for name in after if name.startswith("_alembic_tmp_")]
        wrong += [
            f"{name} has {after[name]} rows of {rows}"
            for name, rows in self.counts.items()
            if name in after and after[name] < rows
        ]
        if connection.dialect.name == "sqlite":
            wrong += _sqlite_faults(connection.connection.dbapi_connection)
        if wrong:
            raise UpgradeFailed(". ".join(wrong))


def _counts(connection: sa.Connection) -> dict[str, int]:
    names = [name for name in sa.inspect(connection).get_table_names() if name != "alembic_version"]
    count = sa.select(sa.func.count())
    return {
        name: int(connection.execute(count.select_from(sa.table(name))).scalar_one())
        for name in names
    }


def migration_config(url: URL, watch: Watch | None = None) -> Config:
    """What Alembic needs to know, without a file of its own."""
    config = Config()
    config.set_main_option("script_location", str(PROJECT_ROOT / "migrations").replace("%", "%%"))
    config.attributes["url"] = url
    config.attributes["watch"] = watch
    return config


def newest_revision() -> str:
    """The revision that this program's tables belong to."""
    head = ScriptDirectory(str(PROJECT_ROOT / "migrations")).get_current_head()
    if head is None:
        raise UpgradeFailed("The program's folder `migrations` is empty: install it again.")
    return head


def is_current(engine: sa.Engine) -> bool:
    """Whether the database is at this program's revision."""
    with engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision() == newest_revision()


def bring_up(settings: Settings) -> BroughtUp:
    """Make a missing database, bring up an older one, leave a current one alone.

    Raises:
        NewerSchema: a newer program made it; nothing was changed.
        UpgradeFailed: an upgrade went wrong; the database is as it was before.
        StorageUnavailable: it could not be opened or copied.
    """
    url = settings.url
    if url.get_backend_name() == "sqlite":
        return _bring_up_sqlite(url, settings.backup_dir)
    engine = make_engine(url)
    try:
        with engine.connect() as connection:
            before = MigrationContext.configure(connection).get_current_revision()
    finally:
        engine.dispose()
    _refuse_newer(before)
    head = newest_revision()
    if before != head:
        try:
            command.upgrade(migration_config(url, Watch()), "head")
        except Exception as error:
            raise UpgradeFailed(
                f"The database could not be brought up to {head}: {error} It is as it was before."
            ) from error
    return BroughtUp(before, head, None)


def _refuse_newer(revision: str | None) -> None:
    if revision is None:
        return
    known = {s.revision for s in ScriptDirectory(str(PROJECT_ROOT / "migrations")).walk_revisions()}
    if revision not in known:
        raise NewerSchema(revision, newest_revision())


def _bring_up_sqlite(url: URL, backup_dir: Path) -> BroughtUp:
    head = newest_revision()
    if not url.database or url.database == ":memory:":
        raise UpgradeFailed("Name a file for the database: one in memory is lost at once.")
    file = Path(url.database)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StorageUnavailable(f"the folder {file.parent} could not be made") from error
    before = _sqlite_revision(file)
    _refuse_newer(before)
    if before == head:
        return BroughtUp(before, head, None)
    with _one_at_a_time(file):
        before = _sqlite_revision(file)
        if before == head:
            return BroughtUp(before, head, None)
        if before is None:
            command.upgrade(migration_config(url), "head")
            return BroughtUp(None, head, None)
        backup = back_up_sqlite(file, backup_dir, f"before-{head}")
        try:
            command.upgrade(migration_config(url, Watch()), "head")
        except Exception as error:
            _put_back_if_needed(backup, file, before)
            raise UpgradeFailed(
                f"The database could not be brought up to {head}: {error} "
                f"It is as it was before; a copy is at {backup}."
            ) from error
    return BroughtUp(before, head, backup)


@contextmanager
def _one_at_a_time(file: Path) -> Iterator[None]:
    """Hold a lock that another starting server waits for; it ends with the process that holds it.

    SQLite's own lock on an empty file beside the database does this on every system.
    """
    lock = file.with_name(f"{file.name}.upgrading")
    try:
        with closing(sqlite3.connect(lock, timeout=120, isolation_level=None)) as held:
            held.execute("BEGIN EXCLUSIVE")
            yield
    except sqlite3.OperationalError as error:
        raise StorageUnavailable("another program is bringing the database up") from error


def _sqlite_revision(file: Path) -> str | None:
    """The revision of a database, read without leave to change a byte of it; None for none."""
    if not file.exists() or file.stat().st_size == 0:
        return None
    address = f"{file.resolve().as_uri()}?mode=ro"
    try:
        with closing(sqlite3.connect(address, uri=True, timeout=60)) as connection:
            tables = {n for (n,) in connection.execute("SELECT name FROM sqlite_master")}
            if "alembic_version" not in tables:
                if tables:
                    raise UpgradeFailed(f"{file} is a database of another program; choose another.")
                return None
            found = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.Error as error:
        raise StorageUnavailable(f"{file} could not be read as a database ({error})") from error
    return None if found is None else str(found[0])


def back_up_sqlite(file: Path, folder: Path, why: str) -> Path:
    """A checked copy of a database, made while it may be in use.

    Raises:
        StorageUnavailable: the copy could not be made, or is not sound.
    """
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
    copy = folder / f"{stamp}-{why}.db"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with closing(sqlite3.connect(file, timeout=60)) as connection:
            connection.execute("VACUUM INTO ?", (str(copy),))
        _sync(copy)
        trouble = faults(copy)
        alike = row_counts(copy) == row_counts(file)
    except (sqlite3.Error, OSError) as error:
        raise StorageUnavailable(f"the copy {copy} could not be made ({error})") from error
    if trouble or not alike:
        raise StorageUnavailable(f"the copy {copy} is not sound ({trouble or 'rows are missing'})")
    return copy


def _sync(file: Path) -> None:
    with file.open("rb") as opened:
        os.fsync(opened.fileno())


def faults(file: Path) -> list[str]:
    """What SQLite's own checks find wrong with a database; an empty list when it is sound."""
    with closing(sqlite3.connect(file, timeout=60)) as connection:
        return _sqlite_faults(connection)


def _sqlite_faults(connection: Any) -> list[str]:
    found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check")]
    found = [] if found == ["ok"] else found
    orphans = connection.execute("PRAGMA foreign_key_check")
    return found + [f"{row[0]}: a row points at none" for row in orphans]


def row_counts(file: Path) -> dict[str, int]:
    """Rows of every table of a SQLite database, by the table's name."""
    with closing(sqlite3.connect(file, timeout=60)) as connection:
        names = connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        ).fetchall()
        count = 'SELECT count(*) FROM "{}"'
        return {n: int(connection.execute(count.format(n)).fetchone()[0]) for (n,) in names}


def _put_back_if_needed(backup: Path, file: Path, revision: str) -> None:
    """The copy's content into a database that a failed upgrade did not leave as it was.

    It goes through SQLite, so that no lock is passed by.
    """
    counts = row_counts(file)
    as_it_was = (
        _sqlite_revision(file) == revision
        and not faults(file)
        and all(counts.get(name, -1) >= rows for name, rows in row_counts(backup).items())
    )
    if not as_it_was:
        with closing(sqlite3.connect(backup)) as source, closing(sqlite3.connect(file)) as target:
            source.backup(target)
