"""Demand by displacement class, what each pack holds of it, and a seller's claim against it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

import numpy as np

from app.mechanics.inputs import Mounting
from app.mechanics.traced import Array

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


def classes_held(capacity_low_nm: Array, demands: Sequence[Demand]) -> tuple[Array, Array]:
    """Largest class whose whole band, and whose lighter half, each capacity surely holds.

    A class counts only when every smaller one is held too, so that a gap is not passed over; of
    several rows with the same displacement all must be held.

    Args:
        capacity_low_nm: lower ends of the capacities' 95 % intervals [N·m], NaN where not known.
        demands: the classes' demands [N·m].

    Returns:
        Whole bands and lighter halves [cm³], of the capacities' shape; NaN where none is held.

    Range: any order of the classes.
    Source: our decision rule, as that of a cell.
    """
    sizes, whole, half = [], [], []
    for size, group in groupby(sorted(demands, key=_size), key=_size):
        rows = list(group)
        sizes.append(size)
        whole.append(max(d.high_nm for d in rows))
        half.append(max(d.middle_nm for d in rows))
    return _reached(capacity_low_nm, sizes, whole), _reached(capacity_low_nm, sizes, half)


def _reached(capacity: Array, sizes: Sequence[float], asked: Sequence[float]) -> Array:
    """The last size up to which everything that is asked is carried; NaN for none."""
    # What must be carried up to a size is the most that it or any smaller one asks.
    up_to = np.maximum.accumulate(np.array(asked, dtype=np.float64))
    held = np.searchsorted(up_to, np.where(np.isnan(capacity), -np.inf, capacity), side="right")
    return np.array([np.nan, *sizes])[held]


def held_of(whole_cc: float, half_cc: float) -> Held:
    """Held [cm³] of two figures that may be NaN, which is none."""
    return Held(None if math.isnan(whole_cc) else whole_cc,
                None if math.isnan(half_cc) else half_cc)


def _size(one: Demand) -> float:
    return one.row.displacement_cc


def class_of(displacement_cc: float, sizes: Sequence[float]) -> float | None:
    """The class that a displacement belongs to: the smallest that is not below it.

    Args:
        displacement_cc: an engine's [cm³].
        sizes: of the classes [cm³], in any order.

    Returns:
        A size [cm³]; None where the displacement is beyond the largest class.

    Range: positive sizes.
    Source: our decision rule; an engine between two classes asks no more than the larger.
    """
    return min((size for size in sizes if size >= displacement_cc), default=None)


def judge_claim(
    claimed_low_cc: float | None, claimed_high_cc: float | None, held: Held | None,
    sizes: Sequence[float],
) -> Claim:
    """Whether a seller's claimed range of displacement is supported by the classes that are held.

    Both ends of the range stand for their classes (`class_of`). Supported: the whole band is held
    up to the class of the largest size. Not supported: not even the lighter half of the class of
    the smallest. Partly: in between, and where the claim goes beyond the largest class.

    Args:
        claimed_low_cc: least claimed displacement [cm³]; None: from the smallest class.
        claimed_high_cc: largest claimed displacement [cm³]; None: to the largest class.
        held: what the pack holds; None: its capacity or mounting is not known.
        sizes: of the classes [cm³].

    Returns:
        The judgement in words.

    Range: a claim that lies wholly beyond the classes can't be told where all of them are held.
    Source: our decision rule.
    """
    if (claimed_low_cc is None and claimed_high_cc is None) or held is None or not sizes:
        return "can't tell"
    low = min(sizes) if claimed_low_cc is None else claimed_low_cc
    # An open claim goes to the end of the table, or to what it names if that is beyond.
    high = max(*sizes, low) if claimed_high_cc is None else claimed_high_cc
    least, most = class_of(min(low, high), sizes), class_of(max(low, high), sizes)
    half = held.half_cc or 0.0
    if least is None:
        return "can't tell" if half >= max(sizes) else "not supported"
    if half < least:
        return "not supported"
    return "supported" if most is not None and (held.whole_cc or 0.0) >= most else "partly"
