"""The lowest price of each pack, out of the offers in use."""

from collections import Counter

from sqlmodel import Session

from app.comparison.board import PackPrice
from app.records.source_queries import priced_offers


def lowest_prices(session: Session) -> dict[str, PackPrice]:
    """The lowest price by pack, those of the commonest currency first and rising.

    Prices in two currencies can't be compared. So a pack that has an offer in the currency that
    most offers have is told at its lowest price in that one.
    """
    rows = priced_offers(session)
    counts = Counter(row["currency"] or "" for row in rows)
    common = max(sorted(counts), key=lambda currency: counts[currency], default="")
    found: dict[str, PackPrice] = {}
    # The rows rise, and a stable sort keeps them so within a currency.
    for row in sorted(rows, key=lambda r: (r["currency"] != (common or None), r["currency"] or "")):
        found.setdefault(
            row["pack_public_id"],
            PackPrice(
                row["price"],
                row["currency"] or "",
                row["seller"] or "",
                row["public_id"],
                row["name"],
            ),
        )
    return found
