"""The pages of an import: what a file would do, row by row, before anything is written."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from app.presentation.change_words import Difference, Names, differences
from app.presentation.record_list import Pager, near

STATUS_WORDS = {
    "bad": "cannot be read",
    "new": "new",
    "changed": "changed",
    "unchanged": "unchanged",
}
"""What the rows of a file can be, those first that want looking at."""

PER_PAGE = 50
VARIANT_WORDS = {
    "comma": "comma between the cells, decimal points",
    "semicolon": "semicolon between the cells, decimal commas",
}


@dataclass(frozen=True)
class RowLine:
    """One row of the file.

    Attributes:
        problems: heading, what was found, what would be right.
        fields: what would change.
        href: the record that it is about, "" for a new one.
    """

    number: int
    name: str
    href: str
    problems: tuple[tuple[str, str, str], ...] = ()
    fields: tuple[Difference, ...] = ()


@dataclass(frozen=True)
class Tab:
    """Rows of one status: how many, and where they are shown."""

    status: str
    words: str
    count: int
    href: str
    current: bool


@dataclass(frozen=True)
class ImportPage:
    """A file with its progress, its preview, or what became of it.

    Attributes:
        plural: what the file holds.
        share: how far the work is, 0 to 100.
        write_all: words of the button that keeps the whole file, "" where it can't be.
        write_good: words of the button that keeps the good rows only, "" where there is no need.
        nothing: whether the file changes nothing.
    """

    id: str
    plural: str
    stage: str
    stuck: bool
    variant: str
    done: int
    total: int
    share: int
    found: str
    message: str
    tabs: tuple[Tab, ...] = ()
    show: str = ""
    lines: tuple[RowLine, ...] = ()
    pager: Pager | None = None
    write_all: str = ""
    write_good: str = ""
    nothing: bool = False
    batch: str = ""
    undone: bool = False
    problems_href: str = ""

    @property
    def running(self) -> bool:
        """Whether work is under way."""
        return self.stage in ("checking", "saving") and not self.stuck

    @property
    def path(self) -> str:
        """Its own address."""
        return f"/import/{self.id}"


def found_words(counts: Mapping[str, int]) -> str:
    """What a file would do, in one line.

    >>> found_words({"new": 2, "bad": 1})
    '1 cannot be read, 2 new, 0 changed, 0 unchanged'
    """
    return ", ".join(f"{counts.get(key, 0)} {words}" for key, words in STATUS_WORDS.items())


def tabs_of(path: str, counts: Mapping[str, int], show: str) -> tuple[Tab, ...]:
    """The statuses with their counts."""
    return tuple(
        Tab(key, words, counts.get(key, 0), f"{path}?show={key}", key == show)
        for key, words in STATUS_WORDS.items()
    )


def first_shown(counts: Mapping[str, int]) -> str:
    """The status to look at first: what is wrong, then what would change."""
    return next((key for key in STATUS_WORDS if counts.get(key)), "unchanged")


def buttons(counts: Mapping[str, int], noun: str) -> tuple[str, str]:
    """Words of the buttons: the whole file, and the good rows only.

    >>> buttons({"new": 2, "changed": 1}, "pack"), buttons({"new": 2, "bad": 1}, "pack")
    (('Import 2 new and 1 changed pack', ''), ('', 'Import only the 2 good rows'))
    """
    new, changed, bad = (counts.get(key, 0) for key in ("new", "changed", "bad"))
    good = new + changed
    if not good:
        return "", ""
    if bad:
        rows = "the 1 good row" if good == 1 else f"the {good} good rows"
        return "", f"Import only {rows}"
    parts = [f"{n} {word}" for n, word in ((new, "new"), (changed, "changed")) if n]
    last = changed or new
    return f"Import {' and '.join(parts)} {noun if last == 1 else noun + 's'}", ""


def row_line(
    row: Mapping[Any, Any],
    noun: str,
    home: str,
    standing: Mapping[str, Any] | None,
    names: Names = MappingProxyType({}),
) -> RowLine:
    """A row of the file.

    Args:
        row: with number, cells, record, document, problems.
        noun: kind of record.
        home: where the pages of that kind begin.
        standing: the record in its written form as it is, where the row would change it.
        names: of the records that it names.
    """
    cells = row["cells"]
    document = row["document"] or {}
    name = str(document.get("name") or cells.get("name") or "")
    fields: tuple[Difference, ...] = ()
    if standing is not None:
        fields = differences(noun, standing, document, names)
    return RowLine(
        number=int(row["number"]),
        name=name,
        href=f"{home}/{row['record']}" if row["record"] and home else "",
        problems=tuple((h, f, e) for h, f, e in row["problems"] or ()),
        fields=fields,
    )


def row_pager(path: str, show: str, page: int, pages: int, shown: Sequence[int]) -> Pager:
    """The pages of one status; `shown` has the first and last place and how many there are."""
    first, last, total = shown

    def at(number: int) -> str:
        more = "" if number == 1 else f"&page={number}"
        return f"{path}?show={show}{more}"

    links: list[tuple[str, str, bool]] = []
    for number in near(page, pages):
        if links and number - int(links[-1][0]) > 1:
            links.append(("…", "", False))
        links.append((str(number), at(number), number == page))
    summary = f"Rows {first}–{last} of {total}" if total else ""
    previous = at(page - 1) if page > 1 else ""
    following = at(page + 1) if page < pages else ""
    return Pager(summary, previous, following, tuple(links))
