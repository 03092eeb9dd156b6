"""`gripledger check`: everything that the safety of the data rests on, looked at without a change.

Each line says what was looked at and what was found. A fault is something to act on; a note is
something to know.
"""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import psycopg
from sqlalchemy.engine import Engine

from app.errors import AppError
from app.records import dumps, put_back
from app.records.copies import CopyFailed, connection_faults, contents, open_existing
from app.records.database import make_engine, sqlite_pragmas, storage_facts
from app.records.migrate import newest_revision, refuse_newer
from app.records.places import shared_kind
from app.services.members import has_administrator
from app.services.safekeeping import look_through, unfinished
from app.services.safety import OLD_AFTER, safety
from app.settings import LOOPBACK_NAMES, Settings

OK, NOTE, FAULT = "ok", "note", "FAULT"


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that was looked at: how it is, what it is, what was found."""

    state: str
    what: str
    found: str


def check(settings: Settings) -> list[Line]:
    """Look at everything; a part that can't be looked at is a fault of its own."""
    lite = settings.url.get_backend_name() == "sqlite"
    if lite and not Path(str(settings.url.database)).exists():
        missing = f"there is none at {settings.url.database}; `gripledger serve` makes it"
        return [Line(FAULT, "database", missing)]
    parts: list[tuple[str, Callable[[Settings], Iterator[Line]]]] = [
        ("place", _place) if lite else ("server", _server),
        ("database", _sqlite if lite else _postgresql),
        ("copies", _copies),
        ("door", _door),
    ]
    return [line for what, part in parts for line in _guarded(what, part, settings)]


def _guarded(
    what: str, part: Callable[[Settings], Iterator[Line]], settings: Settings
) -> Iterator[Line]:
    try:
        yield from part(settings)
    except AppError as fact:
        yield Line(FAULT, what, fact.message)
    except (OSError, sqlite3.Error, psycopg.Error) as error:
        yield Line(FAULT, what, str(error).strip() or type(error).__name__)


def _line(good: bool, what: str, found: str) -> Line:
    return Line(OK if good else FAULT, what, found)


def _place(settings: Settings) -> Iterator[Line]:
    file = Path(str(settings.url.database))
    kind = shared_kind(file)
    yield _line(
        kind is None,
        "disk",
        f"{file.parent} is local, as far as the system tells"
        if kind is None
        else f"{file.parent} is on a network or shared disk ({kind}), where locks do not hold",
    )
    writable = os.access(file, os.W_OK) and os.access(file.parent, os.W_OK)
    yield _line(writable, "may be written", f"{file}" if writable else f"{file} or its folder: no")
    left = unfinished(settings)
    if left:
        names = ", ".join(path.name for path in left)
        yield Line(NOTE, "left over", f"{names}: half made when a program ended; may be removed")


def _sqlite(settings: Settings) -> Iterator[Line]:
    file = Path(str(settings.url.database))
    with closing(open_existing(file, read_only=True)) as connection:
        wrong = connection_faults(connection)
        yield _line(not wrong, "integrity and references", "; ".join(wrong[:5]) or "sound")
        holds = contents(connection)
        (mode,) = connection.execute("PRAGMA journal_mode").fetchone()
    yield _revision(holds.revision)
    yield Line(OK, "rows", f"{holds.total} in {len(holds.rows)} tables")
    rule = dict(p.split("=") for p in sqlite_pragmas(sqlite3.sqlite_version_info))
    wanted = rule["journal_mode"].lower()
    found = f"{mode}, sync {rule['synchronous']}; SQLite {sqlite3.sqlite_version}"
    yield _line(
        str(mode).lower() == wanted,
        "journal",
        found if str(mode).lower() == wanted else f"{found} wants {wanted}: start the server once",
    )


def _server(settings: Settings) -> Iterator[Line]:
    engine = make_engine(settings.url)
    try:
        facts = storage_facts(engine)
    finally:
        engine.dispose()
    yield Line(OK, "server", f"PostgreSQL {facts['version']}")
    yield _line(
        facts["sync"] != "off",
        "sync",
        f"synchronous_commit is {facts['sync']}"
        + ("" if facts["sync"] != "off" else ": a save may be lost when the power fails"),
    )


