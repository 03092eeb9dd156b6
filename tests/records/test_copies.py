import os
import shutil
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy.engine import make_url

from app.records import copies
from app.records.copies import (
    Contents,
    CopyFailed,
    NotOurs,
    back_up_sqlite,
    checked,
    copy_sqlite,
    faults,
    making_copies,
    open_existing,
    parts,
    row_counts,
)
from app.records.migrate import newest_revision
from tests.small_disk import small_disk

INSERT = "INSERT INTO submission VALUES (?, 'pack', 'x', '2026-11-25')"


@pytest.fixture
def file(sqlite_url: str) -> Path:
    return Path(str(make_url(sqlite_url).database))


def fill(file: Path, rows: int) -> None:
    with closing(sqlite3.connect(file)) as connection, connection:
        connection.executemany(INSERT, [(f"{i} {'x' * 500}",) for i in range(rows)])


def dump(file: Path) -> list[str]:
    with closing(sqlite3.connect(file)) as connection:
        return list(connection.iterdump())


def test_a_copy_holds_what_the_database_holds(file: Path, tmp_path: Path) -> None:
    fill(file, 2000)
    copy = tmp_path / "elsewhere" / "copy.db"
    holds = copy_sqlite(file, copy)
    assert holds.revision == newest_revision()
    assert holds.rows["submission"] == 2000
    assert holds == checked(copy)
    assert dump(copy) == dump(file)
    assert [p.name for p in copy.parent.iterdir()] == ["copy.db"]


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such rights on files")
def test_nobody_else_can_read_a_copy(file: Path, tmp_path: Path) -> None:
    copy = back_up_sqlite(file, tmp_path / "copies", "test")
    assert copy.stat().st_mode & 0o777 == 0o600
    assert copy.parent.stat().st_mode & 0o777 == 0o700


def test_a_copy_holds_what_is_still_in_the_journal(file: Path, tmp_path: Path) -> None:
    """A raw copy of the file alone would miss it."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA wal_autocheckpoint=0")
        with connection:
            connection.execute(INSERT, ["t"])
        copy = back_up_sqlite(file, tmp_path / "copies", "test")
        shutil.copy(file, tmp_path / "raw.db")
        assert row_counts(tmp_path / "raw.db")["submission"] == 0
        # The copy is one file, whatever journal the database keeps.
        with copy.open("rb") as opened:
            assert opened.read(20)[18:20] == b"\x01\x01"
    assert row_counts(copy)["submission"] == 1
    assert faults(copy) == []


@pytest.mark.parametrize("mode", ["DELETE", "WAL"])
def test_a_copy_is_one_moment_while_others_write(file: Path, tmp_path: Path, mode: str) -> None:
    """Rows are counted in the moment that is copied, so writers make no copy look unsound."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute(f"PRAGMA journal_mode={mode}")
    fill(file, 1000)
    stop = threading.Event()
    errors: list[BaseException] = []

    def write() -> None:
        with closing(sqlite3.connect(file, timeout=30, isolation_level=None)) as connection:
            n = 0
            while not stop.wait(0.005):
                n += 1
                try:
                    connection.execute(INSERT, [f"new {n}"])
                except sqlite3.Error as error:
                    errors.append(error)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        counts = [
            copy_sqlite(file, tmp_path / f"{i}.db").rows["submission"] for i in range(5)
        ]
    finally:
        stop.set()
        writer.join()
    assert counts == sorted(counts)
    assert counts[0] >= 1000
    assert counts[-1] > counts[0]
    assert errors == []


def test_a_copy_that_can_not_be_made_is_told(file: Path, tmp_path: Path) -> None:
    (tmp_path / "in the way").write_text("a file, not a folder")
    with pytest.raises(CopyFailed, match="could not be written"):
        back_up_sqlite(file, tmp_path / "in the way", "test")
    with pytest.raises(CopyFailed, match="could not be written"):
        copy_sqlite(file, tmp_path / "in the way" / "copy.db")
    with pytest.raises(CopyFailed):
        copy_sqlite(tmp_path / "no such.db", tmp_path / "copy.db")
    assert not (tmp_path / "copy.db").exists()
    assert not (tmp_path / "no such.db").exists()


