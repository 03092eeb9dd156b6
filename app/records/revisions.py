"""The revisions of the schema, read from the migrations' own lines.

A server that starts, and one that is asked whether it is ready, need one name out of this folder;
the library that runs migrations takes a fifth of a second to say it.
"""

import re
from functools import cache
from pathlib import Path

import sqlalchemy as sa

from app.settings import PROJECT_ROOT

_LINE = re.compile(r'^(revision|down_revision)(?:: [^=]+)? = (?:"(\w+)"|None)$', re.MULTILINE)


def known_revisions() -> tuple[str, ...]:
    """Every revision that this program knows, the oldest first; empty when the folder is."""
    return _chain(PROJECT_ROOT / "migrations" / "versions")


@cache
def _chain(folder: Path) -> tuple[str, ...]:
    after: dict[str | None, str] = {}
    for file in folder.glob("*.py"):
        found = {name: value or None for name, value in _LINE.findall(file.read_text("utf-8"))}
        revision = found.get("revision")
        if revision is not None:
            after[found.get("down_revision")] = revision
    chain: list[str] = []
    step = after.get(None)
    while step is not None:
        chain.append(step)
        step = after.get(step)
    return tuple(chain)


def current_revision(connection: sa.Connection) -> str | None:
    """The revision that a database is at; None where none was ever made."""
    if not sa.inspect(connection).has_table("alembic_version"):
        return None
    found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    return None if found is None else str(found)
