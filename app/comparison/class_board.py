"""Packs against displacement classes: demand bands, what each pack holds, sellers' claims."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from app.comparison.board import PackEntry
from app.comparison.cell import Reading
from app.comparison.classes import (
    Claim,
    ClassRow,
    Demand,
    Held,
    demand,
    judge_claim,
    largest_held,
)
from app.comparison.run import Side, work_out_sides
from app.mechanics import doubt
from app.mechanics.class_table import DisplacementClass
from app.mechanics.inputs import CentrifugalClamp, EngineInputs, Mounting, State
from app.mechanics.tables import BmepBand


@dataclass(frozen=True, slots=True)
class ClaimMade:
    """What a seller says of a pack: its public id, the offer's name, displacements [cm³]."""

    pack: str
    offer: str
    seller: str
    low_cc: float | None
    high_cc: float | None


@dataclass(frozen=True, slots=True)
class ClaimJudged:
    """A claim with its judgement."""

    made: ClaimMade
    verdict: Claim


@dataclass(frozen=True, slots=True)
class PackInClasses:
    """One pack: capacity [N·m] or why it is not known, the classes it holds, its claims."""

    entry: PackEntry
    capacity: Reading | None
    why_not: str | None
    held: Held
    claims: tuple[ClaimJudged, ...]


@dataclass(frozen=True)
class ClassBoard:
    """Demands [N·m] of every class at each mounting, and the packs held against them."""

    band: BmepBand
    service_factor: float
    demands: dict[Mounting, tuple[Demand, ...]]
    packs: tuple[PackInClasses, ...]


def class_rows(
    classes: Sequence[DisplacementClass], band: BmepBand, strokes: Literal[2, 4], factor: float
) -> list[ClassRow]:
    """The classes with the mean effective pressures [kPa] of one kind of engine."""
    return [
        ClassRow(c.displacement_cc, strokes, band.low_kpa, band.high_kpa, c.ratio_low,
                 c.ratio_high, factor)
        for c in classes
    ]


def class_board(
    packs: Sequence[PackEntry],
    claims: Sequence[ClaimMade],
    state: State,
    classes: Sequence[DisplacementClass],
    band: BmepBand,
    strokes: Literal[2, 4],
    factor: float = 1.0,
    carried: Side | None = None,
) -> ClassBoard:
    """Hold packs against displacement classes in one state.

    Args:
        packs: packs of the catalogue.
        claims: what sellers say of them.
        state: the state of the comparison.
        classes: the classes, smallest first.
        band: mean effective pressures of the kind of engine [kPa].
        strokes: 2 or 4.
        factor: service factor on every demand [1].
        carried: what the packs carry in the state, where it was worked out before.

    Returns:
        ClassBoard in N·m and cm³.

    Range: a clamp that depends on speed has no capacity without an engine.
    Source: app.comparison.classes.
    """
    rows = class_rows(classes, band, strokes, factor)
    demands: dict[Mounting, tuple[Demand, ...]] = {
        mounting: tuple(demand(row, mounting) for row in rows)
        for mounting in ("crankshaft", "geared")
    }
    if carried is None and packs:
        carried = work_out_sides([p.inputs for p in packs], [EngineInputs()], state).packs
    capacities = [] if carried is None else _capacities(carried)
    by_pack: dict[str, list[ClaimMade]] = {}
    for claim in claims:
        by_pack.setdefault(claim.pack, []).append(claim)
    found = tuple(
        _pack(entry, capacity, demands, by_pack.get(entry.public_id, ()))
        for entry, capacity in zip(packs, capacities, strict=True)
    )
    return ClassBoard(band, factor, demands, found)


def _capacities(side: Side) -> list[Reading | None]:
    with np.errstate(invalid="ignore", divide="ignore"):
        low, high = doubt.interval(side.value, side.cumulants)
        std = side.value * np.sqrt(side.relative_variance)
    return [
        None if math.isnan(value) else Reading(float(value), float(s), float(a), float(b))
        for value, s, a, b in zip(side.value, std, low, high, strict=True)
    ]


def _pack(
    entry: PackEntry, capacity: Reading | None, demands: dict[Mounting, tuple[Demand, ...]],
    own: Sequence[ClaimMade],
) -> PackInClasses:
    mounting = entry.inputs.mounting
    why = None
    if capacity is None:
        why = "its clamp depends on the engine's speed" \
            if isinstance(entry.inputs.clamp, CentrifugalClamp) else "a figure is missing"
    elif mounting is None:
        why = "its mounting is not recorded"
    if capacity is None or mounting is None:
        return PackInClasses(entry, capacity, why, Held(None, None),
                             tuple(ClaimJudged(c, "can't tell") for c in own))
    bands = demands[mounting]
    judged = tuple(
        ClaimJudged(c, judge_claim(c.low_cc, c.high_cc, capacity.low,
                                   _nearest(bands, c.high_cc or c.low_cc), mounting))
        for c in own
    )
    return PackInClasses(entry, capacity, None, largest_held(capacity.low, bands), judged)


def _nearest(demands: Sequence[Demand], displacement: float | None) -> ClassRow:
    """The class whose ratios a claimed size is judged by: the nearest one."""
    size = displacement or demands[0].row.displacement_cc
    return min((d.row for d in demands), key=lambda row: abs(row.displacement_cc - size))
