"""The page of displacement classes: bands, chart, tables, sellers' claims, in words."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from app.comparison.board_view import BoardView, Order, OrderBy, TorqueUnit
from app.comparison.class_board import ClassBoard, PackInClasses
from app.comparison.classes import Demand
from app.errors import Problem
from app.mechanics.inputs import Mounting
from app.mechanics.tables import suggested_service_factor
from app.presentation.board_cells import Head
from app.presentation.board_failed import failed_words
from app.presentation.class_chart import MOST_LINES, class_chart
from app.presentation.class_words import (
    CLAIM_RULE,
    CLAIM_TONES,
    CLAIM_WORDS,
    claimed_classes,
    claimed_text,
    held_or_not_known,
    size_text,
)
from app.presentation.numbers import NOT_KNOWN, number_text
from app.presentation.record_list import Pager, near
from app.presentation.torques import shown_reading, span_text, torque_in

MOUNTING_WORDS: dict[Mounting, str] = {
    "crankshaft": "On the crankshaft", "geared": "Behind the primary gear",
}


@dataclass(frozen=True)
class BandRow:
    """One class at one mounting: ready texts, torques without their unit."""

    displacement: str
    low: str
    middle: str
    high: str
    ratios: str


@dataclass(frozen=True)
class PackRow:
    """One pack: capacity as text, the classes it holds, and why not where it can't be told.

    `failed` names checks that outrank torque and that the pack fails; `checks` is their address.
    """

    name: str
    address: str
    mounting: str
    capacity: str
    span: str
    whole: str
    half: str
    note: str
    failed: str = ""
    checks: str = ""


@dataclass(frozen=True)
class ClaimRow:
    """A seller's claim and its judgement; tone is a verdict's key."""

    pack: str
    address: str
    offer: str
    offer_address: str
    claim: str
    classes: str
    held: str
    verdict: str
    tone: str
    failed: str = ""
    checks: str = ""


@dataclass(frozen=True)
class MountingPart:
    """Everything of one mounting: its bands, its chart, its finding in a sentence."""

    key: str
    title: str
    says: str
    spec: dict[str, Any]
    bands: tuple[BandRow, ...]


@dataclass(frozen=True)
class ClassesPage:
    """Everything of the page; it reads like a form, with what was typed in its boxes.

    Attributes:
        found: "14 packs against 11 classes", read out when it changes.
        factor_says: what the service factor does, and what is usual.
        heads: of the packs' names and capacities, which sort.
        pager: of the packs; `claims_pager` of the claims.
        kept: names and values that the form sends along unseen.
        sizes: the classes, to choose the least that a pack is to hold.
    """

    state: str
    unit: str
    parts: tuple[MountingPart, ...]
    packs: tuple[PackRow, ...]
    claims: tuple[ClaimRow, ...]
    raw: dict[str, str]
    chosen: tuple[str, ...]
    kinds: tuple[tuple[str, str], ...]
    band: str
    source: str
    ratios: str
    factor: str
    problems: tuple[Problem, ...] = ()
    found: str = ""
    factor_says: str = ""
    heads: tuple[Head, Head] | None = None
    pager: Pager | None = None
    claims_pager: Pager | None = None
    kept: tuple[tuple[str, str], ...] = ()
    sizes: tuple[tuple[str, str], ...] = ()
    claim_rule: str = field(default=CLAIM_RULE)

    def message_for(self, name: str) -> str | None:
        """What is wrong with one field of the form."""
        return " ".join(p.message for p in self.problems if p.field == name) or None

    def caution_for(self, _name: str) -> str | None:
        """Nothing here is unusual."""
        return None


def found_words(board: ClassBoard, holds: float | None = None, listed: int = 0) -> str:
    """How many packs are held against how many classes, and how many hold the class asked for."""
    packs, classes = len(board.entries), len(board.sizes)
    told = (f"{packs} pack{'' if packs == 1 else 's'} against "
            f"{classes} class{'' if classes == 1 else 'es'}")
    return told if holds is None else f"{told}; {listed} hold {size_text(holds)} or more"


def size_choices(sizes: Sequence[float]) -> tuple[tuple[str, str], ...]:
    """Any class, or one of these [cm³], as a form offers them."""
    return (("", "Any"), *((number_text(size), size_text(size)) for size in sizes))


def factor_words(strokes: int | None, factor: float) -> str:
    """What the service factor does to the demand, and what is usual for such engines."""
    usual = [
        f"{number_text(row.factor)} for {words} ({number_text(row.factor_low)} to "
        f"{number_text(row.factor_high)})"
        for cylinders, words in ((1, "one cylinder"), (2, "two"))
        if (row := suggested_service_factor(strokes or 4, cylinders)) is not None
    ]
    kind = "two-strokes" if strokes == 2 else "four-strokes"
    common = f"Common practice, no source, for {kind}: {', '.join(usual)}." if usual else ""
    if factor == 1.0:
        return (
            "Service factor 1 asks for the engine’s mean torque and no more. The torque of a "
            "single pulses far above its mean, and a start on a hill asks more again, so a class "
            f"that is held here may still slip. {common} None is set unasked: type one above. "
            "The board takes each engine’s own."
        )
    return (f"Every demand is multiplied by the service factor {number_text(factor)}. {common} "
            "The board takes each engine’s own.")


def mounting_parts(board: ClassBoard, view: BoardView) -> tuple[MountingPart, ...]:
    """Both mountings, each with its chart of bands and the largest of its packs."""
    found = []
    for mounting, demands in board.demands.items():
        places = board.standing(mounting)
        drawn = board.rows(places[:MOST_LINES].tolist())
        found.append(MountingPart(
            mounting, MOUNTING_WORDS[mounting], _says(board, mounting),
            class_chart(demands, drawn, view.unit),
            tuple(_band(d, view.unit, mounting) for d in demands),
        ))
    return tuple(found)


def _says(board: ClassBoard, mounting: Mounting) -> str:
    where = "on the crankshaft" if mounting == "crankshaft" else "behind the primary gear"
    places = board.standing(mounting)
    if not places.size:
        return f"No pack with a known capacity sits {where}."
    reached = np.nan_to_num(board.whole[places])
    best = int(places[np.lexsort((board.low[places], reached))[-1]])
    whole, name = float(board.whole[best]), board.entries[best].name
    if math.isnan(whole):
        return (f"No pack {where} holds the whole band of even the smallest class, at service "
                f"factor {number_text(board.service_factor)}.")
    many = f"Of {places.size} packs" if places.size > 1 else "Of one pack"
    drawn = f" The {MOST_LINES} largest are drawn." if places.size > MOST_LINES else ""
    return (f"{many} {where}, {name} reaches furthest: it holds the whole band up to "
            f"{size_text(whole)}, at service factor {number_text(board.service_factor)}.{drawn}")


def _band(d: Demand, unit: TorqueUnit, mounting: Mounting) -> BandRow:
    low, middle, high = (torque_in(x, unit) for x in (d.low_nm, d.middle_nm, d.high_nm))
    ratios = "1" if mounting == "crankshaft" else (
        f"{number_text(d.row.ratio_low)}–{number_text(d.row.ratio_high)}")
    return BandRow(
        number_text(d.row.displacement_cc), number_text(low, decimals=1),
        number_text(middle, decimals=1), number_text(high, decimals=1), ratios,
    )


def pack_rows(packs: Sequence[PackInClasses], view: BoardView) -> tuple[PackRow, ...]:
    """A row for every pack, with ready texts."""
    return tuple(_pack_row(p, view) for p in packs)


def _pack_row(pack: PackInClasses, view: BoardView) -> PackRow:
    mounting, address = pack.entry.inputs.mounting, f"/packs/{pack.entry.public_id}"
    capacity, span = NOT_KNOWN, ""
    if pack.capacity is not None:
        shown = shown_reading(pack.capacity, view.unit)
        capacity = number_text(shown.value, decimals=1)
        span = span_text(number_text(shown.low, decimals=1), number_text(shown.high, decimals=1))
    return PackRow(
        pack.entry.name, address,
        MOUNTING_WORDS[mounting].lower() if mounting else NOT_KNOWN, capacity, span,
        _held(pack.held.whole_cc, pack), _held(pack.held.half_cc, pack), pack.why_not or "",
        failed_words(pack.failed), f"{address}#checks",
    )


def _held(size: float | None, pack: PackInClasses) -> str:
    if pack.why_not is not None:
        return NOT_KNOWN
    return "none" if size is None else size_text(size)


def claim_rows(board: ClassBoard, packs: Sequence[PackInClasses]) -> tuple[ClaimRow, ...]:
    """A row for every seller's claim on these packs."""
    return tuple(
        ClaimRow(
            pack.entry.name, f"/packs/{pack.entry.public_id}", judged.made.offer,
            f"/offers/{judged.made.offer_id}#claim" if judged.made.offer_id else "",
            claimed_text(judged.made.low_cc, judged.made.high_cc) or "no displacement named",
            claimed_classes(judged.made.low_cc, judged.made.high_cc, board.sizes),
            held_or_not_known(pack), CLAIM_WORDS[judged.verdict], CLAIM_TONES[judged.verdict],
            failed_words(pack.failed), f"/packs/{pack.entry.public_id}#checks",
        )
        for pack in packs for judged in pack.claims
    )


