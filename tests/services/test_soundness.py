import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import psycopg
import pytest
import sqlalchemy as sa
from alembic import command
from sqlalchemy.engine import make_url

from app.records.backups import BACKUP
from app.records.base import now
from app.records.database import make_engine
from app.records.migrate import migration_config, newest_revision
from app.services import soundness
from app.services.safekeeping import back_up
from app.services.soundness import FAULT, NOTE, OK, Line, check, faults, look_at_copy
from app.services.starting import open_engine
from app.settings import Settings
from tests.own_programs import use_own_programs


@pytest.fixture(autouse=True)
def _programs(monkeypatch: pytest.MonkeyPatch) -> None:
    use_own_programs(monkeypatch)


def found(settings: Settings) -> dict[str, Line]:
    return {line.what: line for line in check(settings)}


def back_up_now(settings: Settings) -> Path:
    engine = open_engine(settings)
    made = back_up(settings, engine, by="a")
    engine.dispose()
    return made.file


def in_order(settings: Settings) -> Settings:
    """The test's database with a copy, and on PostgreSQL with the settings of a real server."""
    engine = open_engine(settings)
    if engine.dialect.name == "sqlite":
        engine.connect().close()  # takes the journal that the rule names
    engine.dispose()
    back_up_now(settings)
    return settings


# The tests' own server waits for no disk, which is a fault anywhere else.
HURRIED = {"fsync", "full_page_writes", "sync"}


def test_all_in_order_is_no_fault(settings: Settings) -> None:
    lines = check(in_order(settings))
    wrong = [line for line in lines if line.state == FAULT and line.what not in HURRIED]
    assert wrong == []
    assert {"revision", "rows", "newest copy", "reached by"} <= {line.what for line in lines}
    assert faults([line for line in lines if line.what not in HURRIED]) == 0


def test_a_server_that_waits_for_no_disk_is_a_fault(postgresql_url: str, tmp_path: Path) -> None:
    lines = found(Settings(data_dir=tmp_path, database_url=postgresql_url))
    assert {lines[name].state for name in HURRIED} == {FAULT}
    assert "may be lost" in lines["sync"].found


def test_looking_changes_nothing(sqlite_url: str, tmp_path: Path) -> None:
    settings = in_order(Settings(data_dir=tmp_path, database_url=sqlite_url))
    file = Path(str(settings.url.database))
    before = file.read_bytes()
    check(settings)
    assert file.read_bytes() == before


def test_no_database_is_a_fault_and_none_is_made(tmp_path: Path) -> None:
    (line,) = check(Settings(data_dir=tmp_path / "none"))
    assert line.state == FAULT
    assert "gripledger serve" in line.found
    assert not (tmp_path / "none").exists()


def test_no_copy_and_an_old_one_are_faults(settings: Settings) -> None:
    assert found(settings)["newest copy"].state == FAULT
    off = settings.model_copy(update={"daily_backup": False})
    assert found(off)["newest copy"].state == NOTE
    assert found(off)["daily copies"].state == NOTE
    file = back_up_now(settings)
    assert found(settings)["newest copy"] == Line(OK, "newest copy", f"{file}, 0 hours old")
    engine = make_engine(settings.url)
    with engine.begin() as connection:
        old = now() - timedelta(hours=49)
        connection.execute(sa.update(BACKUP).values(ended_at=old))
    engine.dispose()
    assert found(settings)["newest copy"].state == FAULT
    assert "49 hours old: older than 48" in found(settings)["newest copy"].found
    file.unlink()
    assert "is gone" in found(settings)["newest copy"].found


def test_an_older_revision_is_a_note_and_a_newer_one_a_fault(settings: Settings) -> None:
    command.downgrade(migration_config(settings.url), "e61b0d94f3a5")
    lines = found(settings)
    assert lines["revision"].state == NOTE
    assert newest_revision() in lines["revision"].found
    assert lines["newest copy"].state == NOTE
    engine = make_engine(settings.url)
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = 'ffff00001111'")
    engine.dispose()
    assert found(settings)["revision"].state == FAULT


def test_rows_that_point_at_none_are_a_fault(sqlite_url: str, tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, database_url=sqlite_url)
    with closing(sqlite3.connect(str(settings.url.database))) as connection, connection:
        connection.execute("INSERT INTO load_point VALUES (1, 99, 0, 1.0, 2.0)")
    line = found(settings)["integrity and references"]
    assert line == Line(FAULT, "integrity and references", "load_point: a row points at none")


