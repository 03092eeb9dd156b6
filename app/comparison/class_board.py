"""Packs against displacement classes: demand bands, what each pack holds, sellers' claims."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from app.comparison.board import PackEntry
from app.comparison.cell import Reading
from app.comparison.classes import (
    Claim,
    ClassRow,
    Demand,
    Held,
    classes_held,
    demand,
    held_of,
    judge_claim,
)
from app.comparison.failed_checks import FailedCheck, failed_alone
from app.comparison.run import Side, work_out_sides
from app.mechanics import doubt
from app.mechanics.class_table import DisplacementClass
from app.mechanics.inputs import MOUNTINGS, CentrifugalClamp, EngineInputs, Mounting, State
from app.mechanics.tables import BmepBand
from app.mechanics.traced import Array


@dataclass(frozen=True, slots=True)
class ClaimMade:
    """What a seller says of a pack: its public id, the offer's name and id, displacements [cm³]."""

    pack: str
    offer: str
    seller: str
    low_cc: float | None
    high_cc: float | None
    offer_id: str = ""


@dataclass(frozen=True, slots=True)
class ClaimJudged:
    """A claim with its judgement."""

    made: ClaimMade
    verdict: Claim


@dataclass(frozen=True, slots=True)
class PackInClasses:
    """One pack among the classes.

    Attributes:
        capacity: what it carries [N·m], None where that is not known.
        why_not: why nothing can be said of its classes; None where it can.
        held: the largest classes [cm³].
        failed: checks that outrank torque and that the pack fails on any engine.
    """

    entry: PackEntry
    capacity: Reading | None
    why_not: str | None
    held: Held
    claims: tuple[ClaimJudged, ...]
    failed: tuple[FailedCheck, ...] = ()

    @property
    def known(self) -> Held | None:
        """What is held, None where that is not known."""
        return None if self.why_not else self.held


@dataclass(frozen=True, eq=False)
class ClassBoard:
    """Demands [N·m] of every class at each mounting, and the packs held against them.

    All packs are worked out as arrays; `pack` makes one of them ready to be shown.

    Attributes:
        entries: every pack asked for, in their order; the arrays have the same.
        value: capacities [N·m], NaN where not known; `std`, `low`, `high` likewise.
        mounting: place in MOUNTINGS, −1 where it is not known.
        whole: largest class whose whole band is held [cm³], NaN for none; `half` its lighter half.
        made: what sellers claim of the packs.
    """

    band: BmepBand
    service_factor: float
    demands: dict[Mounting, tuple[Demand, ...]]
    state: State
    entries: Sequence[PackEntry]
    value: Array
    std: Array
    low: Array
    high: Array
    mounting: NDArray[np.intp]
    whole: Array
    half: Array
    made: tuple[ClaimMade, ...]

    @cached_property
    def sizes(self) -> tuple[float, ...]:
        """Of the classes [cm³]."""
        return tuple(d.row.displacement_cc for d in self.demands["geared"])

    @cached_property
    def packs(self) -> tuple[PackInClasses, ...]:
        """Every pack, ready to be shown."""
        return self.rows(range(len(self.entries)))

    def holding(self, size: float) -> list[int]:
        """Places of the packs that hold a class of this size [cm³], or a larger one, whole."""
        places: list[int] = np.flatnonzero(self.whole >= size).tolist()
        return places

    def rows(self, places: Iterable[int]) -> tuple[PackInClasses, ...]:
        """Some packs by their places, with the checks that they fail, worked out in one pass."""
        places = list(places)
        failed = failed_alone([self.entries[i].inputs for i in places], self.state)
        return tuple(self._row(i, names) for i, names in zip(places, failed, strict=True))

    def standing(self, mounting: Mounting) -> NDArray[np.intp]:
        """Places of the packs of a mounting whose capacity is known, the largest first."""
        at = np.flatnonzero((self.mounting == MOUNTINGS.index(mounting)) & ~np.isnan(self.value))
        return at[np.argsort(-self.value[at], kind="stable")]

    def claims_at(self, place: int) -> tuple[ClaimJudged, ...]:
        """The claims on one pack, judged by the classes that it holds."""
        entry, held = self.entries[place], None
        if not np.isnan(self.value[place]) and self.mounting[place] >= 0:
            held = held_of(float(self.whole[place]), float(self.half[place]))
        return tuple(
            ClaimJudged(c, judge_claim(c.low_cc, c.high_cc, held, self.sizes))
            for c in self._by_pack.get(entry.public_id, ())
        )

    @cached_property
    def claimed(self) -> tuple[int, ...]:
        """Places of the packs on which there is a claim, in their order."""
        return tuple(i for i, e in enumerate(self.entries) if e.public_id in self._by_pack)

    @cached_property
    def _by_pack(self) -> dict[str, list[ClaimMade]]:
        found: dict[str, list[ClaimMade]] = {}
        for claim in self.made:
            found.setdefault(claim.pack, []).append(claim)
        return found

    def _row(self, i: int, failed: tuple[FailedCheck, ...]) -> PackInClasses:
        entry = self.entries[i]
        figures = (float(a[i]) for a in (self.value, self.std, self.low, self.high))
        capacity = None if math.isnan(self.value[i]) else Reading(*figures)
        return PackInClasses(
            entry, capacity, self._why_not(i, capacity),
            held_of(float(self.whole[i]), float(self.half[i])), self.claims_at(i), failed,
        )

    def _why_not(self, i: int, capacity: Reading | None) -> str | None:
        if capacity is None:
            by_speed = isinstance(self.entries[i].inputs.clamp, CentrifugalClamp)
            return "its clamp depends on the engine's speed" if by_speed else "a figure is missing"
        return "its mounting is not recorded" if self.mounting[i] < 0 else None


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
    mountings: Sequence[Mounting | None] | None = None,
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
        mountings: of the packs, where they were read before.

    Returns:
        ClassBoard in N·m and cm³.

    Range: a clamp that depends on speed has no capacity without an engine.
    Source: app.comparison.classes.
    """
    rows = class_rows(classes, band, strokes, factor)
    demands: dict[Mounting, tuple[Demand, ...]] = {
        mounting: tuple(demand(row, mounting) for row in rows) for mounting in MOUNTINGS
    }
    if carried is None and packs:
        carried = work_out_sides([p.inputs for p in packs], [EngineInputs()], state).packs
    value, std, low, high = _capacities(carried)
    if mountings is None:
        mountings = [p.inputs.mounting for p in packs]
    at = np.array([-1 if m is None else MOUNTINGS.index(m) for m in mountings], dtype=np.intp)
    whole, half = np.full(at.shape, np.nan), np.full(at.shape, np.nan)
    for number, mounting in enumerate(MOUNTINGS):
        mine = at == number
        whole[mine], half[mine] = classes_held(low[mine], demands[mounting])
    return ClassBoard(band, factor, demands, state, packs, value, std, low, high, at, whole, half,
                      tuple(claims))


def _capacities(side: Side | None) -> tuple[Array, Array, Array, Array]:
    if side is None:
        nothing = np.empty(0)
        return nothing, nothing, nothing, nothing
    with np.errstate(invalid="ignore", divide="ignore"):
        low, high = doubt.interval(side.value, side.cumulants)
        std = side.value * np.sqrt(side.relative_variance)
    return side.value, std, low, high
