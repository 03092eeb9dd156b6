"""The team's displacement classes and mean effective pressures, in place of those shipped."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from sqlmodel import Session

from app.errors import BadInput, Problem
from app.mechanics.class_table import DisplacementClass, displacement_classes
from app.mechanics.tables import BmepBand, bmep_bands
from app.records.database import WriteSession
from app.services.team_settings import held, keep

CLASSES_KEY = "displacement_classes"
OWN = "the team's own"
MOST_CLASSES = 40

Row = tuple[float, float, float]
"""Displacement [cm³] and the ends of its usual primary ratios [1]."""


@dataclass(frozen=True, slots=True)
class ClassSettings:
    """Classes and bands in force, and the version that a change of them must name."""

    classes: tuple[DisplacementClass, ...]
    bands: tuple[BmepBand, ...]
    version: int

    def band(self, kind: str) -> BmepBand:
        """The band of one kind of engine."""
        return next(band for band in self.bands if band.kind == kind)


def shown_bands() -> tuple[BmepBand, ...]:
    """The bands that classes are made of: those of engines with a spark."""
    return tuple(band for band in bmep_bands() if band.ignition == "spark")


def class_settings(session: Session) -> ClassSettings:
    """What is in force: the team's own before what is shipped."""
    now = held(session, CLASSES_KEY)
    own = now.value or {}
    bands = own.get("bands", {})
    return ClassSettings(
        classes=tuple(
            DisplacementClass(size, low, high, "practice", OWN, "")
            for size, low, high in own["classes"]
        )
        if "classes" in own
        else displacement_classes(),
        bands=tuple(
            replace(
                band,
                low_kpa=bands[band.kind][0],
                high_kpa=bands[band.kind][1],
                source=OWN,
                evidence="practice",
            )
            if band.kind in bands
            else band
            for band in shown_bands()
        ),
        version=now.version,
    )


def set_class_settings(
    session: WriteSession,
    classes: Sequence[Row],
    bands: Mapping[str, tuple[float, float]],
    *,
    version: int,
    by: str,
) -> None:
    """Keep the team's own classes and bands; what is as shipped is not kept as its own.

    Raises:
        BadInput: with everything that is wrong; a problem's field is classes.<row>.<part> or
            bands.<kind>.<end>.
        StaleRecord: somebody changed them since `version`.
    """
    problems = problems_of(classes, bands)
    if problems:
        raise BadInput(problems)
    shipped = [(c.displacement_cc, c.ratio_low, c.ratio_high) for c in displacement_classes()]
    rows = sorted((float(size), float(low), float(high)) for size, low, high in classes)
    own: dict[str, object] = {} if rows == shipped else {"classes": [list(row) for row in rows]}
    usual = {band.kind: (band.low_kpa, band.high_kpa) for band in shown_bands()}
    changed = {kind: list(ends) for kind, ends in bands.items() if tuple(ends) != usual[kind]}
    if changed:
        own["bands"] = changed
    keep(session, CLASSES_KEY, own, version, by)


def problems_of(
    classes: Sequence[Row], bands: Mapping[str, tuple[float, float]]
) -> list[Problem]:
    """Everything that is wrong with classes and bands; fields as `set_class_settings` names them.

    Args:
        classes: displacement [cm³] and ends of the primary ratios [1].
        bands: ends of the mean effective pressures [kPa] by kind of engine.
    """
    return [*_class_problems(classes), *_band_problems(bands)]


def _class_problems(classes: Sequence[Row]) -> list[Problem]:
    if not classes:
        return [Problem("classes.0.cc", "Write one class at least.")]
    if len(classes) > MOST_CLASSES:
        return [Problem(f"classes.{MOST_CLASSES}.cc", f"Write at most {MOST_CLASSES} classes.")]
    found = []
    seen: set[float] = set()
    for i, (size, low, high) in enumerate(classes):
        if not 0.0 < size < float("inf"):
            found.append(Problem(f"classes.{i}.cc", "Write a displacement above 0, like 125."))
        elif size in seen:
            found.append(Problem(f"classes.{i}.cc", f"There is a class of {size:g} cm³ already."))
        seen.add(size)
        if not 0.0 < low <= high < float("inf"):
            told = "Write the higher ratio here, and both above 0."
            found.append(Problem(f"classes.{i}.high", told))
    return found


def _band_problems(bands: Mapping[str, tuple[float, float]]) -> list[Problem]:
    kinds = {band.kind for band in shown_bands()}
    found = [
        Problem(f"bands.{kind}.low", f"Write one of {', '.join(sorted(kinds))}.")
        for kind in bands
        if kind not in kinds
    ]
    return found + [
        Problem(f"bands.{kind}.high", "Write the higher pressure here, and both above 0.")
        for kind, (low, high) in bands.items()
        if kind in kinds and not 0.0 < low <= high < float("inf")
    ]
