from pathlib import Path

import pytest
from pydantic import ValidationError

from app.settings import PROJECT_ROOT, Settings, default_data_dir


def test_the_database_is_a_file_in_the_data_folder_unless_named(tmp_path: Path) -> None:
    url = Settings(data_dir=tmp_path).url
    assert (url.get_backend_name(), url.database) == ("sqlite", str(tmp_path / "gripledger.db"))
    assert Settings(data_dir=tmp_path).backup_dir == tmp_path / "backups"


@pytest.mark.parametrize("scheme", ["postgresql", "postgresql+psycopg", "postgresql+psycopg2"])
def test_postgresql_gets_the_driver_that_is_installed(scheme: str) -> None:
    url = Settings(database_url=f"{scheme}://ann:secret@db/grip").url
    assert (url.drivername, url.password, url.database) == ("postgresql+psycopg", "secret", "grip")


@pytest.mark.parametrize("url", ["mysql://db/grip", "not an address"])
def test_another_database_is_refused_with_what_would_be_right(url: str) -> None:
    with pytest.raises(ValidationError, match=r"SQLite or PostgreSQL|sqlite:///"):
        Settings(database_url=url)


def test_settings_come_from_the_environment(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("GRIPLEDGER_DATA_DIR", str(tmp_path))
    monkeypatch.setenv("GRIPLEDGER_BODY_LIMIT_BYTES", "5000")
    assert (Settings().data_dir, Settings().body_limit_bytes) == (tmp_path, 5000)


def test_the_data_folder_follows_the_system_s_convention(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert default_data_dir() == tmp_path / "gripledger"
    monkeypatch.delenv("XDG_DATA_HOME")
    assert default_data_dir() == Path.home() / ".local" / "share" / "gripledger"


def test_every_setting_says_what_it_is_for() -> None:
    assert all(field.description for field in Settings.model_fields.values())


def test_the_folders_beside_the_package_are_found() -> None:
    assert (PROJECT_ROOT / "migrations" / "env.py").is_file()
