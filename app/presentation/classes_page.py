"""The page of displacement classes: bands, chart, tables, sellers' claims, in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.comparison.board_view import BoardView, TorqueUnit
from app.comparison.class_board import ClassBoard, PackInClasses
from app.comparison.classes import Demand, Held
from app.errors import Problem
from app.mechanics.inputs import Mounting
from app.presentation.numbers import NBSP, NOT_KNOWN, number_text
from app.presentation.torques import (
    UNIT_LABEL,
    shown_reading,
    span_text,
    torque_in,
)

MOUNTING_WORDS: dict[Mounting, str] = {
    "crankshaft": "On the crankshaft", "geared": "Behind the primary gear",
}
# More capacity lines than this make a chart that nobody can read.
MOST_LINES = 6
# Part of the axis that one line of text takes.
LABEL_ROOM = 0.085


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
    """One pack: capacity as text, the classes it holds, and why not where it can't be told."""

    name: str
    address: str
    mounting: str
    capacity: str
    span: str
    whole: str
    half: str
    note: str


@dataclass(frozen=True)
class ClaimRow:
    """A seller's claim and its judgement; tone is a verdict's key."""

    pack: str
    address: str
    offer: str
    claim: str
    held: str
    verdict: str
    tone: str


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
    """The page `/classes`."""

    state: str
    unit: str
    parts: tuple[MountingPart, ...]
    packs: tuple[PackRow, ...]
    claims: tuple[ClaimRow, ...]
    raw: dict[str, str]
    chosen: tuple[str, ...]
    choices: tuple[tuple[str, str], ...]
    kinds: tuple[tuple[str, str], ...]
    band: str
    source: str
    ratios: str
    factor: str
    problems: tuple[Problem, ...] = ()

    def message_for(self, name: str) -> str | None:
        """What is wrong with one field of the form."""
        return " ".join(p.message for p in self.problems if p.field == name) or None

    def caution_for(self, _name: str) -> str | None:
        """Nothing here is unusual."""
        return None


_TONES = {"supported": "holds", "partly": "tight", "not supported": "slips",
          "can't tell": "unknown"}


def mounting_parts(board: ClassBoard, view: BoardView) -> tuple[MountingPart, ...]:
    """Both mountings, each with its chart of bands and the capacities of its packs."""
    found = []
    for mounting, demands in board.demands.items():
        packs = [p for p in board.packs if p.entry.inputs.mounting == mounting and p.capacity]
        packs.sort(key=lambda p: -(p.capacity.value if p.capacity else 0.0))
        found.append(MountingPart(
            mounting, MOUNTING_WORDS[mounting], _says(packs, mounting),
            _spec(demands, packs[:MOST_LINES], view.unit),
            tuple(_band(d, view.unit, mounting) for d in demands),
        ))
    return tuple(found)


def _says(packs: Sequence[PackInClasses], mounting: Mounting) -> str:
    where = "on the crankshaft" if mounting == "crankshaft" else "behind the primary gear"
    if not packs:
        return f"No pack with a known capacity sits {where}."
    best = max(packs, key=lambda p: (p.held.whole_cc or 0.0, p.capacity.low if p.capacity else 0))
    if best.held.whole_cc is None:
        return f"No pack {where} holds the whole band of even the smallest class."
    return (f"Of {len(packs)} packs {where}, {best.entry.name} reaches furthest: it holds the "
            f"whole band up to {number_text(best.held.whole_cc)}{NBSP}cm³.")


def _band(d: Demand, unit: TorqueUnit, mounting: Mounting) -> BandRow:
    low, middle, high = (torque_in(x, unit) for x in (d.low_nm, d.middle_nm, d.high_nm))
    ratios = "1" if mounting == "crankshaft" else (
        f"{number_text(d.row.ratio_low)}–{number_text(d.row.ratio_high)}")
    return BandRow(
        number_text(d.row.displacement_cc), number_text(low, decimals=1),
        number_text(middle, decimals=1), number_text(high, decimals=1), ratios,
    )