def class_heads(view: BoardView, address: Callable[[BoardView], str]) -> tuple[Head, Head]:
    """Headings that sort by name and by capacity."""
    now = view.order or Order("name")
    heads = []
    columns: tuple[tuple[str, OrderBy, bool], ...] = (
        ("Pack", "name", False), ("Capacity", "capacity", True))
    for text, key, falling_first in columns:
        mine = now.by == key
        asked = Order(key, None, not now.falling if mine else falling_first)
        stands = ("descending" if now.falling else "ascending") if mine else ""
        heads.append(Head(text, address(view.but(order=asked)), stands, key))
    return heads[0], heads[1]


def pages_of(
    noun: str, page: int, per: int, total: int, at: Callable[[int], str]
) -> tuple[Pager, slice]:
    """The pager of a list and the part of it that a page shows; beyond the last: the last."""
    pages = max(1, -(-total // per))
    told = f"; there is no page {page}, so this is the last" if page > pages else ""
    page = min(page, pages)
    first, last = (page - 1) * per, min(page * per, total)
    links: list[tuple[str, str, bool]] = []
    for before, number in zip([0, *near(page, pages)], near(page, pages), strict=False):
        if number - before > 1:
            links.append(("…", "", False))
        links.append((str(number), at(number), number == page))
    summary = f"{noun} {first + 1}–{last} of {total}{told}" if total else f"No {noun.lower()}"
    return Pager(
        summary, at(page - 1) if page > 1 else "", at(page + 1) if page < pages else "",
        tuple(links),
    ), slice(first, last)