def _postgresql(settings: Settings) -> Iterator[Line]:
    url = settings.url
    with dumps.connect(url) as connection:
        for name in ("fsync", "full_page_writes"):
            row = connection.execute("SELECT current_setting(%s)", [name]).fetchone()
            value = str(row[0]) if row else ""
            yield _line(value == "on", name, f"{value}")
        holds = dumps.contents(connection)
        yield _revision(holds.revision)
        yield Line(OK, "rows", f"{holds.total} in {len(holds.rows)} tables")
        loose = connection.execute(
            "SELECT conname FROM pg_constraint WHERE NOT convalidated"
        ).fetchall()
        names = ", ".join(str(name) for (name,) in loose)
        yield _line(not loose, "references", f"not proven: {names}" if loose else "every one holds")
        left = put_back.leftover_databases(connection, str(url.database))
    if left:
        yield Line(NOTE, "left over", f"{', '.join(left)}: half restored; may be dropped")
    able = dumps.can_dump(url)
    yield Line(
        OK if able or not settings.daily_backup else FAULT,
        "pg_dump",
        "found, and new enough for the server"
        if able
        else "none on the PATH that is new enough for the server: no copies can be made here",
    )


def _revision(found: str | None) -> Line:
    newest = newest_revision()
    if found == newest:
        return Line(OK, "revision", newest)
    try:
        refuse_newer(found)
    except AppError as fact:
        return Line(FAULT, "revision", fact.message)
    return Line(NOTE, "revision", f"{found}; the next start brings it to {newest}")


def _copies(settings: Settings) -> Iterator[Line]:
    if not settings.daily_backup:
        yield Line(NOTE, "daily copies", "switched off by GRIPLEDGER_DAILY_BACKUP")
    engine = make_engine(settings.url, must_exist=True)
    try:
        yield _newest_copy(settings, engine)
    finally:
        engine.dispose()


def _newest_copy(settings: Settings, engine: Engine) -> Line:
    with engine.connect() as connection:
        there = engine.dialect.has_table(connection, "backup")
    if not there:
        return Line(NOTE, "newest copy", "the database is older than the list of copies")
    known = safety(engine)
    bad = FAULT if settings.daily_backup else NOTE
    if known.good is None:
        return Line(bad, "newest copy", "none yet; `gripledger backup` makes one")
    if known.lost:
        return Line(FAULT, "newest copy", f"{known.good.file} is gone")
    hours = known.hours or 0
    told = f"{known.good.file}, {hours} hours old"
    if known.old:
        return Line(bad, "newest copy", f"{told}: older than {OLD_AFTER.days * 24} hours")
    return Line(OK, "newest copy", told)


def _door(settings: Settings) -> Iterator[Line]:
    if not settings.require_sign_in:
        yield Line(OK, "reached by", "this computer alone; nobody signs in")
        return
    others = ", ".join(sorted(settings.host_names - LOOPBACK_NAMES))
    yield Line(NOTE, "reached by", f"other computers, as {others or 'nothing that is named yet'}")
    yield _line(
        bool(others),
        "names",
        others or "say which with GRIPLEDGER_ALLOWED_HOSTS",
    )
    if settings.encrypted:
        readable = all(
            path is not None and os.access(path, os.R_OK)
            for path in (settings.tls_cert, settings.tls_key)
        )
        yield _line(readable, "certificate", f"{settings.tls_cert}" + ("" if readable else ": no"))
    else:
        yield _line(
            settings.insecure_lan,
            "certificate",
            "none: passwords can be read on the network, as GRIPLEDGER_INSECURE_LAN allows"
            if settings.insecure_lan
            else "none: give GRIPLEDGER_TLS_CERT and GRIPLEDGER_TLS_KEY",
        )
    engine = make_engine(settings.url, must_exist=True)
    try:
        there = has_administrator(engine)
    finally:
        engine.dispose()
    yield _line(
        there,
        "administrator",
        "there is one" if there else "none: gripledger member add NAME --role admin",
    )


def faults(lines: list[Line]) -> int:
    """How many faults there are."""
    return sum(line.state == FAULT for line in lines)


def look_at_copy(file: Path) -> Line:
    """Check a copy without touching the data in use."""
    try:
        holds = look_through(file)
    except CopyFailed as fact:
        return Line(FAULT, file.name, fact.reason)
    except AppError as fact:
        return Line(FAULT, file.name, fact.message)
    revision = _revision(holds.revision)
    return Line(
        FAULT if revision.state == FAULT else OK,
        file.name,
        f"sound; {holds.total} rows in {len(holds.rows)} tables; revision {revision.found}",
    )
