from pathlib import Path

import pytest
from pydantic import ValidationError

from app.settings import (
    LOOPBACK_NAMES,
    PROJECT_ROOT,
    Settings,
    as_host,
    default_data_dir,
    is_loopback,
)


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


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "LOCALHOST", "::1", "[::1]", "0:0::1"])
def test_this_computer_s_own_addresses_are_reached_by_nobody_else(host: str) -> None:
    assert is_loopback(host)
    assert not Settings(host=host).require_sign_in


@pytest.mark.parametrize(
    "host",
    ["0.0.0.0", "::", "192.168.1.5", "bench.lan", "8.8.8.8", "", "127.0.0.1.evil.example"],  # noqa: S104
)
def test_at_any_other_address_everybody_signs_in(host: str) -> None:
    assert not is_loopback(host)
    assert Settings(host=host).require_sign_in


def test_a_name_that_others_use_asks_for_signing_in_as_well() -> None:
    assert Settings(allowed_hosts="bench.lan").require_sign_in
    for own in ("", " , ", "localhost,127.0.0.1", "[::1]"):
        assert not Settings(allowed_hosts=own).require_sign_in


def test_the_names_are_those_allowed_the_address_itself_and_this_computer_s() -> None:
    found = Settings(host="fd00::5", allowed_hosts="Bench.LAN, 192.168.1.5 ,").host_names
    assert found == LOOPBACK_NAMES | {"bench.lan", "192.168.1.5", "[fd00::5]"}
    assert Settings(host="::").host_names == LOOPBACK_NAMES
    assert Settings(host="0.0.0.0").host_names == LOOPBACK_NAMES  # noqa: S104


@pytest.mark.parametrize(
    ("name", "host"), [("::1", "[::1]"), ("[0:0::1]", "[::1]"), ("A.b", "a.b")]
)
def test_a_name_is_compared_as_a_host_header_has_it(name: str, host: str) -> None:
    assert as_host(name) == host


def test_it_is_encrypted_with_both_halves_of_a_certificate_only(tmp_path: Path) -> None:
    assert not Settings(tls_cert=tmp_path / "c").encrypted
    assert not Settings(tls_key=tmp_path / "k").encrypted
    assert Settings(tls_cert=tmp_path / "c", tls_key=tmp_path / "k").encrypted


def test_every_setting_says_what_it_is_for() -> None:
    assert all(field.description for field in Settings.model_fields.values())


def test_the_folders_beside_the_package_are_found() -> None:
    assert (PROJECT_ROOT / "migrations" / "env.py").is_file()


def test_settings_reach_another_process_by_its_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = Settings(
        data_dir=tmp_path,
        port=0,
        allowed_hosts="bench.lan",
        tls_cert=tmp_path / "cert.pem",
        daily_backup=False,
        backup_at="23:59",
    )
    for name, value in told.environment().items():
        monkeypatch.setenv(name, value)
    assert Settings() == told


def test_the_time_of_the_daily_copy_is_a_time_of_day() -> None:
    for wrong in ("3:00", "24:00", "12:60", "noon", "03:00 "):
        with pytest.raises(ValidationError):
            Settings(backup_at=wrong)
