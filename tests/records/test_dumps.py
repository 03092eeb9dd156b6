import os
from pathlib import Path

import psycopg
import pytest
from sqlalchemy.engine import URL, make_url

from app.records import dumps
from app.records.copies import PART, Contents, CopyFailed, NotOurs
from app.records.database import make_engine, writing
from app.records.dumps import can_dump, connect, contents, dump_contents, dump_postgresql, program
from app.records.migrate import newest_revision
from app.services.catalogue import packs
from tests.factories import make_pack
from tests.own_programs import use_own_programs


@pytest.fixture
def url(postgresql_url: str, monkeypatch: pytest.MonkeyPatch) -> URL:
    """A PostgreSQL database with two packs, and its server's own programs on the path."""
    use_own_programs(monkeypatch)
    engine = make_engine(postgresql_url)
    with writing(engine) as session:
        # Signs that a dump's text writes otherwise: the rows are counted by its lines.
        packs.add(session, make_pack("Tab\tand\\. dot", notes="one\ntwo\n\\.\nfour"), by="a")
        packs.add(session, make_pack("Tern 5"), by="a")
    engine.dispose()
    return make_url(postgresql_url)


def test_a_dump_holds_what_the_database_holds(url: URL, tmp_path: Path) -> None:
    copy = tmp_path / "copies" / "copy.dump"
    holds = dump_postgresql(url, copy)
    assert holds.revision == newest_revision()
    assert holds.rows["pack"] == 2
    assert holds.rows["change"] >= 2
    assert holds == dump_contents(copy)
    with connect(url) as connection:
        assert contents(connection) == holds
    assert [p.name for p in copy.parent.iterdir()] == ["copy.dump"]
    assert copy.stat().st_mode & 0o777 == 0o600


def test_rows_are_counted_in_the_moment_that_is_dumped(
    url: URL, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody saves between the count and the dump: the dump still agrees."""
    real = dumps.contents

    def count_and_save(connection: psycopg.Connection) -> Contents:
        found = real(connection)
        engine = make_engine(url)
        with writing(engine) as session:
            packs.add(session, make_pack("Between"), by="a")
        engine.dispose()
        return found

    monkeypatch.setattr(dumps, "contents", count_and_save)
    assert dump_postgresql(url, tmp_path / "copy.dump").rows["pack"] == 2
    assert dump_contents(tmp_path / "copy.dump").rows["pack"] == 2


def test_a_dump_with_other_rows_does_not_count(
    url: URL, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = dumps.dump_contents

    def one_less(copy: Path, restore: str | None = None) -> Contents:
        holds = real(copy, restore)
        return Contents(holds.revision, {**holds.rows, "pack": 1})

    monkeypatch.setattr(dumps, "dump_contents", one_less)
    with pytest.raises(CopyFailed, match="pack has 1 rows of 2"):
        dump_postgresql(url, tmp_path / "copy.dump")
    assert list(tmp_path.glob("copy*")) == []


def test_without_its_program_no_dump_is_made_and_that_is_said(
    url: URL, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert not can_dump(url)
    with pytest.raises(CopyFailed, match=r"pg_dump is not installed.*not on the PATH"):
        dump_postgresql(url, tmp_path / "copy.dump")


def written_program(folder: Path, name: str, text: str) -> None:
    file = folder / name
    file.write_text(f"#!/bin/sh\n{text}\n")
    file.chmod(0o755)


OLD = """
if [ "$1" = --version ]; then echo "pg_dump (PostgreSQL) 9.6.2 (Debian 9.6.2-1)"; exit 0; fi
echo "pg_dump: error: aborting because of server version mismatch" >&2
echo "pg_dump: detail: server version: 18.1; pg_dump version: 9.6.2" >&2
exit 1
"""


@pytest.mark.skipif(os.name == "nt", reason="the program is written for a Unix shell")
def test_a_program_older_than_the_server_is_told(
    url: URL, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written_program(tmp_path, "pg_dump", OLD)
    written_program(tmp_path, "pg_restore", "exit 1")
    assert can_dump(url)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    assert not can_dump(url)
    with pytest.raises(CopyFailed, match=r"older than the server \(server version: 18\.1"):
        dump_postgresql(url, tmp_path / "copy.dump")


@pytest.mark.skipif(os.name == "nt", reason="the program is written for a Unix shell")
def test_a_dump_that_takes_long_says_that_it_goes_on(
    url: URL, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written_program(tmp_path, "pg_dump", 'sleep 0.3; echo "the disk is full" >&2; exit 1')
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    monkeypatch.setattr(dumps, "BEAT_S", 0.05)
    beats: list[int] = []
    with pytest.raises(CopyFailed, match=r"pg_dump stopped \(the disk is full\)"):
        dump_postgresql(url, tmp_path / "copy.dump", beat=lambda: beats.append(1))
    assert len(beats) >= 2
    assert list(tmp_path.glob(f"*{PART}")) == []


def test_a_damaged_dump_is_told_from_a_file_of_another_kind(url: URL, tmp_path: Path) -> None:
    whole = tmp_path / "copy.dump"
    dump_postgresql(url, whole)
    cut = tmp_path / "cut.dump"
    cut.write_bytes(whole.read_bytes()[:-5000])
    with pytest.raises(CopyFailed, match="could not be read to its end"):
        dump_contents(cut)
    letter = tmp_path / "letter.dump"
    letter.write_text("Dear clutch, " * 100)
    with pytest.raises(NotOurs, match="no copy of a PostgreSQL database"):
        dump_contents(letter)


def test_a_database_of_another_program_is_not_dumped(
    empty_postgresql_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    use_own_programs(monkeypatch)
    url = make_url(empty_postgresql_url)
    with pytest.raises(NotOurs):
        dump_postgresql(url, tmp_path / "copy.dump")
    with psycopg.connect(empty_postgresql_url, autocommit=True) as connection:
        connection.execute("CREATE TABLE recipe (id int)")
    with pytest.raises(NotOurs, match="another program"):
        dump_postgresql(url, tmp_path / "copy.dump")
    assert list(tmp_path.iterdir()) == []


def test_the_password_is_in_no_command_line(url: URL) -> None:
    secret = url.set(password="se cret'word")  # noqa: S106  # made up
    assert "cret" not in dumps.conninfo(secret, secret=False)
    assert "cret" in dumps.conninfo(secret)


def test_a_server_that_does_not_answer_is_told(tmp_path: Path) -> None:
    with pytest.raises(CopyFailed, match="did not answer"):
        connect(make_url(f"postgresql://nobody@/none?host={tmp_path}"))


def test_a_missing_program_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(CopyFailed, match="pg_restore is not installed"):
        program("pg_restore")
