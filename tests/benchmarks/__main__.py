"""One command that measures and prints one table: `python -m tests.benchmarks [part ...]`."""

import gc
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path

from app.main import COLLECTED_AT
from tests.benchmarks import boards, browsers, cells, downloads, imports, pages, servers, starts
from tests.benchmarks.catalogue import made_up_shop
from tests.benchmarks.table import Line, table_text

SIZES = {50: 12, 1_000: 100, 10_000: 100}
"""Packs and engines of the catalogues."""


class Shops(Mapping[int, Path]):
    """Data folders by their number of packs, each made when it is first asked for."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def __iter__(self) -> Iterator[int]:
        return iter(SIZES)

    def __len__(self) -> int:
        return len(SIZES)

    @property
    def room(self) -> Path:
        """A folder for catalogues of a measurement's own."""
        return self._folder / "own"

    def __getitem__(self, packs: int) -> Path:
        shop = self._folder / str(packs)
        if not shop.exists():
            made_up_shop(shop, packs, SIZES[packs])
        return shop


PARTS: dict[str, Callable[[Shops], Iterable[Line]]] = {
    "board": lambda shops: boards.cells(boards.read_sides(pages.settings_of(shops[10_000]))),
    "growth": lambda shops: boards.growth(boards.read_sides(pages.settings_of(shops[10_000]))),
    "records": lambda shops: boards.from_records(pages.settings_of(shops[10_000])),
    "cell": lambda _shops: cells.lines(),
    "pages": pages.lines,
    "csv": lambda shops: downloads.lines(pages.settings_of(shops[10_000])),
    "import": lambda shops: imports.lines(shops[10_000], shops.room),
    "postgresql": lambda shops: servers.lines(shops[10_000]),
    "start": lambda shops: starts.lines(shops[50]),
    "browser": lambda shops: browsers.lines(shops[1_000]),
}


def main(asked: list[str]) -> None:
    """Measure the parts that are asked for (all of them), print the table."""
    unknown = [part for part in asked if part not in PARTS]
    if unknown:
        raise SystemExit(f"No part {', '.join(unknown)}. There are: {', '.join(PARTS)}.")
    gc.set_threshold(*COLLECTED_AT)  # as a server does
    lines: list[Line] = []
    with tempfile.TemporaryDirectory(prefix="gripledger-benchmarks-") as folder:
        shops = Shops(Path(folder))
        for part in asked or PARTS:
            start = time.perf_counter()
            lines += PARTS[part](shops)
            taken = time.perf_counter() - start
            print(f"{part}: {taken:.0f} s", file=sys.stderr)  # noqa: T201  # how far it is
    print(table_text(lines))  # noqa: T201  # a command's answer


if __name__ == "__main__":
    main(sys.argv[1:])
