"""Pages over HTTP: milliseconds and requests a second at three sizes, against a bare page."""

import statistics
import threading
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from http.client import HTTPConnection
from itertools import count
from pathlib import Path

from app.records.database import read_session
from app.services.standing import standing
from app.services.starting import open_engine
from app.settings import Settings
from tests.benchmarks.starts import serving
from tests.benchmarks.table import Line

REQUESTS = 120
LONGEST = 8.0
"""Seconds that one page is measured at most."""
AT_ONCE = 8
_NUMBERS = count(1)


def settings_of(folder: Path) -> Settings:
    """Settings of a catalogue made before."""
    return Settings(data_dir=folder)


def lines(shops: Mapping[int, Path]) -> Iterator[Line]:
    """Each page's median and 99th percentile, then requests a second with one and two processes."""
    with serving(None) as bare:
        for packs, folder in shops.items():
            pack, engine = ids_of(folder)
            with serving(folder) as ours_served:
                for name, address in (
                    ("board, new each time", "/?wear=0.{}"), ("board, seen before", "/"),
                    ("cell, new each time", f"/cell/{pack}/{engine}?wear=0.{{}}"),
                    ("cell, seen before", f"/cell/{pack}/{engine}"),
                    ("packs, new each time", "/packs?page={}"), ("packs, seen before", "/packs"),
                    ("classes, seen before", "/classes"),
                ):
                    ours, theirs = _turns((ours_served.port, address), (bare.port, "/page"))
                    yield Line(f"{name}, {packs} packs, p50", _part(ours, 50), "ms",
                               "bare page of 50 × 12", _part(theirs, 50), most=1.8)
                    yield Line(f"{name}, {packs} packs, p99", _part(ours, 99), "ms",
                               "bare page of 50 × 12", _part(theirs, 99), most=3.0)
    rates = [rate_of(shops[max(shops)], processes) for processes in (1, 2)]
    bare_rates = [rate_of(None, processes) for processes in (1, 2)]
    yield Line("bare page, requests a second, 2 processes", bare_rates[1].each_second, "/s",
               "1 process", bare_rates[0].each_second)
    yield Line("board, requests a second, 2 processes", rates[1].each_second, "/s", "1 process",
               rates[0].each_second, more=1.8)
    yield Line("board, processor time of a request, 2 processes", rates[1].milliseconds, "ms",
               "1 process", rates[0].milliseconds, most=1.1)


@dataclass(frozen=True)
class Rate:
    """Requests of the board, each new: how many a second, and processor time of one."""

    each_second: float
    milliseconds: float


def rate_of(folder: Path | None, processes: int, url: str = "") -> Rate:
    """A server of so many processes (None: the bare one), asked by several clients at once."""
    address = "/page" if folder is None else "/?wear=0.{}"
    with serving(folder, processes=processes, url=url) as served:
        rate(served.port, address)  # every process has read the catalogue
        before = served.processor_seconds()
        found = rate(served.port, address)
        spent = served.processor_seconds() - before
    return Rate(found, spent * 1000.0 / (AT_ONCE * (REQUESTS // 4)))


def ids_of(folder: Path) -> tuple[str, str]:
    engine = open_engine(settings_of(folder))
    with read_session(engine) as session:
        now = standing(session)
    engine.dispose()
    return now.packs[0].public_id, now.engines[0].public_id


def _get(connection: HTTPConnection, address: str) -> float:
    start = time.perf_counter()
    connection.request("GET", address.format(next(_NUMBERS)))
    answer = connection.getresponse()
    answer.read()
    if answer.status != 200:
        raise RuntimeError(f"{address} answers {answer.status}")
    return (time.perf_counter() - start) * 1000.0


def _turns(*places: tuple[int, str]) -> list[list[float]]:
    connections = [HTTPConnection("127.0.0.1", port) for port, _ in places]
    taken: list[list[float]] = [[] for _ in places]
    end = time.monotonic() + LONGEST
    for number in range(REQUESTS + 5):
        if number > 10 and time.monotonic() > end:
            break
        for times, connection, (_, address) in zip(taken, connections, places, strict=True):
            one = _get(connection, address)
            if number >= 5:  # the first ones fill what is held ready
                times.append(one)
    return taken


def _part(times: list[float], percent: int) -> float:
    return statistics.quantiles(times, n=100)[percent - 1]


def rate(port: int, address: str) -> float:
    """Requests a second of a page, so many clients at once."""
    def client() -> None:
        connection = HTTPConnection("127.0.0.1", port)
        for _ in range(REQUESTS // 4):
            _get(connection, address)

    clients = [threading.Thread(target=client) for _ in range(AT_ONCE)]
    start = time.perf_counter()
    for one in clients:
        one.start()
    for one in clients:
        one.join()
    return AT_ONCE * (REQUESTS // 4) / (time.perf_counter() - start)
