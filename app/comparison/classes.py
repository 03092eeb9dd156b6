"""Demand by displacement class, what each pack holds of it, and a seller's claim against it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Literal

from app.mechanics.inputs import Mounting

Claim = Literal["supported", "partly", "not supported", "can't tell"]


@dataclass(frozen=True, slots=True)
class ClassRow:
    """A displacement class: its size [cm³], bmep band [kPa], ratio band and service factor [1]."""

    displacement_cc: float
    strokes: Literal[2, 4]
    bmep_low_kpa: float
    bmep_high_kpa: float
    ratio_low: float
    ratio_high: float
    service_factor: float = 1.0


@dataclass(frozen=True, slots=True)
class Demand:
    """Torque asked of a clutch in one class [N·m]: lightest, middle and heaviest engine."""

    row: ClassRow
    low_nm: float
    middle_nm: float
    high_nm: float


@dataclass(frozen=True, slots=True)
class Held:
    """Largest class [cm³] held over the whole band, and over the lighter half; None: none."""

    whole_cc: float | None
    half_cc: float | None


def demand(row: ClassRow, mounting: Mounting) -> Demand:
    """Demand band of one class, T = bmep V_d/(2π n_R) · i · factor at both ends.

    Args:
        row: the class, in the units of its names.
        mounting: on the crankshaft the ratio is 1.

    Returns:
        Demand in N·m; the middle is the mean of both ends.

    Range: bands with low ≤ high.
    Source: J. B. Heywood, Internal Combustion Engine Fundamentals, 2.7; the bands: their table.
    """
    turns = row.strokes / 2.0
    per_kpa = row.displacement_cc / (2000.0 * math.pi * turns) * row.service_factor
    low_ratio, high_ratio = (1.0, 1.0) if mounting == "crankshaft" else (
        row.ratio_low, row.ratio_high)
    low, high = per_kpa * row.bmep_low_kpa * low_ratio, per_kpa * row.bmep_high_kpa * high_ratio
    return Demand(row, low, (low + high) / 2.0, high)


def largest_held(capacity_low_nm: float, demands: Sequence[Demand]) -> Held:
    """Largest class whose whole band, and whose lighter half, a capacity surely holds.

    A class counts only when every smaller one is held too, so that a gap is not passed over; of
    several rows with the same displacement all must be held.

    Args:
        capacity_low_nm: lower end of the capacity's 95 % interval [N·m].
        demands: the classes' demands [N·m].

    Returns:
        Held, in cm³.

    Range: any order of the classes.
    Source: our decision rule, as that of a cell.
    """
    whole: float | None = None
    half: float | None = None
    whole_open = half_open = True
    rising = sorted(demands, key=_size)
    for size, group in groupby(rising, key=_size):
        rows = list(group)
        whole_open = whole_open and all(capacity_low_nm >= d.high_nm for d in rows)
        half_open = half_open and all(capacity_low_nm >= d.middle_nm for d in rows)
        whole = size if whole_open else whole
        half = size if half_open else half
    return Held(whole, half)


def _size(one: Demand) -> float:
    return one.row.displacement_cc


def judge_claim(
    claimed_low_cc: float | None, claimed_high_cc: float | None, capacity_low_nm: float | None,
    template: ClassRow, mounting: Mounting,
) -> Claim:
    """Whether a seller's claimed range of displacement is supported.

    Supported: the whole band of the largest claimed size is held. Not supported: not even the
    lighter half of the least claimed size. Partly: in between.

    Args:
        claimed_low_cc: least claimed displacement [cm³]; None: as the largest.
        claimed_high_cc: largest claimed displacement [cm³].
        capacity_low_nm: lower end of the capacity's interval [N·m]; None: not known.
        template: gives the bands; its own displacement is not used.
        mounting: the pack's.

    Returns:
        The judgement in words.

    Range: bands that hold for the claimed sizes.
    Source: our decision rule.
    """
    high = claimed_high_cc if claimed_high_cc is not None else claimed_low_cc
    low = claimed_low_cc if claimed_low_cc is not None else claimed_high_cc
    if low is None or high is None or capacity_low_nm is None:
        return "can't tell"
    low, high = min(low, high), max(low, high)

    def at(displacement: float) -> Demand:
        return demand(replace(template, displacement_cc=displacement), mounting)

    if capacity_low_nm >= at(high).high_nm:
        return "supported"
    return "partly" if capacity_low_nm >= at(low).middle_nm else "not supported"
