"""What goes wrong with the storage while a server runs: told in a sentence, and nothing lost.

Each trouble is real where that can be had: a disk that is full or may not be written (a small one
is mounted, which an administrator may), a lock that another holds, a database that goes away.
"""

import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from pathlib import Path

import psycopg
import pytest
import sqlalchemy as sa
from sqlalchemy import event
from sqlalchemy.engine import make_url
from starlette.testclient import TestClient

from app.main import create_app
from app.records.copies import faults
from app.records.dumps import maintenance
from app.records.migrate import bring_up
from app.services.starting import prepare
from app.settings import Settings
from tests.factories import make_pack
from tests.small_disk import small_disk
from tests.web.routes.boxes import boxes
from tests.web.routes.conftest import PACK

ADDRESS = "http://localhost:8000"
# So long that it does not fit into what is free on the pages that there are.
NOTES = "Line one\nline two, with \"signs\" & <more>\n" + "and much more of it " * 90
TYPED = {"name": "Typed with care", "notes": NOTES}

Trouble = Callable[["Server"], AbstractContextManager[None]]


class Server:
    """The application, and what a browser without script does with it."""

    def __init__(self, settings: Settings, client: TestClient) -> None:
        self.settings = settings
        self.client = client

    @property
    def engine(self) -> sa.Engine:
        found: sa.Engine = self.client.app.state.engine  # type: ignore[attr-defined]  # the client does not say which application it holds
        return found

    @property
    def file(self) -> Path:
        return Path(str(self.settings.url.database))

    def blank(self) -> dict[str, str]:
        return boxes(self.client.get("/packs/new").text, "/packs/new")

    def send(self, form: dict[str, str]) -> tuple[int, str]:
        answer = self.client.post("/packs/new", data=form)
        return answer.status_code, answer.text

    def names(self) -> list[str]:
        answer = self.client.get("/api/v1/packs").json()
        return [record["name"] for record in answer["items"]]


@contextmanager
def serve(settings: Settings) -> Iterator[Server]:
    impatient = settings.model_copy(update={"busy_timeout_ms": 300})
    client = TestClient(
        create_app(impatient),
        base_url=ADDRESS,
        follow_redirects=False,
        headers={"Origin": ADDRESS},
    )
    with client:
        yield Server(settings, client)


@pytest.fixture
def server(settings: Settings) -> Iterator[Server]:
    with serve(settings) as found:
        yield found


def lite(server: Server) -> bool:
    return server.engine.dialect.name == "sqlite"


@contextmanager
def administrator(server: Server, database: str | None = None) -> Iterator[psycopg.Connection]:
    url = server.settings.url.set(drivername="postgresql")
    if database is not None:
        url = url.set(database=database)
    with psycopg.connect(url.render_as_string(hide_password=False), autocommit=True) as found:
        yield found


@contextmanager
def full(server: Server) -> Iterator[None]:
    """No room for another page; on PostgreSQL its own error of a full disk, from a trigger."""
    if lite(server):

        def no_more(connection: sqlite3.Connection, _record: object) -> None:
            (pages,) = connection.execute("PRAGMA page_count").fetchone()
            connection.execute(f"PRAGMA max_page_count={pages}")

        event.listen(server.engine, "connect", no_more)
        server.engine.dispose()
        with closing(sqlite3.connect(server.file)) as filler, filler:
            # Free pages would be taken first.
            filler.execute("VACUUM")
        yield
        event.remove(server.engine, "connect", no_more)
        server.engine.dispose()
        return
    with administrator(server) as connection:
        connection.execute(
            "CREATE FUNCTION full_disk() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            "RAISE 'could not extend file: No space left on device' USING ERRCODE = '53100'; "
            "END $$"
        )
        connection.execute(
            "CREATE TRIGGER full_disk BEFORE INSERT ON pack EXECUTE FUNCTION full_disk()"
        )
        yield
        connection.execute("DROP TRIGGER full_disk ON pack")