def _spec(
    demands: Sequence[Demand], packs: Sequence[PackInClasses], unit: TorqueUnit
) -> dict[str, Any]:
    places = [number_text(d.row.displacement_cc) for d in demands]
    low = [torque_in(d.low_nm, unit) for d in demands]
    middle = [torque_in(d.middle_nm, unit) for d in demands]
    high = [torque_in(d.high_nm, unit) for d in demands]
    traces: list[dict[str, Any]] = [
        {"type": "bar", "name": "Demand", "x": places, "base": low,
         "y": [b - a for a, b in zip(low, high, strict=True)],
         "marker": {"color": "@band", "line": {"color": "@required", "width": 1}}, "width": 0.6,
         "hovertemplate": "%{x} cm³: %{base:.1f} to %{customdata:.1f}<extra></extra>",
         "customdata": high},
        {"type": "scatter", "mode": "markers", "name": "Middle", "x": places, "y": middle,
         "marker": {"symbol": "line-ew", "size": 16,
                    "line": {"color": "@required", "width": 1.5}}, "hoverinfo": "skip"},
    ]
    notes: list[dict[str, Any]] = []
    for number, pack in enumerate(packs):
        if pack.capacity is None:
            continue
        shown = shown_reading(pack.capacity, unit)
        colour = ("@available", "@second", "@third")[number % 3]
        dash = ("solid", "dash", "dot")[number // 3 % 3]
        traces.append({
            "type": "scatter", "mode": "lines", "name": pack.entry.name, "x": places,
            "y": [shown.low] * len(places), "line": {"color": colour, "width": 2, "dash": dash},
            "hovertemplate": f"{pack.entry.name}: %{{y:.1f}}<extra></extra>",
        })
        notes.append({
            "x": 0.0, "xref": "paper", "y": shown.low, "yref": "y", "text": pack.entry.name,
            "xanchor": "left", "yanchor": "bottom", "showarrow": False,
            "font": {"color": colour, "size": 12},
        })
    top = 1.08 * max([*high, *(n["y"] for n in notes)], default=1.0)
    _spread_out(notes, LABEL_ROOM * top)
    # The axis is not logarithmic: the reader compares heights, and zero is where torque ends.
    layout = {
        "xaxis": {"type": "category", "title": {"text": "Displacement class, cm³"}},
        "yaxis": {"title": {"text": f"Torque at the clutch, {UNIT_LABEL[unit]}"},
                  "rangemode": "tozero", "range": [0.0, top]},
        "annotations": notes, "barmode": "overlay",
    }
    return {"traces": traces, "layout": layout}


def _spread_out(notes: list[dict[str, Any]], room: float) -> None:
    """Move labels up until no two stand within `room` of each other, the lowest first."""
    last = -room
    for note in sorted(notes, key=lambda n: float(n["y"])):
        note["y"] = max(float(note["y"]), last + room)
        last = note["y"]


def pack_rows(board: ClassBoard, view: BoardView) -> tuple[PackRow, ...]:
    """A row for every pack, with ready texts."""
    return tuple(_pack_row(p, view) for p in board.packs)


def _pack_row(pack: PackInClasses, view: BoardView) -> PackRow:
    mounting = pack.entry.inputs.mounting
    capacity, span = NOT_KNOWN, ""
    if pack.capacity is not None:
        shown = shown_reading(pack.capacity, view.unit)
        capacity = number_text(shown.value, decimals=1)
        span = span_text(number_text(shown.low, decimals=1), number_text(shown.high, decimals=1))
    return PackRow(
        pack.entry.name, f"/packs/{pack.entry.public_id}",
        MOUNTING_WORDS[mounting].lower() if mounting else NOT_KNOWN, capacity, span,
        _held(pack.held.whole_cc, pack), _held(pack.held.half_cc, pack), pack.why_not or "",
    )


def _held(size: float | None, pack: PackInClasses) -> str:
    if pack.why_not is not None:
        return NOT_KNOWN
    return "none" if size is None else f"{number_text(size)}{NBSP}cm³"


def claim_rows(board: ClassBoard) -> tuple[ClaimRow, ...]:
    """A row for every seller's claim on the packs shown."""
    return tuple(
        ClaimRow(
            pack.entry.name, f"/packs/{pack.entry.public_id}", judged.made.offer,
            _claim(judged.made.low_cc, judged.made.high_cc),
            NOT_KNOWN if pack.why_not else held_words(pack.held), judged.verdict.capitalize(),
            _TONES[judged.verdict],
        )
        for pack in board.packs for judged in pack.claims
    )


def _claim(low: float | None, high: float | None) -> str:
    if low is None and high is None:
        return "no displacement named"
    if low is None or high is None or low == high:
        return f"{number_text(low if high is None else high or 0.0)}{NBSP}cm³"
    return f"{number_text(low)} to {number_text(high)}{NBSP}cm³"


def held_words(held: Held) -> str:
    """What a pack holds, in words."""
    if held.whole_cc is None and held.half_cc is None:
        return "not even the lighter half of the smallest class"
    if held.whole_cc is None:
        return f"the lighter half up to {number_text(held.half_cc or 0.0)}{NBSP}cm³"
    return f"the whole band up to {number_text(held.whole_cc)}{NBSP}cm³"


