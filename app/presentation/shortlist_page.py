"""The shortlist: what to order, for which engine, why, by which offer; the page and its CSV."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from app.comparison.failed_checks import FailedCheck
from app.comparison.verdict import Verdict
from app.documents import Offer
from app.documents.keeping import ShortlistLine
from app.presentation.board_failed import failed_words
from app.presentation.numbers import NBSP, number_text
from app.presentation.torques import fast_ratio


class Kept(Protocol):
    """A record of the list."""

    @property
    def id(self) -> str:
        """Its id."""

    @property
    def version(self) -> int:
        """Its version."""

    @property
    def document(self) -> ShortlistLine:
        """The line."""


class OrderLine(Protocol):
    """A line with what it points at, as the service gives it."""

    @property
    def stored(self) -> Kept:
        """The record."""

    @property
    def pack(self) -> str:
        """Name of the pack."""

    @property
    def engine(self) -> str:
        """Name of the engine, "" for none."""

    @property
    def offer(self) -> Offer | None:
        """The chosen offer."""

    @property
    def verdict(self) -> Verdict | None:
        """Of the pack on the engine."""

    @property
    def ratio(self) -> float | None:
        """Of available to required torque [1]."""

    @property
    def failed(self) -> tuple[FailedCheck, ...]:
        """Checks that the pack fails on the engine."""


COLUMNS = (
    "id",
    "version",
    "pack_id",
    "pack_name",
    "engine_id",
    "engine_name",
    "verdict",
    "ratio",
    "quantity",
    "offer_name",
    "seller",
    "price",
    "currency",
    "link",
    "why",
    "done",
    "failed_checks",
)


@dataclass(frozen=True)
class ShortlistRow:
    """One line of the page."""

    id: str
    version: int
    pack: str
    pack_href: str
    engine: str
    cell_href: str
    verdict: str
    ratio: str
    quantity: str
    offer: str
    price: str
    why: str
    done: bool
    offer_href: str = ""
    failed: str = ""


@dataclass(frozen=True)
class ShortlistPage:
    """The list, with what it comes to."""

    rows: tuple[ShortlistRow, ...]
    totals: str
    empty: bool


def price_text(offer: Offer | None) -> str:
    """The price of an offer with its currency, "" where it has none.

    >>> price_text(Offer(name="x", price=39.9, currency="EUR"))
    '39.90\\xa0EUR'
    """
    if offer is None or offer.price is None:
        return ""
    return f"{number_text(offer.price, decimals=2)}{NBSP}{offer.currency or ''}".strip()


def totals_text(lines: Iterable[OrderLine]) -> str:
    """What the lines that are not ordered yet come to, by currency."""
    sums: dict[str, float] = defaultdict(float)
    open_lines = [line for line in lines if not line.stored.document.done]
    unpriced = 0
    for line in open_lines:
        if line.offer is None or line.offer.price is None:
            unpriced += 1
        else:
            currency = line.offer.currency or "no currency"
            sums[currency] += line.offer.price * line.stored.document.quantity
    if not open_lines:
        return "Everything on the list is ordered."
    parts = [f"{number_text(sums[key], decimals=2)}{NBSP}{key}" for key in sorted(sums)]
    priced = f"{' and '.join(parts)} for what has a price" if parts else "no price is known yet"
    lacks = f"; {unpriced} without one" if unpriced and parts else ""
    count = len(open_lines)
    return f"{count} {'line' if count == 1 else 'lines'} to order: {priced}{lacks}."


def shortlist_page(lines: Sequence[OrderLine]) -> ShortlistPage:
    """The page of the shortlist."""
    return ShortlistPage(
        rows=tuple(_row(line) for line in lines),
        totals=totals_text(lines) if lines else "",
        empty=not lines,
    )


def _row(line: OrderLine) -> ShortlistRow:
    document = line.stored.document
    known = line.ratio is not None and line.ratio == line.ratio  # NaN is not known
    return ShortlistRow(
        id=line.stored.id,
        version=line.stored.version,
        pack=line.pack,
        pack_href=f"/packs/{document.pack}",
        engine=line.engine,
        cell_href=f"/cell/{document.pack}/{document.engine}" if line.verdict else "",
        verdict=line.verdict or "",
        ratio=fast_ratio(line.ratio) if known and line.ratio is not None else "",
        quantity=str(document.quantity),
        offer=line.offer.name if line.offer is not None else "",
        price=price_text(line.offer),
        why=document.why or "",
        done=document.done,
        offer_href=f"/offers/{document.offer}" if line.offer is not None else "",
        failed=failed_words(line.failed),
    )


def shortlist_rows(lines: Sequence[OrderLine]) -> list[tuple[object, ...]]:
    """The lines as the CSV has them, in the order of `COLUMNS`."""
    found: list[tuple[object, ...]] = []
    for line in lines:
        document, offer = line.stored.document, line.offer
        found.append(
            (
                line.stored.id,
                line.stored.version,
                document.pack,
                line.pack,
                document.engine,
                line.engine or None,
                line.verdict,
                line.ratio,
                document.quantity,
                offer.name if offer else None,
                offer.seller if offer else None,
                offer.price if offer else None,
                offer.currency if offer else None,
                offer.link if offer else None,
                document.why,
                document.done,
                ", ".join(line.failed) if line.verdict else None,
            )
        )
    return found