@contextmanager
def locked(server: Server) -> Iterator[None]:
    """Somebody else is saving, and goes on for longer than one waits."""
    if lite(server):
        with closing(sqlite3.connect(server.file, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            yield
        return
    with administrator(server) as other, other.transaction():
        other.execute("LOCK TABLE catalogue_revision IN SHARE ROW EXCLUSIVE MODE")
        yield


@contextmanager
def gone(server: Server) -> Iterator[None]:
    """The database's folder vanishes, or the server ends every connection and finds it no more."""
    if lite(server):
        away = server.file.with_name("elsewhere.db")
        server.engine.dispose()
        server.file.rename(away)
        yield
        assert not server.file.exists(), "an empty database was made in its place"
        away.rename(server.file)
        return
    name = str(server.settings.url.database)
    with administrator(server, maintenance(server.settings.url)) as connection:
        connection.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [name]
        )
        connection.execute(f'ALTER DATABASE "{name}" RENAME TO "{name}_away"')
        yield
        connection.execute(f'ALTER DATABASE "{name}_away" RENAME TO "{name}"')


@contextmanager
def only_read(server: Server) -> Iterator[None]:
    """PostgreSQL may only be read, as a copy that follows another server."""
    if lite(server):
        pytest.skip("on SQLite this is a disk of its own, below")
    name = str(server.settings.url.database)
    with administrator(server) as connection:
        connection.execute(f'ALTER DATABASE "{name}" SET default_transaction_read_only = on')
        server.engine.dispose()
        yield
    with administrator(server) as connection:
        connection.execute("SET default_transaction_read_only = off")
        connection.execute(f'ALTER DATABASE "{name}" RESET default_transaction_read_only')
    server.engine.dispose()


def holds_what_was_typed(text: str) -> None:
    assert 'value="Typed with care"' in text
    assert "line two, with &#34;signs&#34; &amp; &lt;more&gt;" in text
    assert "Nothing was saved" in text


@pytest.mark.parametrize(
    ("trouble", "told"),
    [
        (full, "the disk is full|run out of room"),
        (locked, "somebody else was saving"),
        (gone, "could not be opened|connection to the database was lost|not there any more"),
        (only_read, "may only be read"),
    ],
)
def test_a_save_that_fails_is_told_and_can_be_made_again(
    server: Server, trouble: Trouble, told: str
) -> None:
    form = {**server.blank(), **PACK, **TYPED}
    with trouble(server):
        status, text = server.send(form)
        assert status == 503
        assert _found(told, text), text[:3000]
        holds_what_was_typed(text)
        if trouble is not only_read:  # a default that a connection used before may not have
            document = make_pack("By a script", notes=NOTES).written()
            answer = server.client.post("/api/v1/packs", json=document)
            assert answer.status_code == 503
            assert answer.headers["content-type"] == "application/problem+json"
            assert _found(told, answer.json()["detail"])
    # The form that the refusal brought is sent as it is; sent twice it is still one record.
    again = boxes(text, "/packs/new")
    assert server.send(again)[0] == 303
    assert server.send(again)[0] == 303
    assert server.names() == ["Typed with care"]
    if lite(server):
        assert faults(server.file) == []


def _found(told: str, text: str) -> bool:
    return any(part in text for part in told.split("|"))


def fill(file: Path) -> None:
    """Write until there is no room."""
    with file.open("wb", buffering=0) as opened:
        while True:
            if opened.write(b"x" * 4096) < 4096:
                raise OSError("No space left for a whole page")


def test_a_disk_that_is_really_full_loses_nothing(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", "3m") as disk:
        settings = Settings(data_dir=disk)
        prepare(settings)
        with serve(settings) as server:
            form = {**server.blank(), **PACK}
            assert server.send({**form, "name": "Before"})[0] == 303
            filler = disk / "filler"
            with pytest.raises(OSError, match="No space left"):
                fill(filler)
            status, text = server.send({**server.blank(), **PACK, **TYPED})
            assert status == 503
            assert "the disk is full" in text
            holds_what_was_typed(text)
            copy = server.client.post("/about/backup", data={})
            assert copy.status_code == 503
            assert "No copy was made" in copy.text
            assert server.names() == ["Before"]
            filler.unlink()
            assert server.send(boxes(text, "/packs/new"))[0] == 303
            assert server.names() == ["Before", "Typed with care"]
            assert server.client.post("/about/backup", data={}).status_code == 303
        assert faults(server.file) == []


def test_a_disk_that_may_only_be_read_still_shows_the_records(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", "8m") as disk:
        settings = Settings(data_dir=disk)
        prepare(settings)
        with serve(settings) as server:
            assert server.send({**server.blank(), **PACK, "name": "Before"})[0] == 303
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        bring_up(settings)
        with serve(settings) as server:
            assert server.names() == ["Before"]
            status, text = server.send({**server.blank(), **PACK, **TYPED})
            assert status == 503
            assert "may not be written" in text or "may only be read" in text
            holds_what_was_typed(text)
            assert server.client.post("/about/backup", data={}).status_code == 503
        subprocess.run(["mount", "-o", "remount,rw", str(disk)], check=True)


def test_a_new_server_on_a_folder_that_vanished_says_so(tmp_path: Path) -> None:
    """Its health check tells; a page is a sentence; no empty database takes the old one's place."""
    folder = tmp_path / "data"
    settings = Settings(data_dir=folder)
    prepare(settings)
    with serve(settings) as server:
        server.engine.dispose()
        folder.rename(tmp_path / "away")
        assert server.client.get("/healthz").status_code == 503
        assert "could not be opened" in server.client.get("/packs").text
        assert not folder.exists()
        (tmp_path / "away").rename(folder)
        assert server.client.get("/healthz").status_code == 200


def test_a_file_that_is_moved_under_an_open_connection_takes_no_more_saves(
    tmp_path: Path,
) -> None:
    """SQLite would go on writing to where the file went; it is told, and nobody is misled."""
    settings = Settings(data_dir=tmp_path / "data")
    prepare(settings)
    with serve(settings) as server:
        form = {**server.blank(), **PACK, **TYPED}
        server.file.rename(tmp_path / "elsewhere.db")
        status, text = server.send(form)
        assert status == 503
        assert _found("moved or removed|could not be opened", text)
        holds_what_was_typed(text)
        assert not server.file.exists()


def test_the_database_of_another_program_is_left_alone(empty_postgresql_url: str) -> None:
    with psycopg.connect(empty_postgresql_url, autocommit=True) as connection:
        connection.execute("CREATE TABLE recipe (id int)")
        connection.execute("INSERT INTO recipe VALUES (1)")
    settings = Settings(database_url=empty_postgresql_url)
    with pytest.raises(Exception, match="another program"):
        bring_up(settings)
    engine = sa.create_engine(make_url(empty_postgresql_url).set(drivername="postgresql+psycopg"))
    assert sa.inspect(engine).get_table_names() == ["recipe"]
    engine.dispose()
