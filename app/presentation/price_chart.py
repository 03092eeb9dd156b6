"""Price against margin: the offers of the packs for one engine, as chart, sentence and table."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.comparison.board import EngineEntry, PackEntry
from app.comparison.run import compare
from app.comparison.verdict import VERDICTS, Verdict
from app.documents import Offer
from app.presentation.board_chart import short_label
from app.presentation.numbers import number_text, ratio_text
from app.presentation.readouts import STATE
from app.presentation.shortlist_page import price_text

MOST_DRAWN = 40
_COLOURS = {"holds": "@available", "tight": "@second", "slips": "@limit"}
_SYMBOLS = {"holds": "circle", "tight": "triangle-up", "slips": "square"}


@dataclass(frozen=True)
class PriceRow:
    """One offer of a pack whose ratio is known."""

    pack: str
    href: str
    verdict: Verdict
    ratio: str
    interval: str
    price: str
    offer: str
    offer_href: str


@dataclass(frozen=True)
class PriceView:
    """The chart with its sentence and its table."""

    title: str
    says: str
    spec: dict[str, Any]
    rows: tuple[PriceRow, ...]


@dataclass(frozen=True)
class _Point:
    pack: PackEntry
    key: str
    offer: Offer
    price: float
    ratio: float
    low: float
    high: float
    verdict: Verdict


def price_view(
    engine: EngineEntry, packs: Sequence[PackEntry], offers: Sequence[tuple[str, Offer]]
) -> PriceView | None:
    """Prices against margins for one engine, None where no offer has a price and a known ratio.

    One currency is drawn, the one that most offers have; the table has them all.

    Args:
        engine: to be held.
        packs: every pack in use.
        offers: every offer in use, by id.
    """
    points = _points(engine, packs, offers)
    if not points:
        return None
    counted = Counter(p.offer.currency or "" for p in points)
    currency = max(sorted(counted), key=lambda key: counted[key])
    drawn = [p for p in points if (p.offer.currency or "") == currency][:MOST_DRAWN]
    return PriceView(
        title=f"Price against margin over {engine.name}",
        says=_says(engine.name, points, drawn, currency),
        spec=_spec(drawn, currency),
        rows=tuple(_row(p, engine) for p in points),
    )


def _points(
    engine: EngineEntry, packs: Sequence[PackEntry], offers: Sequence[tuple[str, Offer]]
) -> list[_Point]:
    by_id = {pack.public_id: pack for pack in packs}
    priced = [(k, o) for k, o in offers if o.price is not None and o.pack in by_id]
    asked = list(dict.fromkeys(o.pack or "" for _, o in priced))
    if not asked:
        return []
    board = compare([by_id[key].inputs for key in asked], [engine.inputs], STATE)
    place = {key: i for i, key in enumerate(asked)}
    found = []
    for key, offer in priced:
        i = place[offer.pack or ""]
        ratio, low, high = (float(a[i, 0]) for a in (board.ratio, board.low, board.high))
        if math.isfinite(ratio) and math.isfinite(low) and math.isfinite(high):
            word = VERDICTS[board.verdict[i, 0]]
            pack = by_id[offer.pack or ""]
            found.append(_Point(pack, key, offer, offer.price or 0.0, ratio, low, high, word))
    return sorted(found, key=lambda p: (p.offer.currency or "", p.price, p.pack.name))


def _says(name: str, points: Sequence[_Point], drawn: Sequence[_Point], currency: str) -> str:
    holding = [p for p in drawn if p.verdict == "holds"]
    unit = f" {currency}" if currency else ""
    if holding:
        best = holding[0]
        text = (
            f"The cheapest pack that holds {name} is {best.pack.name} for "
            f"{price_text(best.offer)}, at a ratio of {ratio_text(best.ratio)}."
        )
    else:
        text = f"No pack with a price{' in' + unit if unit else ''} holds {name}."
    left = len(points) - len(drawn)
    more = f" {left} more in the table only." if left else ""
    return f"{text} {len(drawn)} offers are drawn; whiskers are 95\u00a0% intervals.{more}"


def _spec(drawn: Sequence[_Point], currency: str) -> dict[str, Any]:
    """Plain dicts: price across, ratio up, the limit of 1 dashed; names beside the points."""
    money = f"Price of one pack [{currency}]" if currency else "Price of one pack"
    trace = {
        "type": "scatter",
        "mode": "markers+text",
        "x": [p.price for p in drawn],
        "y": [p.ratio for p in drawn],
        "error_y": {
            "type": "data",
            "symmetric": False,
            "array": [p.high - p.ratio for p in drawn],
            "arrayminus": [p.ratio - p.low for p in drawn],
            "color": "@muted",
            "thickness": 1.5,
            "width": 4,
        },
        "text": [f"  {short_label(p.pack.name)}" for p in drawn],
        "textposition": "middle right",
        "textfont": {"color": "@ink", "size": 12},
        "marker": {
            "size": 10,
            "color": [_COLOURS[p.verdict] for p in drawn],
            "symbol": [_SYMBOLS[p.verdict] for p in drawn],
        },
        "hovertemplate": "%{text}: %{x:.2f}, ratio %{y:.2f}<extra></extra>",
    }
    top = max(p.high for p in drawn)
    far = max(p.price for p in drawn)
    return {
        "traces": [trace],
        "layout": {
            "xaxis": {"title": {"text": money}, "range": [0, far * 1.3 or 1.0]},
            "yaxis": {
                "title": {"text": "Ratio of available to required torque"},
                "range": [0, max(top, 1.0) * 1.12],
            },
            "shapes": [
                {
                    "type": "line",
                    "xref": "paper",
                    "x0": 0,
                    "x1": 1,
                    "y0": 1,
                    "y1": 1,
                    "layer": "below",
                    "line": {"color": "@limit", "dash": "dash", "width": 1.5},
                    "label": {
                        "text": "limit 1",
                        "textposition": "end",
                        "font": {"color": "@limit"},
                    },
                }
            ],
        },
    }


def _row(point: _Point, engine: EngineEntry) -> PriceRow:
    return PriceRow(
        pack=point.pack.name,
        href=f"/cell/{point.pack.public_id}/{engine.public_id}",
        verdict=point.verdict,
        ratio=ratio_text(point.ratio),
        interval=f"{ratio_text(point.low)}–{ratio_text(point.high)}",
        price=price_text(point.offer) or number_text(point.price),
        offer=point.offer.name,
        offer_href=f"/offers/{point.key}",
    )
