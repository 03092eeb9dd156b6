"""Displacement classes with the primary ratios that are usual in them."""

from dataclasses import dataclass
from functools import cache

from app.mechanics.table_files import Evidence, load_rows


@dataclass(frozen=True, slots=True)
class DisplacementClass:
    """A class: displacement [cm³] and the band of its usual primary ratios [1]."""

    displacement_cc: float
    ratio_low: float
    ratio_high: float
    evidence: Evidence
    source: str
    note: str


@cache
def displacement_classes() -> tuple[DisplacementClass, ...]:
    """All classes, smallest first: displacement [cm³], ratios [1].

    Range: 50 to 650 cm³, single and twin cylinder engines. Source: common practice, no source.
    """
    return load_rows("classes", DisplacementClass)
