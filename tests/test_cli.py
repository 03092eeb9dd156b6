import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from app.cli import is_loopback, listen, main, with_address
from app.settings import PROJECT_ROOT, Settings


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("GRIPLEDGER_DATA_DIR", str(tmp_path / "data"))
    return tmp_path / "data"


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.168.1.5", "gripledger.example", "8.8.8.8"])  # noqa: S104 - they are to be refused
def test_only_this_computer_may_reach_it(folder: Path, host: str) -> None:
    result = CliRunner().invoke(main, ["serve", "--host", host, "--port", "0"])
    assert result.exit_code == 1
    assert "no accounts yet" in result.output
    assert "--host 127.0.0.1" in result.output
    assert not folder.exists()


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "::1"])
def test_its_own_addresses_are_taken(host: str) -> None:
    assert is_loopback(host)
    assert with_address(Settings(), f"[{host}]", 0).host == host


def test_a_host_from_the_settings_is_held_to_the_same_rule() -> None:
    with pytest.raises(click.ClickException, match="other computers"):
        with_address(Settings(host="0.0.0.0"), None, None)  # noqa: S104 - it is to be refused


def test_a_taken_port_is_said_plainly_before_anything_is_made(folder: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        result = CliRunner().invoke(main, ["serve", "--port", str(port)])
    assert result.exit_code == 1
    assert f"Port {port}" in result.output
    assert "--port" in result.output
    assert not folder.exists()


def test_port_0_is_any_free_one() -> None:
    with listen(with_address(Settings(), "127.0.0.1", 0)) as listener:
        assert listener.getsockname()[1] > 0


def test_migrate_makes_the_database_and_says_so(folder: Path) -> None:
    first = CliRunner().invoke(main, ["migrate"])
    assert first.exit_code == 0
    assert "A new database was made" in first.output
    assert (folder / "gripledger.db").exists()
    again = CliRunner().invoke(main, ["migrate"])
    assert "already" in again.output


def test_a_database_that_cannot_be_brought_up_is_a_sentence(folder: Path) -> None:
    folder.mkdir()
    (folder / "gripledger.db").write_bytes(b"not a database" * 100)
    result = CliRunner().invoke(main, ["migrate"])
    assert result.exit_code == 1
    assert result.output.startswith("Error: ")
    assert "Traceback" not in result.output


@pytest.fixture(params=["serve", "demo"])
def served(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[str, Path]]:
    """The address of the real command, running."""
    environment = {**os.environ, "GRIPLEDGER_DATA_DIR": str(tmp_path / "data")}
    process = subprocess.Popen(
        [sys.executable, "-m", "app", request.param, "--port", "0"],
        cwd=PROJECT_ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        text=True,
        bufsize=1,
    )
    assert process.stdout is not None
    try:
        address = ""
        for line in process.stdout:
            if found := re.search(r"http://\S+/", line):
                address = found.group()
                break
        assert address, "the command ended without an address"
        yield address, tmp_path / "data"
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(20)
        process.stdout.close()


def fetch(address: str) -> tuple[int, str | None]:
    for _ in range(100):
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:  # noqa: S310 - our own
                return answer.status, answer.headers["Server"]
        except urllib.error.URLError:
            time.sleep(0.1)
    pytest.fail("the server did not answer")


def test_it_answers_at_the_address_that_it_printed(served: tuple[str, Path]) -> None:
    address, _ = served
    assert fetch(address + "healthz") == (200, None)
    assert fetch(address + "about")[0] == 200


def test_the_made_up_shop_says_so_and_goes_when_it_is_stopped(tmp_path: Path) -> None:
    environment = {**os.environ, "TMPDIR": str(tmp_path)}
    process = subprocess.Popen(
        [sys.executable, "-m", "app", "demo", "--port", "0"],
        cwd=PROJECT_ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    try:
        address = next(m.group() for s in process.stdout if (m := re.search(r"http://\S+/", s)))
        assert fetch(address + "healthz")[0] == 200
        with urllib.request.urlopen(address + "api/v1/board") as answer:  # noqa: S310 - our own
            board = json.load(answer)
        with urllib.request.urlopen(address + "about") as answer:  # noqa: S310 - our own
            page = answer.read().decode()
        assert {cell["verdict"] for cell in board["cells"]} == {
            "holds", "tight", "slips", "unknown"
        }
        assert "every record and figure here is invented" in page
        assert list(tmp_path.glob("gripledger-demo-*/gripledger.db"))
    finally:
        process.terminate()
        process.wait(20)
        process.stdout.close()
    assert not list(tmp_path.iterdir())


def test_help_names_every_command() -> None:
    output = CliRunner().invoke(main, ["--help"]).output
    for command in ("serve", "demo", "migrate"):
        assert command in output
