import json
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from http.client import HTTPResponse
from pathlib import Path
from urllib.request import HTTPSHandler, OpenerDirector, build_opener

import pytest
from click.testing import CliRunner, Result

from app.cli import (
    listen,
    main,
    refuse_open_door,
    refuse_without_administrator,
    with_address,
)
from app.settings import PROJECT_ROOT, Settings
from tests.certificate import make_certificate


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("GRIPLEDGER_DATA_DIR", str(tmp_path / "data"))
    return tmp_path / "data"


OTHERS = ["0.0.0.0", "::", "192.168.1.5", "gripledger.example", "8.8.8.8"]  # noqa: S104


def invoke(*words: str, **more: object) -> Result:
    return CliRunner().invoke(main, list(words), **more)  # type: ignore[arg-type]


def test_unless_told_otherwise_it_listens_on_this_computer_s_own_address() -> None:
    settings = with_address(Settings(), None, None)
    assert settings.host == "127.0.0.1"
    assert not settings.require_sign_in


@pytest.mark.parametrize("host", OTHERS)
def test_others_are_let_at_it_only_with_a_certificate_or_a_word(folder: Path, host: str) -> None:
    result = invoke("serve", "--host", host, "--port", "0")
    assert result.exit_code == 1
    assert "--tls-cert" in result.output
    assert "--insecure-lan" in result.output
    assert "--host 127.0.0.1" in result.output
    assert not folder.exists()


def test_a_name_beyond_this_computer_counts_like_an_address_beyond_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GRIPLEDGER_ALLOWED_HOSTS", "bench.lan")
    result = invoke("serve", "--port", "0")
    assert result.exit_code == 1
    assert "--tls-cert" in result.output
    assert not folder.exists()


def test_every_address_needs_a_name_to_be_asked_for_by(folder: Path) -> None:
    result = invoke("serve", "--host", "0.0.0.0", "--insecure-lan")  # noqa: S104
    assert result.exit_code == 1
    assert "GRIPLEDGER_ALLOWED_HOSTS=" in result.output
    assert not folder.exists()


@pytest.mark.parametrize("more", [["--tls-cert", "c.pem"], ["--tls-key", "k.pem"]])
def test_half_a_certificate_is_none(folder: Path, more: list[str]) -> None:
    result = invoke("serve", "--host", "192.168.1.5", *more)
    assert result.exit_code == 1
    assert "go together" in result.output


def test_a_certificate_and_its_denial_are_one_too_many(folder: Path) -> None:
    more = ["--tls-cert", "c.pem", "--tls-key", "k.pem", "--insecure-lan"]
    assert "not both" in invoke("serve", "--host", "192.168.1.5", *more).output


def test_a_certificate_that_is_none_is_said_before_anything_is_made(
    folder: Path, tmp_path: Path
) -> None:
    (tmp_path / "c.pem").write_text("no certificate")
    more = ["--tls-cert", str(tmp_path / "c.pem"), "--tls-key", str(tmp_path / "gone.pem")]
    result = invoke("serve", "--host", "192.168.1.5", *more)
    assert result.exit_code == 1
    assert "can't be used" in result.output
    assert "Traceback" not in result.output
    assert not folder.exists()


def test_without_an_administrator_nobody_could_sign_in(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GRIPLEDGER_ALLOWED_HOSTS", "bench.lan")
    result = invoke("serve", "--port", "0", "--insecure-lan")
    assert result.exit_code == 1
    assert "gripledger member add NAME --role admin" in result.output
    invoke("member", "add", "Vi", "--role", "viewer", "--code")
    assert invoke("serve", "--port", "0", "--insecure-lan").exit_code == 1


@pytest.mark.parametrize("host", OTHERS)
def test_the_made_up_shop_is_for_this_computer_alone(folder: Path, host: str) -> None:
    result = invoke("demo", "--host", host, "--port", "0")
    assert result.exit_code == 1
    assert "for this computer alone" in result.output


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "::1"])
def test_its_own_addresses_need_nothing_of_that(host: str) -> None:
    settings = with_address(Settings(), f"[{host}]", 0)
    assert settings.host == host
    assert not settings.require_sign_in
    refuse_open_door(settings)
    refuse_without_administrator(settings)


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
            "holds",
            "tight",
            "slips",
            "unknown",
        }
        assert "every record and figure here is invented" in page
        assert list(tmp_path.glob("gripledger-demo-*/gripledger.db"))
    finally:
        process.terminate()
        process.wait(20)
        process.stdout.close()
    assert not list(tmp_path.iterdir())


def once_there(opener: OpenerDirector, address: str) -> HTTPResponse:
    """The answer of a server that is just starting."""
    for _ in range(100):
        try:
            found: HTTPResponse = opener.open(address, timeout=20)
            return found
        except urllib.error.URLError:
            time.sleep(0.1)
    pytest.fail("the server did not answer")


def test_a_shared_server_speaks_tls_and_asks_everybody_to_sign_in(tmp_path: Path) -> None:
    certificate, key = make_certificate(tmp_path)
    environment = {
        **os.environ,
        "GRIPLEDGER_DATA_DIR": str(tmp_path / "data"),
        "GRIPLEDGER_ALLOWED_HOSTS": "bench.lan",
    }
    command = [sys.executable, "-m", "app"]
    add = [*command, "member", "add", "Ada", "--role", "admin", "--code"]
    subprocess.run(add, cwd=PROJECT_ROOT, env=environment, check=True, capture_output=True)
    serve = ["serve", "--port", "0", "--tls-cert", str(certificate), "--tls-key", str(key)]
    process = subprocess.Popen(
        [*command, *serve],
        cwd=PROJECT_ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    try:
        said = "".join(process.stdout.readline() for _ in range(2))
        address = re.search(r"https://\S+/", said).group()
        assert "bench.lan, and everybody has to sign in" in said
        trusted = ssl.create_default_context(cafile=str(certificate))
        own = HTTPSHandler(context=trusted)
        opened = once_there(build_opener(own), address + "packs")
        assert opened.url == address + "sign-in?next=%2Fpacks"
        assert "max-age" in opened.headers["Strict-Transport-Security"]
        assert opened.headers["Server"] is None
        opened.close()
    finally:
        process.terminate()
        process.communicate(timeout=20)


def test_help_names_every_command() -> None:
    output = CliRunner().invoke(main, ["--help"]).output
    for command in ("serve", "demo", "migrate", "member"):
        assert command in output
