from dataclasses import dataclass, field, replace

from app.comparison.failed_checks import FailedCheck
from app.comparison.verdict import Verdict
from app.documents import Offer, ShortlistLine
from app.presentation.shortlist_page import COLUMNS, shortlist_page, shortlist_rows, totals_text


@dataclass(frozen=True)
class Kept:
    document: ShortlistLine
    id: str = "k"
    version: int = 2


@dataclass(frozen=True)
class Line:
    stored: Kept = field(default_factory=lambda: Kept(ShortlistLine(name="A", pack="p")))
    pack: str = "One"
    engine: str = "E"
    offer: Offer | None = None
    verdict: Verdict | None = "holds"
    ratio: float | None = 1.234
    failed: tuple[FailedCheck, ...] = ()


def line(price: float | None, currency: str | None = "EUR", **more: object) -> Line:
    document = ShortlistLine(name="A", pack="p", engine="e", **more)
    offer = None if price is None else Offer(name="O", price=price, currency=currency)
    return Line(Kept(document), offer=offer)


def test_sums_are_by_currency_and_say_what_has_no_price() -> None:
    lines = [line(10, quantity=2), line(5, "GBP"), line(None), line(99, done=True)]
    told = totals_text(lines).replace("\u00a0", " ")
    assert told == "3 lines to order: 20.00 EUR and 5.00 GBP for what has a price; 1 without one."
    assert totals_text([line(None)]) == "1 line to order: no price is known yet."
    assert totals_text([line(1, done=True)]) == "Everything on the list is ordered."


def test_a_row_links_to_pack_and_cell() -> None:
    (row,) = shortlist_page([line(39.9)]).rows
    assert (row.pack_href, row.cell_href) == ("/packs/p", "/cell/p/e")
    assert (row.verdict, row.ratio, row.price) == ("holds", "1.23", "39.90\u00a0EUR")
    unknown = Line(ratio=float("nan"), verdict=None)
    (row,) = shortlist_page([unknown]).rows
    assert (row.ratio, row.cell_href) == ("", "")
    assert shortlist_page([]).empty


def test_the_csv_has_a_cell_for_each_column() -> None:
    rows = shortlist_rows([line(39.9, why="=x"), line(None)])
    assert {len(row) for row in rows} == {len(COLUMNS)}
    first = dict(zip(COLUMNS, rows[0], strict=True))
    assert (first["price"], first["ratio"], first["why"], first["done"]) == (
        39.9, 1.234, "=x", False,
    )  # fmt: skip


def test_a_pack_that_fails_a_check_says_so_before_it_is_ordered() -> None:
    fails = replace(line(10), failed=("can_release", "spring_stress"))
    (row,) = shortlist_page([fails]).rows
    assert row.failed == "won’t release, springs overstressed"
    (cells,) = shortlist_rows([fails])
    assert dict(zip(COLUMNS, cells, strict=True))["failed_checks"] == "can_release, spring_stress"
    # Without an engine nothing was checked, which is not the same as nothing failed.
    (cells,) = shortlist_rows([replace(line(10), verdict=None)])
    assert cells[-1] is None
