"""Price against margin: the offers of the packs for one engine, as chart, sentence and table."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.comparison.board import EngineEntry, PackEntry
from app.comparison.failed_checks import FailedCheck, failed_checks
from app.comparison.run import compare
from app.comparison.verdict import VERDICTS, Verdict
from app.documents import Offer
from app.presentation.board_chart import short_label
from app.presentation.board_failed import failed_words
from app.presentation.numbers import number_text, ratio_text
from app.presentation.readouts import STATE
from app.presentation.shortlist_page import price_text

MOST_DRAWN = 40
_COLOURS = {"holds": "@available", "tight": "@second", "slips": "@limit"}
_SYMBOLS = {"holds": "circle", "tight": "triangle-up", "slips": "square"}
# What a narrow chart's axes have in pixels, a sign and a line of a label, and a point's own room.
_WIDE, _HIGH, _SIGN, _LINE, _POINT = 300.0, 260.0, 6.6, 15.0, 8.0


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
    failed: str = ""


@dataclass(frozen=True)
class PriceView:
    """The chart with its sentence and its table; `finding` is what it says without the drawing."""

    title: str
    finding: str
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
    failed: tuple[FailedCheck, ...]


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
    finding = _finding(engine.name, drawn, currency)
    return PriceView(
        title=f"Price against margin over {engine.name}",
        finding=finding,
        says=f"{finding} {_of_drawing(points, drawn, currency)}",
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
    inputs = [by_id[key].inputs for key in asked]
    board = compare(inputs, [engine.inputs], STATE)
    failed = failed_checks(inputs, [engine.inputs], STATE, board.capacity)
    place = {key: i for i, key in enumerate(asked)}
    found = []
    for key, offer in priced:
        i = place[offer.pack or ""]
        ratio, low, high = (float(a[i, 0]) for a in (board.ratio, board.low, board.high))
        if math.isfinite(ratio) and math.isfinite(low) and math.isfinite(high):
            word = VERDICTS[board.verdict[i, 0]]
            pack = by_id[offer.pack or ""]
            price, beside = offer.price or 0.0, failed.get((i, 0), ())
            found.append(_Point(pack, key, offer, price, ratio, low, high, word, beside))
    return sorted(found, key=lambda p: (p.offer.currency or "", p.price, p.pack.name))


def _finding(name: str, drawn: Sequence[_Point], currency: str) -> str:
    holding = [p for p in drawn if p.verdict == "holds"]
    sound = [p for p in holding if not p.failed]
    money = f" in {currency}" if currency else ""
    if sound:
        best = sound[0]
        text = (
            f"The cheapest pack that holds {name} and passes its checks is {best.pack.name} for "
            f"{price_text(best.offer)}, at a ratio of {ratio_text(best.ratio)}."
        )
    elif holding:
        text = f"No pack with a price{money} holds {name} and passes its checks."
    else:
        text = f"No pack with a price{money} holds {name}."
    cheaper = [p for p in holding if p.failed and (not sound or p.price < sound[0].price)]
    if cheaper:
        traps = ", ".join(f"{p.pack.name} ({failed_words(p.failed)})" for p in cheaper[:3])
        text += f" For less there is torque with a failed check: {traps}."
    return text


def _of_drawing(points: Sequence[_Point], drawn: Sequence[_Point], currency: str) -> str:
    others = sorted({p.offer.currency or "no currency named" for p in points
                     if (p.offer.currency or "") != currency})
    left = len(points) - len(drawn)
    more = f" {left} more in the table only" if left else ""
    if others:
        more += f" (asking {', '.join(others)}: prices are compared within one currency only)"
    return (f"{len(drawn)} offers are drawn, hollow where a check fails; whiskers are "
            f"95\u00a0% intervals.{more}{'.' if more else ''}")


def _spec(drawn: Sequence[_Point], currency: str) -> dict[str, Any]:
    """Plain dicts: price across, ratio up, the limit of 1 dashed; names beside the points."""
    money = f"Price of one pack [{currency}]" if currency else "Price of one pack"
    top = max(*(p.high for p in drawn), 1.0) * 1.12
    far = max(p.price for p in drawn) * 1.3 or 1.0
    places = _label_places(drawn, far, top)
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
        "text": [f"  {short_label(p.pack.name)}  " if at else "" for p, at in
                 zip(drawn, places, strict=True)],
        "textposition": [at or "middle right" for at in places],
        "textfont": {"color": "@ink", "size": 12},
        "customdata": [short_label(p.pack.name) for p in drawn],
        "marker": {
            "size": 10,
            "color": [_COLOURS[p.verdict] for p in drawn],
            "symbol": [_SYMBOLS[p.verdict] + ("-open" if p.failed else "") for p in drawn],
            "line": {"width": [2 if p.failed else 0 for p in drawn]},
        },
        "hovertemplate": "%{customdata}: %{x:.2f}, ratio %{y:.2f}<extra></extra>",
    }
    return {
        "traces": [trace],
        "layout": {
            "xaxis": {"title": {"text": money}, "range": [0, far]},
            "yaxis": {
                "title": {"text": "Ratio of available to required torque"},
                "range": [0, top],
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


def _label_places(drawn: Sequence[_Point], far: float, top: float) -> list[str]:
    """Where each name stands beside its point on a narrow screen; "" where there is no room.

    Packs that hold and pass their checks are named first; the table names them all.
    """
    at = [(p.price / far * _WIDE, p.ratio / top * _HIGH) for p in drawn]
    taken = [(x - _POINT, y - _POINT, x + _POINT, y + _POINT) for x, y in at]
    taken += [(x - 3, p.low / top * _HIGH, x + 3, p.high / top * _HIGH)
              for (x, _), p in zip(at, drawn, strict=True)]
    found = [""] * len(drawn)
    rank = {"holds": 0, "tight": 1}
    order = sorted(range(len(drawn)),
                   key=lambda i: (rank.get(drawn[i].verdict, 2), bool(drawn[i].failed)))
    for i in order:
        x, y = at[i]
        wide = _SIGN * len(short_label(drawn[i].pack.name)) + _POINT
        sides = (("middle right", x + _POINT + 1), ("middle left", x - _POINT - 1 - wide))
        for place, left in sides:
            box = (left, y - _LINE / 2, left + wide, y + _LINE / 2)
            inside = left >= 0 and left + wide <= _WIDE
            if inside and not any(_overlap(box, other) for other in taken):
                found[i] = place
                taken.append(box)
                break
    return found


def _overlap(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return (one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3])


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
        failed=failed_words(point.failed) if point.verdict in ("holds", "tight") else "",
    )
