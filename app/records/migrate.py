"""Bring a database up to this program's schema, or refuse one that a newer program made.

On SQLite an older database is copied first (VACUUM INTO), the copy is opened and checked, and the
upgrade runs in one transaction. When anything is wrong afterwards the copy is put back. On
PostgreSQL the upgrade is one transaction too; copies there are the administrator's.
"""

import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

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


def migration_config(url: URL) -> Config:
    """What Alembic needs to know, without a file of its own."""
    config = Config()
    config.set_main_option("script_location", str(PROJECT_ROOT / "migrations").replace("%", "%%"))
    config.attributes["url"] = url
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
        command.upgrade(migration_config(url), "head")
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
    if not file.exists() or file.stat().st_size == 0:
        command.upgrade(migration_config(url), "head")
        return BroughtUp(None, head, None)
    before = _sqlite_revision(file)
    _refuse_newer(before)
    if before == head:
        return BroughtUp(before, head, None)
    backup = back_up_sqlite(file, backup_dir, f"before-{head}")
    counts = row_counts(backup)
    try:
        command.upgrade(migration_config(url), "head")
        _check_upgraded(file, counts)
    except Exception as error:
        _put_back(backup, file)
        raise UpgradeFailed(
            f"The database could not be brought up to {head}: {error}. It is as it was before; "
            f"a copy is at {backup}."
        ) from error
    return BroughtUp(before, head, backup)


def _sqlite_revision(file: Path) -> str | None:
    """The revision of a database, read without leave to change a byte of it."""
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
        found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check")]
        found = [] if found == ["ok"] else found
        found += [f"{row[0]}: a row points at none" for row in connection.execute(_ORPHANS)]
    return found


_ORPHANS = "PRAGMA foreign_key_check"


def row_counts(file: Path) -> dict[str, int]:
    """Rows of every table of a SQLite database, by the table's name."""
    with closing(sqlite3.connect(file, timeout=60)) as connection:
        names = connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        ).fetchall()
        count = 'SELECT count(*) FROM "{}"'
        return {n: int(connection.execute(count.format(n)).fetchone()[0]) for (n,) in names}


def _check_upgraded(file: Path, counts: dict[str, int]) -> None:
    after = row_counts(file)
    left_over = [name for name in after if name.startswith("_alembic_tmp_")]
    fewer = [name for name, rows in counts.items() if name in after and after[name] < rows]
    trouble = faults(file)
    if left_over or fewer or trouble:
        raise RuntimeError(f"left over {left_over}, rows lost in {fewer}, faults {trouble[:3]}")


def _put_back(backup: Path, file: Path) -> None:
    """The copy's content into the database, through SQLite so that no lock is passed by."""
    with closing(sqlite3.connect(backup)) as source, closing(sqlite3.connect(file)) as target:
        source.backup(target)
