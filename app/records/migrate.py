"""Bring a database up to this program's schema, or refuse one that a newer program made.

The upgrade is one transaction on both databases, with row counts and references compared before it
is committed. An older database is copied first, and the copy is opened and checked; should a SQLite
database not be as it was after a failure, the copy is put back. On PostgreSQL the copy is made
where its own program for that is installed.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import sqlalchemy as sa
from sqlalchemy.engine import URL

from app.errors import AppError, NewerSchema, StorageUnavailable
from app.records.copies import (
    NotOurs,
    back_up_sqlite,
    connection_faults,
    faults,
    open_existing,
    revision_of,
    row_counts,
    stamp,
)
from app.records.database import make_engine
from app.records.places import refuse_shared_disk
from app.records.revisions import current_revision, known_revisions
from app.settings import PROJECT_ROOT, Settings

if TYPE_CHECKING:
    from alembic.config import Config


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
            wrong += connection_faults(connection.connection.dbapi_connection)
        if wrong:
            raise UpgradeFailed(". ".join(wrong))


def _counts(connection: sa.Connection) -> dict[str, int]:
    names = [name for name in sa.inspect(connection).get_table_names() if name != "alembic_version"]
    count = sa.select(sa.func.count())
    return {
        name: int(connection.execute(count.select_from(sa.table(name))).scalar_one())
        for name in names
    }


def migration_config(url: URL, watch: Watch | None = None) -> "Config":
    """What Alembic needs to know, without a file of its own."""
    # Imported here: a start finds the database as it should be and pays nothing for this.
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(PROJECT_ROOT / "migrations").replace("%", "%%"))
    config.attributes["url"] = url
    config.attributes["watch"] = watch
    return config


def _upgrade(url: URL, watch: Watch | None = None) -> None:
    from alembic import command

    command.upgrade(migration_config(url, watch), "head")


def newest_revision() -> str:
    """The revision that this program's tables belong to."""
    if not known_revisions():
        raise UpgradeFailed("The program's folder `migrations` is empty: install it again.")
    return known_revisions()[-1]


def is_current(engine: sa.Engine) -> bool:
    """Whether the database is at this program's revision."""
    with engine.connect() as connection:
        return current_revision(connection) == newest_revision()


def bring_up(settings: Settings) -> BroughtUp:
    """Make a missing database, bring up an older one, leave a current one alone.

    Raises:
        NewerSchema: a newer program made it; nothing was changed.
        UpgradeFailed: an upgrade went wrong; the database is as it was before.
        CopyFailed: it could not be copied first; nothing was changed.
        UnsafePlace: it lies where SQLite can't keep it whole.
        StorageUnavailable: it could not be opened.
    """
    url = settings.url
    if url.get_backend_name() == "sqlite":
        return _bring_up_sqlite(url, settings.backup_dir)
    # Imported here: it brings PostgreSQL's driver with it.
    from app.records.dumps import can_dump, dump_postgresql

    engine = make_engine(url)
    try:
        with engine.connect() as connection:
            before = current_revision(connection)
            theirs = before is None and bool(sa.inspect(connection).get_table_names())
    finally:
        engine.dispose()
    if theirs:
        raise UpgradeFailed(
            f"The database {url.database} holds tables of another program; name an empty one. "
            "Nothing was changed."
        )
    refuse_newer(before)
    head, backup = newest_revision(), None
    if before != head:
        if before is not None and can_dump(url):
            backup = settings.backup_dir / f"{stamp()}-before-{head}.dump"
            dump_postgresql(url, backup)
        try:
            _upgrade(url, Watch())
        except Exception as error:
            raise UpgradeFailed(
                f"The database could not be brought up to {head}: {error} It is as it was before."
            ) from error
    return BroughtUp(before, head, backup)


def refuse_newer(revision: str | None) -> None:
    """Refuse a revision that this program does not know.

    Raises:
        NewerSchema: nothing was changed.
    """
    if revision is None:
        return
    if revision not in known_revisions():
        raise NewerSchema(revision, newest_revision())


def _bring_up_sqlite(url: URL, backup_dir: Path) -> BroughtUp:
    head = newest_revision()
    if not url.database or url.database == ":memory:":
        raise UpgradeFailed("Name a file for the database: one in memory is lost at once.")
    file = Path(url.database)
    refuse_shared_disk(file)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StorageUnavailable(f"the folder {file.parent} could not be made") from error
    before = _sqlite_revision(file)
    refuse_newer(before)
    if before == head:
        return BroughtUp(before, head, None)
    with _one_at_a_time(file):
        before = _sqlite_revision(file)
        if before == head:
            return BroughtUp(before, head, None)
        if before is None:
            _upgrade(url)
            return BroughtUp(None, head, None)
        backup = back_up_sqlite(file, backup_dir, f"before-{head}")
        try:
            _upgrade(url, Watch())
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
    """The revision of a database, read without changing a byte of it; None for none."""
    if not file.exists() or file.stat().st_size == 0:
        return None
    try:
        with closing(open_existing(file, read_only=True)) as connection:
            return revision_of(connection)
    except NotOurs as fact:
        raise UpgradeFailed(f"{file} is a database of another program; choose another.") from fact
    except sqlite3.Error as error:
        raise StorageUnavailable(f"{file} could not be read as a database ({error})") from error


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
