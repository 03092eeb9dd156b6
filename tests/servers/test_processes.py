"""`serve --processes`: several processes at one address."""

import os
import signal
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from app.cli import main
from app.records.in_use import Occupied, alone
from app.settings import Settings
from tests.servers.running import running, wait_until_ready

PROC = Path("/proc")

pytestmark = pytest.mark.skipif(
    not PROC.is_dir(), reason="the processes are counted as Linux lists them"
)


def children(parent: int) -> set[int]:
    """The server processes beneath the command."""
    found = set()
    for folder in PROC.iterdir():
        try:
            status = (folder / "stat").read_text()
            command = (folder / "cmdline").read_text()
        except OSError:
            continue
        if int(status.rpartition(")")[2].split()[1]) == parent and "spawn_main" in command:
            found.add(int(folder.name))
    return found


def eventually(holds: Callable[[], bool], patience_s: float = 30.0) -> bool:
    until = time.monotonic() + patience_s
    while not holds():
        if time.monotonic() > until:
            return False
        time.sleep(0.1)
    return True


def test_each_of_them_serves_and_one_that_is_killed_is_replaced(tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path)
    with running(settings, "--processes", "2") as (address, command):
        assert eventually(lambda: len(children(command.pid)) == 2)
        first = children(command.pid)
        os.kill(min(first), signal.SIGKILL)
        assert eventually(lambda: len(children(command.pid) - {min(first)}) == 2)
        wait_until_ready(address)
        with urllib.request.urlopen(f"{address}packs", timeout=30) as answer:  # noqa: S310  # our own
            assert answer.status == 200
        # What the command line said reached them: they serve this folder's database.
        assert (tmp_path / "gripledger.db").exists()
        with pytest.raises(Occupied), alone(tmp_path / "gripledger.db"):
            pytest.fail("no process runs on it")
    assert eventually(lambda: not any((PROC / str(pid)).exists() for pid in first))
    with alone(tmp_path / "gripledger.db"), pytest.raises(urllib.error.URLError):
        urllib.request.urlopen(f"{address}healthz", timeout=5)  # noqa: S310  # our own


def test_no_process_at_all_is_refused() -> None:
    for number in ("0", "-1", "65", "two"):
        assert CliRunner().invoke(main, ["serve", "--processes", number]).exit_code == 2
