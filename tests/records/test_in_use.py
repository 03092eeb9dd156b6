import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy.engine import make_url

from app.records.in_use import Occupied, alone, serving
from app.settings import PROJECT_ROOT

SERVE = """
import sys
from sqlalchemy.engine import make_url
from app.records.in_use import serving
with serving(make_url(sys.argv[1])):
    print("serving", flush=True)
    sys.stdin.read()
"""


def occupied(file: Path) -> bool:
    try:
        with alone(file):
            return False
    except Occupied as fact:
        return str(file) in fact.message


def test_a_server_keeps_others_from_replacing_the_database(sqlite_url: str) -> None:
    url = make_url(sqlite_url)
    file = Path(str(url.database))
    with serving(url), serving(url):
        assert occupied(file)
    assert not occupied(file)


def test_the_mark_ends_with_the_process_however_that_ends(sqlite_url: str) -> None:
    file = Path(str(make_url(sqlite_url).database))
    process = subprocess.Popen(
        [sys.executable, "-c", SERVE, sqlite_url],
        cwd=PROJECT_ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    with process:
        assert process.stdout is not None
        assert process.stdout.readline() == "serving\n"
        assert occupied(file)
        process.kill()
        process.wait()
    assert not occupied(file)


def test_two_do_not_replace_it_at_one_time(sqlite_url: str) -> None:
    file = Path(str(make_url(sqlite_url).database))
    with alone(file), pytest.raises(Occupied), alone(file):
        pytest.fail("two may not replace it at one time")


def test_where_no_mark_can_be_made_the_server_runs_without(tmp_path: Path) -> None:
    (tmp_path / "gripledger.db.serving").mkdir()
    with serving(make_url(f"sqlite:///{tmp_path}/gripledger.db")):
        pass
    with serving(make_url("postgresql://nobody@nowhere/none")):
        pass
    assert [p.name for p in tmp_path.iterdir()] == ["gripledger.db.serving"]
