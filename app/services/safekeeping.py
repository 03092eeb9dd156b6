"""Keep copies of the data: by hand, one a day, and how long each is kept.

A copy counts once it was opened and checked. Nothing of this is remembered in the process: which
copy is being made stands in the database, the copies themselves in their folder.
"""

import logging
import re
import socket
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy.engine import URL, Engine

from app.errors import AppError, StorageUnavailable
from app.records import backups
from app.records.copies import (
    Contents,
    CopyFailed,
    checked,
    copy_sqlite,
    making_copies,
    parts,
    stamp,
)
from app.records.migrate import is_current
from app.services.sign_in import sign_everybody_out
from app.settings import Settings

if TYPE_CHECKING:  # what speaks to PostgreSQL is imported by what needs it: a start does not
    from app.records.put_back import PutBack

log = logging.getLogger("gripledger.copies")

DAILY_KEPT = 14
MONTHLY_KEPT = 12
_DAILY = re.compile(r"(\d{8})T\d{12,}Z-daily\.(?:db|dump)")


@dataclass(frozen=True, slots=True)
class Made:
    """A copy that was made and checked."""

    file: Path
    holds: Contents
    size: int
    removed: tuple[Path, ...] = ()
    """Older copies that made room for it."""


def ending(url: URL) -> str:
    """Ending of a copy's name: what kind of database it is of."""
    return ".db" if url.get_backend_name() == "sqlite" else ".dump"


def back_up(settings: Settings, engine: Engine, *, by: str, file: Path | None = None) -> Made:
    """Make a checked copy now.

    Args:
        settings: say where the copies are kept.
        engine: the database.
        by: who asks for it.
        file: where to make it; None for the folder of copies.

    Raises:
        CopyFailed: it could not be made, or is not sound; nothing is left of it.
    """
    wanted = file or settings.backup_dir / f"{stamp()}-by-hand{ending(settings.url)}"
    if wanted.exists():
        raise CopyFailed(f"there is a file {wanted} already; name another")
    return _make(settings, engine, _begin(engine, by, wanted), wanted)


def _begin(engine: Engine, by: str, file: Path) -> int | None:
    """Write down that a copy is begun, where the database can take it.

    It can't before it was brought up, nor when its disk is full: then a copy is wanted most.
    """
    try:
        if is_current(engine):
            return backups.begin(engine, by=by, host=host(), file=_plain(file))
    except StorageUnavailable as fact:
        log.warning("the copy could not be written down: %s", fact.reason)
    return None


def back_up_daily(settings: Settings, engine: Engine, day: str) -> Made | None:
    """Make the day's copy unless another server does or did; None where one does or did.

    Raises:
        CopyFailed: as `back_up`.
    """
    if not backups.due(engine, day):
        return None
    wanted = settings.backup_dir / f"{stamp()}-daily{ending(settings.url)}"
    key = backups.begin(engine, by="the server", host=host(), file=_plain(wanted), day=day)
    if key is None:
        return None
    made = _make(settings, engine, key, wanted)
    removed = thin_out(settings.backup_dir, ending(settings.url))
    return Made(made.file, made.holds, made.size, removed)


def day_of(moment: datetime, at: str) -> str:
    """The day whose copy is due at a moment, in the computer's own time.

    Args:
        moment: with its zone.
        at: the time of day at which a day's copy is due, as "03:00".

    >>> day_of(datetime(2026, 11, 25, 2, 59).astimezone(), "03:00")
    '2026-11-24'
    """
    hours, minutes = at.split(":")
    local = moment.astimezone() - timedelta(hours=int(hours), minutes=int(minutes))
    return local.date().isoformat()


def _make(settings: Settings, engine: Engine, key: int | None, file: Path) -> Made:
    try:
        holds = _copy(settings, engine, key, file)
    except AppError as fact:
        log.error("%s", fact.message)
        _write(engine, key, stage="failed", message=fact.message)
        raise
    made = Made(file, holds, file.stat().st_size)
    log.info("copy %s: %s rows, %s bytes, checked", file.name, holds.total, made.size)
    _write(engine, key, stage="good", size=made.size, rows=holds.total)
    return made


def _copy(settings: Settings, engine: Engine, key: int | None, file: Path) -> Contents:
    url = settings.url
    if url.get_backend_name() == "sqlite":
        with ExitStack() as held:
            if file.parent == settings.backup_dir:
                held.enter_context(making_copies(file.parent))
            return copy_sqlite(Path(str(url.database)), file)
    from app.records.dumps import dump_postgresql

    return dump_postgresql(
        url, file, beat=lambda: None if key is None else backups.beat(engine, key)
    )


def _write(engine: Engine, key: int | None, **values: object) -> None:
    """What became of a copy into the database, unless that is what fails."""
    if key is None:
        return
    try:
        backups.end(engine, key, **values)
    except StorageUnavailable as fact:
        log.warning("what became of the copy could not be written down: %s", fact.reason)


def thin_out(folder: Path, ending: str = ".db") -> tuple[Path, ...]:
    """Remove daily copies beyond those that are kept; which ones.

    Kept are the newest of each of the last fourteen days that have one, and the newest of each of
    the last twelve months. Copies made by hand and before an upgrade are never touched.
    """
    days: dict[str, Path] = {}
    months: dict[str, Path] = {}
    found = [p for p in folder.glob(f"*-daily{ending}") if _DAILY.fullmatch(p.name)]
    for file in sorted(found, reverse=True):
        days.setdefault(file.name[:8], file)
        months.setdefault(file.name[:6], file)
    kept = {*list(days.values())[:DAILY_KEPT], *list(months.values())[:MONTHLY_KEPT]}
    removed = [file for file in found if file not in kept]
    for file in removed:
        file.unlink(missing_ok=True)
    return tuple(sorted(removed))


def host() -> str:
    """The name of this computer."""
    return socket.gethostname()


def _plain(file: Path) -> str:
    return str(file.absolute())


def look_through(file: Path) -> Contents:
    """Check a copy without touching the data in use; what it holds.

    Raises:
        CopyFailed: it is damaged.
        NotOurs: it is no copy of a database of this program.
    """
    if not file.is_file():
        raise CopyFailed(f"there is no file {file}")
    from app.records.dumps import dump_contents, is_dump

    return dump_contents(file) if is_dump(file) else checked(file)


def restore(settings: Settings, engine: Engine, file: Path) -> "PutBack":
    """Put a copy back in the database's place; the one that it replaces is kept beside it.

    Raises:
        Occupied: a server runs on the data.
        NotPutBack, NotOurs, NewerSchema: as `put_back`.
    """
    from app.records.put_back import put_back

    done = put_back(settings.url, file)
    engine.dispose()
    # Or a session that has ended since the copy was made would be open again.
    sign_everybody_out(engine)
    if is_current(engine):
        backups.settle_after_put_back(engine, _plain(file))
    return done


def unfinished(settings: Settings) -> list[Path]:
    """Files that a program that was killed left half made."""
    found = parts(settings.backup_dir)
    if settings.url.get_backend_name() == "sqlite":
        file = Path(str(settings.url.database))
        found += sorted(file.parent.glob(f"{file.name}.putting-back*"))
    return found
