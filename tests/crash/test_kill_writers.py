"""Twenty kills of each kind of writer, and some of an upgrade, a copy and a restore.

They run in a process of their own, which forks: a child is there at once, and has no threads of
the tests. By hand the same script kills as often as one likes.
"""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from app.settings import PROJECT_ROOT

pytestmark = pytest.mark.skipif(
    not hasattr(os, "fork"), reason="the script makes its children by fork, which Windows lacks"
)


def kill(folder: Path, way: str, journal: str, times: int) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [
            *(sys.executable, "-m", "tests.crash.kill_writers", "--way", way),
            *("--journal", journal, "--times", str(times), "--folder", str(folder)),
        ],
        cwd=PROJECT_ROOT,
        capture_output=True,
        text=True,
        timeout=180,
        check=False,
    )


@pytest.mark.parametrize("journal", ["delete", "wal"])
@pytest.mark.parametrize(
    ("way", "times", "saves"),
    [("service", 20, 20), ("http", 10, 10), ("backup", 5, 0)],
)
def test_no_acknowledged_save_is_lost(
    tmp_path: Path, way: str, journal: str, times: int, saves: int
) -> None:
    done = kill(tmp_path, way, journal, times)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "faults: 0" in done.stdout
    found = re.search(rf"^{times} kills, (\d+) acknowledged saves", done.stdout, re.M)
    assert found
    assert int(found[1]) >= saves


@pytest.mark.parametrize("way", ["migration", "restore"])
def test_an_upgrade_or_a_restore_that_is_killed_leaves_one_or_the_other(
    tmp_path: Path, way: str
) -> None:
    done = kill(tmp_path, way, "delete", 10)
    assert done.returncode == 0, done.stdout + done.stderr
    assert re.search(r"^10 kills, .* faults: 0$", done.stdout, re.M)


def test_a_writer_that_speaks_too_soon_is_found(tmp_path: Path) -> None:
    """The runs above must be able to fail."""
    done = kill(tmp_path, "hasty", "delete", 20)
    assert done.returncode == 1
    assert re.search(r"the acknowledged pack \w+ is gone", done.stdout)
