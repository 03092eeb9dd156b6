"""Whether a server runs on a SQLite database, told by a lock that ends with the process.

The lock is SQLite's own, on an empty file beside the database: it works on every system, and
nothing is left of it however a server ends. On PostgreSQL the server itself knows who is connected.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy.engine import URL

from app.errors import AppError

SERVING = ".serving"


class Occupied(AppError):
    """Something was not done because the data are in use."""

    def __init__(self, user: str) -> None:
        super().__init__(f"{user}. Stop it first, then try again. Nothing was changed.")


@contextmanager
def serving(url: URL) -> Iterator[None]:
    """Mark a database as one that a server runs on, while it does.

    Where the folder may not be written the mark is left out: nobody can replace the database there
    either.
    """
    if url.get_backend_name() != "sqlite" or not url.database:
        yield
        return
    try:
        lock = _open(Path(url.database), timeout=10)
        lock.execute("BEGIN")
        lock.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except sqlite3.Error:
        yield
        return
    with closing(lock):
        yield


@contextmanager
def alone(file: Path) -> Iterator[None]:
    """Keep servers away from a SQLite database while it is replaced.

    Raises:
        Occupied: a server runs on it.
    """
    with closing(_open(file, timeout=0)) as lock:
        try:
            lock.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as error:
            raise Occupied(f"A server runs on {file}, or its folder may not be written") from error
        yield


def _open(file: Path, timeout: float) -> sqlite3.Connection:
    return sqlite3.connect(
        file.with_name(file.name + SERVING),
        timeout=timeout,
        isolation_level=None,
        check_same_thread=False,
    )