def test_references_that_are_not_proven_are_a_fault(postgresql_url: str, tmp_path: Path) -> None:
    with psycopg.connect(postgresql_url, autocommit=True) as connection:
        connection.execute("ALTER TABLE spring DROP CONSTRAINT fk_spring_pack_id_pack")
        connection.execute(
            "ALTER TABLE spring ADD CONSTRAINT fk_spring_pack_id_pack "
            "FOREIGN KEY (pack_id) REFERENCES pack (id) NOT VALID"
        )
    line = found(Settings(data_dir=tmp_path, database_url=postgresql_url))["references"]
    assert line.state == FAULT
    assert "fk_spring_pack_id_pack" in line.found


def test_another_journal_than_the_rule_says_is_a_fault(sqlite_url: str, tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, database_url=sqlite_url)
    rule = dict(p.split("=") for p in soundness.sqlite_pragmas(sqlite3.sqlite_version_info))
    other = "DELETE" if rule["journal_mode"] == "WAL" else "WAL"
    with closing(sqlite3.connect(str(settings.url.database))) as connection:
        connection.execute(f"PRAGMA journal_mode={other}")
    line = next(line for line in soundness._sqlite(settings) if line.what == "journal")
    assert line.state == FAULT
    assert f"{other.lower()}, sync" in line.found


def test_a_shared_disk_and_leftovers_are_told(
    sqlite_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = Settings(data_dir=tmp_path, database_url=sqlite_url)
    monkeypatch.setattr(soundness, "shared_kind", lambda _file: "nfs4")
    (tmp_path / "gripledger.db.putting-back").write_text("half")
    lines = found(settings)
    assert lines["disk"].state == FAULT
    assert "nfs4" in lines["disk"].found
    assert lines["left over"].state == NOTE
    assert "gripledger.db.putting-back" in lines["left over"].found


def test_a_database_left_by_a_restore_is_told(postgresql_url: str, tmp_path: Path) -> None:
    name = make_url(postgresql_url).database
    with psycopg.connect(postgresql_url, autocommit=True) as connection:
        left = f"{name}_restoring_20261125t000000000000z"
        connection.execute(f'CREATE DATABASE "{left}"')
        line = found(Settings(data_dir=tmp_path, database_url=postgresql_url))["left over"]
        connection.execute(f'DROP DATABASE "{left}"')
    assert line.state == NOTE
    assert left in line.found


def test_without_its_program_no_copies_can_be_made(
    postgresql_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert found(Settings(data_dir=tmp_path, database_url=postgresql_url))["pg_dump"].state == FAULT


def test_a_database_that_can_not_be_read_is_a_fault_and_not_a_trace(tmp_path: Path) -> None:
    (tmp_path / "gripledger.db").write_text("not a database " * 100)
    lines = check(Settings(data_dir=tmp_path))
    assert faults(lines) >= 1
    assert any("not a database" in line.found for line in lines)
    silent = Settings(data_dir=tmp_path, database_url=f"postgresql://nobody@/none?host={tmp_path}")
    assert found(silent)["server"].state == FAULT
    assert found(silent)["database"].state == FAULT


def test_a_door_to_others_needs_names_a_certificate_and_an_administrator(
    sqlite_url: str, tmp_path: Path
) -> None:
    settings = Settings(data_dir=tmp_path, database_url=sqlite_url, host="0.0.0.0")  # noqa: S104  # to be looked at
    open_door = settings.model_copy(update={"allowed_hosts": "bench.lan"})
    lines = found(open_door)
    assert lines["certificate"].state == FAULT
    assert lines["administrator"].state == FAULT
    assert lines["names"] == Line(OK, "names", "bench.lan")
    in_plain = open_door.model_copy(update={"insecure_lan": True})
    assert found(in_plain)["certificate"].state == OK
    assert "can be read" in found(in_plain)["certificate"].found
    paths = {"tls_cert": tmp_path / "cert.pem", "tls_key": tmp_path / "key.pem"}
    missing = open_door.model_copy(update=paths)
    assert found(missing)["certificate"].state == FAULT
    for path in paths.values():
        path.write_text("PEM")
    assert found(missing)["certificate"].state == OK


def test_a_copy_is_looked_through_without_the_data_in_use(
    settings: Settings, tmp_path: Path
) -> None:
    file = back_up_now(settings)
    assert look_at_copy(file).state == OK
    assert newest_revision() in look_at_copy(file).found
    whole = file.read_bytes()
    file.write_bytes(whole[: len(whole) // 2])
    assert look_at_copy(file).state == FAULT
    assert look_at_copy(tmp_path / "none").state == FAULT
    letter = tmp_path / "letter"
    letter.write_text("Dear clutch, " * 100)
    assert look_at_copy(letter) == Line(FAULT, "letter", f"{letter} is not a database.")
