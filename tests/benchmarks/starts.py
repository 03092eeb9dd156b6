"""From the command to the first answer, against a bare application's."""

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from socket import create_server

from tests.benchmarks.table import Line

ROUNDS = 5


def free_port() -> int:
    """A port that nothing listens on."""
    with create_server(("127.0.0.1", 0)) as listener:
        return int(listener.getsockname()[1])


@contextmanager
def serving(
    folder: Path | None, *, processes: int = 1, url: str = ""
) -> Iterator[tuple[int, float]]:
    """The program on a data folder, or (None) a bare one: its port, seconds to an answer."""
    port = free_port()
    command = [sys.executable, "-m"]
    command += (
        ["tests.benchmarks.bare", str(port), str(processes)] if folder is None
        else ["app", "serve", "--port", str(port), "--processes", str(processes)]
    )
    environment = dict(
        os.environ, GRIPLEDGER_DATA_DIR=str(folder or ""), GRIPLEDGER_DATABASE_URL=url
    )
    start = time.perf_counter()
    server = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL,
                              stderr=subprocess.DEVNULL)
    try:
        while not answers(port):
            if server.poll() is not None:
                raise RuntimeError(f"{command} ended with {server.returncode}")
            time.sleep(0.005)
        yield port, time.perf_counter() - start
    finally:
        server.terminate()
        server.wait(timeout=20)


def answers(port: int) -> bool:
    """Whether a server there says that it is ready."""
    try:
        connection = HTTPConnection("127.0.0.1", port, timeout=2)
        connection.request("GET", "/healthz")
        return connection.getresponse().status == 200
    except OSError:
        return False


def lines(folder: Path) -> Iterator[Line]:
    """Seconds to the first /healthz."""
    taken: tuple[list[float], list[float]] = [], []
    for _ in range(ROUNDS):
        for times, where in zip(taken, (folder, None), strict=True):
            with serving(where) as (_, seconds):
                times.append(seconds)
    ours, bare = map(statistics.median, taken)
    yield Line("serve to the first /healthz", ours, "s", "bare FastAPI", bare, most=2.0)
