"""One command that measures and prints one table: `python -m tests.benchmarks [part ...]`."""

import sys
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path

from tests.benchmarks import boards, cells, downloads, pages, servers, starts
from tests.benchmarks.catalogue import made_up_shop
from tests.benchmarks.table import Line, table_text

PARTS: dict[str, Callable[[dict[int, Path]], Iterable[Line]]] = {
    "board": lambda shops: boards.cells(boards.read_sides(pages.settings_of(shops[10_000]))),
    "records": lambda shops: boards.from_records(pages.settings_of(shops[10_000])),
    "cell": lambda _shops: cells.lines(),
    "pages": pages.lines,
    "csv": lambda shops: downloads.lines(pages.settings_of(shops[10_000])),
    "postgresql": lambda shops: servers.lines(shops[10_000]),
    "start": lambda shops: starts.lines(shops[50]),
}
SHOPS = {50: 12, 1_000: 100, 10_000: 100}


def main(asked: list[str]) -> None:
    """Make the catalogues, measure the parts that are asked for (all of them), print the table."""
    with tempfile.TemporaryDirectory(prefix="gripledger-benchmarks-") as folder:
        shops = {}
        for packs, engines in SHOPS.items():
            shops[packs] = Path(folder) / str(packs)
            made_up_shop(shops[packs], packs, engines)
        lines = [line for part in asked or PARTS for line in PARTS[part](shops)]
    print(table_text(lines))  # noqa: T201  # a command's answer


if __name__ == "__main__":
    main(sys.argv[1:])
