"""From the command to the first answer, against a bare application's."""

import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path
from socket import create_server

from tests.benchmarks.table import Line

ROUNDS = 5
PROC = Path("/proc")
COMPILED = Path(tempfile.gettempdir()) / f"gripledger-compiled-{os.getuid()}"


@dataclass(frozen=True)
class Served:
    """A server that answers: its port, seconds from the command to the answer, its process."""

    port: int
    seconds: float
    process: int

    def processor_seconds(self) -> float:
        """Spent so far by the process and those beneath it; NaN where Linux does not say."""
        parents, spent = {}, {}
        for folder in PROC.glob("[0-9]*"):
            try:
                text = (folder / "stat").read_text()
            except OSError:  # ended meanwhile
                continue
            parts = text.rpartition(")")[2].split()
            parents[int(folder.name)] = int(parts[1])
            spent[int(folder.name)] = int(parts[11]) + int(parts[12])
        ours = {self.process}
        while more := {p for p, parent in parents.items() if parent in ours} - ours:
            ours |= more
        return sum(spent.get(p, 0) for p in ours) / os.sysconf("SC_CLK_TCK") if spent else math.nan


def free_port() -> int:
    """A port that nothing listens on."""
    with create_server(("127.0.0.1", 0)) as listener:
        return int(listener.getsockname()[1])


@contextmanager
def serving(
    folder: Path | None, *, processes: int = 1, url: str = ""
) -> Iterator[Served]:
    """The program on a data folder, or (None) a bare one, until the end of the block."""
    port = free_port()
    command = [sys.executable, "-m"]
    command += (
        ["tests.benchmarks.bare", str(port), str(processes)] if folder is None
        else ["app", "serve", "--port", str(port), "--processes", str(processes)]
    )
    environment = dict(
        os.environ, GRIPLEDGER_DATA_DIR=str(folder or ""), GRIPLEDGER_DATABASE_URL=url
    )
    # Compiled modules are kept, as at whoever installs the program.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    environment.setdefault("PYTHONPYCACHEPREFIX", str(COMPILED))
    start = time.perf_counter()
    server = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL,
                              stderr=subprocess.DEVNULL)
    try:
        while not answers(port):
            if server.poll() is not None:
                raise RuntimeError(f"{command} ended with {server.returncode}")
            time.sleep(0.005)
        yield Served(port, time.perf_counter() - start, server.pid)
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
    """Seconds to the first /healthz, by the clock and of the processor."""
    waited: tuple[list[float], list[float]] = [], []
    worked: tuple[list[float], list[float]] = [], []
    for number in range(ROUNDS + 1):
        for times, spent, where in zip(waited, worked, (folder, None), strict=True):
            with serving(where) as served:
                if number:  # the first one compiles the modules
                    times.append(served.seconds)
                    spent.append(served.processor_seconds())
    for name, unit, (ours, bare) in (("clock", "s", waited), ("processor", "s", worked)):
        yield Line(f"serve to the first /healthz, {name}", statistics.median(ours), unit,
                   "bare FastAPI", statistics.median(bare), most=2.0)
