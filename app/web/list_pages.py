"""What a list's address asks for, read with care, and the list as its page shows it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request

from app.presentation.record_list import (
    PER_PAGE,
    Cell,
    Heading,
    Pager,
    Row,
    count_words,
    pager_of,
)
from app.records.base import NOT_SAID
from app.records.listing import ORDERS, Search
from app.services.catalogue import Catalogue
from app.services.stored import NumberedPage, Stored
from app.web.forms.reader import FormReader

LONGEST_SEARCH = 200
ORDER_WORDS = (
    ("", "Name, A to Z"),
    ("-name", "Name, Z to A"),
    ("-changed", "Changed last, first"),
    ("changed", "Changed last, last"),
)
Options = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Filter:
    """One filter of a list: its name in the address, its column, its label, its choices."""

    name: str
    column: str
    label: str
    options: Options

    def column_value(self, chosen: str) -> Any:
        """What the column must hold."""
        return chosen


@dataclass(frozen=True)
class FilterByKey(Filter):
    """A filter whose column holds a key and not the word that the address has."""

    keys: Mapping[str, Any]

    def column_value(self, chosen: str) -> Any:
        """The key of the chosen word."""
        return self.keys[chosen]


@dataclass(frozen=True)
class ListPage:
    """A list as its page shows it.

    Attributes:
        noun: what a record is called.
        form: what the address asks for, to fill the search form again.
        rows: of this page.
        filtered: whether anything narrows the list.
    """

    noun: str
    path: str
    form: FormReader
    filters: tuple[Filter, ...]
    headings: tuple[Heading, ...]
    rows: tuple[Row, ...]
    pager: Pager
    found: str
    page: int
    pages: int
    filtered: bool
    caption: str = ""
    orders: Options = ORDER_WORDS

    @property
    def empty(self) -> "Empty":
        """What a list says that has nothing in it yet."""
        return EMPTY[self.noun]


@dataclass(frozen=True)
class Empty:
    """Nothing here yet: what that means and the first steps."""

    heading: str
    text: str
    steps: tuple[tuple[str, str], ...]


_TABLE = ("Or bring in a table that you have already", "/import")
_EXAMPLE = ("Never done it? Follow the worked example", "/about/example")

EMPTY: Mapping[str, Empty] = {
    "comparison": Empty(
        "No comparison is saved yet",
        "A comparison is a board under a name: its packs, its engines, the state and the limits. "
        "Its address can be shared, and it prints as a sheet.",
        (("Choose packs, engines and a state on the board, then press Save", "/"),),
    ),
    "slip test": Empty(
        "No slip test is logged yet",
        "A run needs its pack, whether the plates were oiled or dry, and one reading. A reading "
        "may be a value, a span, or a bound where the gauge ended first.",
        (
            ("Plan a test, so that nothing shears", "/tests/plan"),
            ("Name the gauge or the wrench", "/instruments/new"),
            ("Log the first run", "/tests/new"),
        ),
    ),
    "instrument": Empty(
        "No instrument is recorded yet",
        "With its range, a reading beyond the end of the scale is asked about; with its accuracy, "
        "a measured torque gets its doubt.",
        (("Record the first instrument", "/instruments/new"),),
    ),
    "pack": Empty(
        "No pack is recorded yet",
        "A pack needs only a name to begin with. What is not known stays open, and the page of "
        "the pack says what to measure next.",
        (
            ("Record the first pack", "/packs/new"),
            ("Record the engine that it is for", "/engines/new"),
            ("See on the board whether it holds", "/"),
            _TABLE,
            _EXAMPLE,
        ),
    ),
    "engine": Empty(
        "No engine is recorded yet",
        "An engine needs a torque figure, by whatever is best known: torque, power at a speed, a "
        "curve, or mean effective pressure.",
        (
            ("Record the first engine", "/engines/new"),
            ("Record a pack for it", "/packs/new"),
            ("See on the board what holds", "/"),
            _TABLE,
            _EXAMPLE,
        ),
    ),
}


@dataclass(frozen=True)
class Asked:
    """What the address asks for, as far as it could be read."""

    form: FormReader
    search: Search
    page: int

    @property
    def status(self) -> int:
        """422 where something could not be read."""
        return 422 if self.form.problems else 200

    @property
    def words(self) -> Mapping[str, str]:
        """The parts of the address by name."""
        return self.form.raw


def read_asked(request: Request, filters: Sequence[Filter] = (), usual: str = "name") -> Asked:
    """Read a list's address; what it does not know is refused and not passed over."""
    form = FormReader({key: text for key, text in request.query_params.items() if text.strip()})
    known = {"q", "order", "page", *(f.name for f in filters)}
    for name in form.raw:
        if name not in known:
            form.say("", f"This list has no “{name[:40]}”: take it out of the address.")
    text = form.text("q", longest=LONGEST_SEARCH) or ""
    chosen = [(f, form.choice(f.name, [key for key, _ in f.options if key])) for f in filters]
    order = form.choice("order", ORDERS) or usual
    columns = {f.column: f.column_value(value) for f, value in chosen if value is not None}
    return Asked(form, Search(text=text, filters=columns, order=order), read_page(form))


def list_page(
    catalogue: Catalogue[Any],
    found: NumberedPage[Any],
    asked: Asked,
    path: str,
    filters: Sequence[Filter],
    headings: Sequence[Heading],
    rows: Sequence[Row],
    caption: str = "",
) -> ListPage:
    """The page of a list."""
    noun = catalogue.noun.kind
    narrowed = bool(asked.search.text or asked.search.filters)
    return ListPage(
        noun=noun,
        path=path,
        form=asked.form,
        filters=tuple(filters),
        headings=tuple(headings),
        rows=tuple(rows),
        pager=pager_of(path, asked.words, found.page, found.pages, found.total, noun),
        found=count_words(found.total, noun),
        page=found.page,
        pages=found.pages,
        filtered=narrowed,
        caption=caption,
    )


def find(session: Any, catalogue: Catalogue[Any], asked: Asked) -> NumberedPage[Any]:
    """One page of what was asked for."""
    return catalogue.page(session, asked.search, page=asked.page, size=PER_PAGE)


def aside_page(
    catalogue: Catalogue[Any], found: NumberedPage[Any], asked: Asked, path: str
) -> ListPage:
    """The list of what was put aside, newest first."""
    rows = [Row(s.name, f"{path}/{s.id}/bring-back", (Cell(_when(s)),)) for s in found.records]
    heads = (Heading(catalogue.noun.kind.capitalize()), Heading("Put aside"))
    return list_page(catalogue, found, asked, f"{path}/put-aside", (), heads, rows)


def changed_words(stored: Stored[Any]) -> str:
    """Who saved the record last, and when."""
    when = stored.changed_at.strftime("%Y-%m-%d %H:%M")
    by = ", name not given" if stored.changed_by == NOT_SAID else f" by {stored.changed_by}"
    return f"Saved{by}, {when} UTC, version {stored.version}"


def _when(stored: Stored[Any]) -> str:
    if stored.put_aside_at is None:
        return ""
    return f"{stored.put_aside_at:%Y-%m-%d %H:%M} UTC by {stored.changed_by}"


def read_page(form: FormReader) -> int:
    """The page that an address asks for; what is no page counts as the first and is said."""
    text = form.raw.get("page", "").strip()
    if not text:
        return 1
    if text.isascii() and text.isdigit() and 0 < len(text) < 7 and int(text) > 0:
        return int(text)
    form.say("page", "Write a whole number from 1 on as the page.")
    return 1