def test_a_copy_that_is_not_sound_does_not_count(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(copies, "connection_faults", lambda _connection: ["page 3 is never used"])
    with pytest.raises(CopyFailed, match="page 3"):
        back_up_sqlite(file, tmp_path / "copies", "test")
    assert [p.name for p in (tmp_path / "copies").iterdir()] == [copies.MAKING]


def test_a_copy_with_other_rows_does_not_count(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = copies.checked

    def one_less(copy: Path) -> Contents:
        holds = real(copy)
        return Contents(holds.revision, {**holds.rows, "facing": holds.rows["facing"] - 1})

    monkeypatch.setattr(copies, "checked", one_less)
    with pytest.raises(CopyFailed, match=r"facing has \d+ rows of \d+"):
        copy_sqlite(file, tmp_path / "copy.db")
    assert not list(tmp_path.glob("copy.db*"))


def test_what_differs_is_named() -> None:
    one = Contents("a", {"pack": 2, "engine": 1})
    assert one.differences(one) == []
    assert one.differences(Contents("b", {"pack": 1})) == [
        "its revision is b, not a",
        "engine has 0 rows of 1",
        "pack has 1 rows of 2",
    ]
    assert one.total == 3


def test_rows_that_point_at_none_are_faults(file: Path) -> None:
    with closing(sqlite3.connect(file)) as connection, connection:
        connection.execute("INSERT INTO load_point VALUES (1, 99, 0, 1.0, 2.0)")
    assert faults(file) == ["load_point: a row points at none"]


def test_a_damaged_file_is_told_from_one_of_another_kind(file: Path, tmp_path: Path) -> None:
    damaged = tmp_path / "damaged.db"
    fill(file, 3000)
    raw = bytearray(file.read_bytes())
    raw[len(raw) // 2 : len(raw) // 2 + 30_000] = b"\xff" * 30_000
    damaged.write_bytes(raw)
    with pytest.raises(CopyFailed, match=r"not sound|could not be read"):
        checked(damaged)
    letter = tmp_path / "letter.db"
    letter.write_text("Dear clutch, " * 100)
    with pytest.raises(NotOurs, match="not a database"):
        checked(letter)
    recipes = tmp_path / "recipes.db"
    with closing(sqlite3.connect(recipes)) as connection, connection:
        connection.execute("CREATE TABLE recipe (id INTEGER)")
    with pytest.raises(NotOurs, match="another program"):
        checked(recipes)


@pytest.fixture
def two_megabytes(tmp_path: Path) -> Iterator[Path]:
    with small_disk(tmp_path / "small", "2m") as place:
        yield place


def test_a_full_disk_is_told_before_and_while_a_copy_is_made(
    file: Path, two_megabytes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(file, 6000)
    assert file.stat().st_size > 3_000_000
    with pytest.raises(CopyFailed, match=r"has 2\.\d MB free, and the copy takes"):
        copy_sqlite(file, two_megabytes / "copy.db")
    monkeypatch.setattr(copies, "room_for", lambda *_: None)
    with pytest.raises(CopyFailed, match="the disk is full"):
        copy_sqlite(file, two_megabytes / "copy.db")
    assert list(two_megabytes.iterdir()) == []
    assert faults(file) == []


def test_a_disk_without_room_is_told_before_anything_is_written(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        copies.shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(10, 9, 1)  # type: ignore[attr-defined]  # what it gives
    )
    with pytest.raises(CopyFailed, match=r"0\.0 MB free, and the copy takes 0\.\d MB"):
        copy_sqlite(file, tmp_path / "copies" / "copy.db")
    assert list((tmp_path / "copies").iterdir()) == []


def test_what_a_killed_program_left_goes_with_the_next_copy(file: Path, tmp_path: Path) -> None:
    folder = tmp_path / "copies"
    folder.mkdir()
    for name in ("old.db.part", "old.db.part-journal", "kept.db"):
        (folder / name).write_text("half")
    assert [p.name for p in parts(folder)] == ["old.db.part"]
    copy = back_up_sqlite(file, folder, "test")
    assert {p.name for p in folder.iterdir()} == {"kept.db", copies.MAKING, copy.name}


def test_one_copy_at_a_time_is_made_into_a_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(copies, "PATIENCE_S", 0.05)
    told = pytest.raises(CopyFailed, match="another copy is being made")
    with making_copies(tmp_path), told, making_copies(tmp_path):
        pytest.fail("two at one time would take each other's half-made files away")
    with making_copies(tmp_path):
        pass


def test_a_missing_database_is_not_made(tmp_path: Path) -> None:
    with pytest.raises(sqlite3.OperationalError):
        open_existing(tmp_path / "none.db")
    assert list(tmp_path.iterdir()) == []


KILLED = """
import os, sqlite3, sys
connection = sqlite3.connect(sys.argv[1], isolation_level=None)
connection.execute("PRAGMA cache_size=1")
connection.execute("BEGIN IMMEDIATE")
for i in range(5000):
    values = [str(i) * 50]
    connection.execute("INSERT INTO submission VALUES (?, 'pack', 'x', '2026-11-25')", values)
os.kill(os.getpid(), 9)
"""


def test_what_was_half_written_is_taken_back_also_when_only_reading(file: Path) -> None:
    """A program killed in the middle leaves a journal that a mere reader may not play back."""
    before = dump(file)
    subprocess.run([sys.executable, "-c", KILLED, str(file)], check=False)
    assert file.with_name("gripledger.db-journal").stat().st_size > 0
    with closing(open_existing(file, read_only=True)) as connection:
        assert connection.execute("SELECT count(*) FROM submission").fetchone() == (0,)
    assert dump(file) == before
