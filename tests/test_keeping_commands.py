import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from app.cli import main
from app.records.copies import row_counts
from app.records.in_use import serving
from app.settings import Settings


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder with a new database."""
    monkeypatch.setenv("GRIPLEDGER_DATA_DIR", str(tmp_path / "data"))
    assert run("migrate").exit_code == 0
    return tmp_path / "data"


def run(*words: str, typed: str = "") -> Result:
    return CliRunner().invoke(main, list(words), input=typed)


def add_row(folder: Path) -> None:
    with closing(sqlite3.connect(folder / "gripledger.db")) as connection, connection:
        connection.execute("INSERT INTO submission VALUES ('t', 'pack', 'x', '2026-11-25')")


def rows(folder: Path) -> int:
    return row_counts(folder / "gripledger.db")["submission"]


def test_a_copy_is_made_and_told(folder: Path) -> None:
    done = run("backup")
    assert done.exit_code == 0, done.output
    (copy,) = (folder / "backups").glob("*-by-hand.db")
    assert f"Copied and checked: {copy}" in done.output
    assert "rows in" in done.output


def test_a_copy_goes_into_the_file_that_is_named(folder: Path, tmp_path: Path) -> None:
    assert run("backup", str(tmp_path / "mine.db")).exit_code == 0
    again = run("backup", str(tmp_path / "mine.db"))
    assert again.exit_code == 1
    assert "name another" in again.output
    assert "Traceback" not in again.output


def test_a_copy_comes_back_and_so_does_what_it_replaced(folder: Path, tmp_path: Path) -> None:
    copy = tmp_path / "mine.db"
    run("backup", str(copy))
    add_row(folder)
    done = run("restore", str(copy), "--yes")
    assert done.exit_code == 0, done.output
    assert rows(folder) == 0
    (kept,) = folder.glob("gripledger-replaced-*.db")
    assert f'gripledger restore "{kept}"' in done.output
    back = run("restore", str(kept), "--yes")
    assert back.exit_code == 0, back.output
    assert rows(folder) == 1


def test_it_asks_before_it_replaces(folder: Path, tmp_path: Path) -> None:
    copy = tmp_path / "mine.db"
    run("backup", str(copy))
    add_row(folder)
    assert run("restore", str(copy), typed="n\n").exit_code == 1
    assert rows(folder) == 1
    yes = run("restore", str(copy), typed="y\n")
    assert yes.exit_code == 0, yes.output
    assert "is sound" in yes.output
    assert rows(folder) == 0


def test_it_is_refused_while_a_server_runs(folder: Path, tmp_path: Path) -> None:
    run("backup", str(tmp_path / "mine.db"))
    with serving(Settings().url):
        refused = run("restore", str(tmp_path / "mine.db"), "--yes")
    assert refused.exit_code == 1
    assert "A server runs on" in refused.output
    assert "Nothing was changed" in refused.output


def test_a_copy_can_begin_an_installation(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On another computer there is no database yet."""
    add_row(folder)
    run("backup", str(tmp_path / "mine.db"))
    monkeypatch.setenv("GRIPLEDGER_DATA_DIR", str(tmp_path / "new"))
    done = run("restore", str(tmp_path / "mine.db"), "--yes")
    assert done.exit_code == 0, done.output
    assert rows(tmp_path / "new") == 1
    assert "replaced" not in done.output


def test_what_is_no_copy_is_refused_in_a_sentence(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "letter").write_text("Dear clutch, " * 100)
    for typed in (("restore", str(tmp_path / "letter")), ("restore", str(tmp_path / "none"))):
        refused = run(*typed, "--yes")
        assert refused.exit_code == 1
        assert refused.output.startswith("Error: ")
        assert "Traceback" not in refused.output


def test_the_check_ends_with_a_status_that_scripts_can_read(folder: Path) -> None:
    without = run("check")
    assert without.exit_code == 1
    assert "FAULT newest copy" in without.output
    run("backup")
    good = run("check")
    assert good.exit_code == 0, good.output
    assert good.output.endswith("No fault found.\n")
    with closing(sqlite3.connect(folder / "gripledger.db")) as connection, connection:
        connection.execute("INSERT INTO load_point VALUES (1, 99, 0, 1.0, 2.0)")
    bad = run("check")
    assert bad.exit_code == 1
    assert "a row points at none" in bad.output


def test_a_copy_can_be_checked_alone(folder: Path, tmp_path: Path) -> None:
    run("backup", str(tmp_path / "mine.db"))
    assert run("check", str(tmp_path / "mine.db")).exit_code == 0
    (tmp_path / "mine.db").write_text("spilt oil " * 100)
    assert run("check", str(tmp_path / "mine.db")).exit_code == 1


def test_help_names_them() -> None:
    output = run("--help").output
    for command in ("backup", "restore", "check"):
        assert command in output
