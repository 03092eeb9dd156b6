"""Lists of records: rows, sortable headings, numbered pages, the count in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from app.presentation.numbers import NOT_KNOWN

PER_PAGE = 50


@dataclass(frozen=True)
class Cell:
    """One cell of a list: a text, a figure or a date."""

    text: str
    numeric: bool = False
    date: bool = False

    @property
    def kinds(self) -> str:
        """Its classes in the style sheet."""
        known = {"num": self.numeric, "date": self.date, "missing": self.text == NOT_KNOWN}
        return " ".join(name for name, holds in known.items() if holds)


@dataclass(frozen=True)
class Row:
    """One record: its name with its address, then its cells."""

    name: str
    href: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Heading:
    """Heading of a column; with an address it sorts."""

    label: str
    unit: str = ""
    numeric: bool = False
    href: str = ""
    sorted: str = ""


@dataclass(frozen=True)
class Pager:
    """Numbered pages, as macros/tables.html draws them."""

    summary: str
    previous: str
    next: str
    pages: tuple[tuple[str, str, bool], ...]


def count_words(total: int, noun: str) -> str:
    """How many were found.

    >>> count_words(1, "pack"), count_words(12, "pack")
    ('1 pack found', '12 packs found')
    """
    return f"{total} {noun if total == 1 else noun + 's'} found"


def address(path: str, asked: Mapping[str, str], **changed: str) -> str:
    """The page's own address with some of what it asks changed; blank parts are left out.

    >>> address("/packs", {"q": "six", "page": "2"}, page="")
    '/packs?q=six'
    """
    kept = {key: text for key, text in {**asked, **changed}.items() if text}
    return f"{path}?{urlencode(kept)}" if kept else path


def sorting(
    path: str, asked: Mapping[str, str], key: str, label: str, usual: str = "name"
) -> Heading:
    """A heading that sorts by a key, the other way round where it does already."""
    order = asked.get("order", "") or usual
    is_up, is_down = order == key, order == f"-{key}"
    href = address(path, asked, order=f"-{key}" if is_up else key, page="")
    return Heading(
        label, href=href, sorted="ascending" if is_up else "descending" if is_down else ""
    )


def pager_of(
    path: str, asked: Mapping[str, str], page: int, pages: int, total: int, noun: str
) -> Pager:
    """The pages around the one that is shown."""
    first = (page - 1) * PER_PAGE + 1
    last = min(page * PER_PAGE, total)
    plural = f"{noun.capitalize()}s"
    summary = f"{plural} {first}–{last} of {total}" if total else ""

    def at(number: int) -> str:
        return address(path, asked, page="" if number == 1 else str(number))

    links: list[tuple[str, str, bool]] = []
    for number in near(page, pages):
        if links and number - int(links[-1][0]) > 1:
            links.append(("…", "", False))
        links.append((str(number), at(number), number == page))
    return Pager(
        summary=summary,
        previous=at(page - 1) if page > 1 else "",
        next=at(page + 1) if page < pages else "",
        pages=tuple(links),
    )


def near(page: int, pages: int) -> Sequence[int]:
    """The first page, the last, and those beside the one that is shown.

    >>> near(5, 9)
    [1, 4, 5, 6, 9]
    """
    return sorted({1, pages, *range(max(1, page - 1), min(pages, page + 1) + 1)})
