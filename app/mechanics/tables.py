"""Published tables that stand in where a record has no figure of its own, each row with its source.

The files lie in seed_data/tables; seed_data/README.md says what each column means. A row whose
`evidence` is "memory" or "practice" has no confirmed source, and pages say so.
"""

from dataclasses import dataclass
from functools import cache
from typing import Literal

from app.mechanics.inputs import FrictionKind, Lubrication
from app.mechanics.spring_wire import wire_material
from app.mechanics.table_files import Evidence, load_rows, normalised, unknown_name

__all__ = [
    "BmepBand",
    "DriveSquare",
    "FrictionRow",
    "ServiceFactor",
    "Steel",
    "bmep_band",
    "bmep_bands",
    "drive_squares",
    "friction_for",
    "friction_rows",
    "steels",
    "suggested_service_factor",
    "suggested_service_factors",
    "wire_material",
]


@dataclass(frozen=True, slots=True)
class FrictionRow:
    """Friction coefficient of a facing [1], its allowable pressure [MPa] and slip power [W/mm²].

    low and high are None where the source prints one figure; kind is "both" where the source does
    not tell static from sliding friction.
    """

    facing: str
    lubrication: Lubrication
    kind: Literal["static", "sliding", "both"]
    low: float | None
    nominal: float
    high: float | None
    p_max_low_mpa: float | None
    p_max_high_mpa: float | None
    power_w_mm2: float | None
    source: str
    note: str

    @property
    def plus_minus(self) -> float | None:
        """Half-width of the printed band about its middle [1]; None where no band is printed."""
        if self.low is None or self.high is None:
            return None
        return (self.high - self.low) / 2.0


@dataclass(frozen=True, slots=True)
class BmepBand:
    """Brake mean effective pressure [kPa] of a kind of engine; strokes None serves both."""

    kind: str
    label: str
    strokes: int | None
    ignition: Literal["spark", "compression"]
    low_kpa: float
    high_kpa: float
    evidence: Evidence
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class ServiceFactor:
    """Factor on the engine's mean torque [1].

    Rows with strokes are suggestions; cylinders_to None there means "or more". The others are
    what books and workshops use, to compare with.
    """

    kind: str
    label: str
    strokes: int | None
    cylinders_from: int | None
    cylinders_to: int | None
    factor_low: float | None
    factor: float
    factor_high: float | None
    evidence: Evidence
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class DriveSquare:
    """Driver square of a socket tool: across flats [mm] and published test torque [N·m]."""

    size_mm: float
    size_inch: str
    across_flats_mm: float
    test_torque_nm: float
    other_edition_nm: float | None
    evidence: Evidence
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class Steel:
    """Yield and tensile strength [MPa] of a bar steel in one condition."""

    steel: str
    condition: str
    yield_low_mpa: float
    yield_high_mpa: float
    tensile_low_mpa: float
    tensile_high_mpa: float
    evidence: Evidence
    source: str
    note: str


@cache
def friction_rows() -> tuple[FrictionRow, ...]:
    """All rows of the friction table, in file order: μ [1], pressures [MPa], power [W/mm²].

    Range: facings against smooth steel or cast iron; test values, of which Juvinall and Marshek
    advise 50 to 75 % for design.
    Source: Juvinall & Marshek, Fundamentals of Machine Component Design, Tables 18.1 and 18.2;
    Neale (ed.), The Tribology Handbook, section B7, Table 7.4.
    """
    return load_rows("friction", FrictionRow)


def friction_for(facing: str, lubrication: Lubrication, kind: FrictionKind) -> FrictionRow | None:
    """The table's friction coefficient [1] for a facing, or None where no source tells it.

    A row of just this kind is taken before one that does not tell static from sliding, and among
    equals the first in the file, which is the one with a band. A sliding value is never used for
    static friction, nor the reverse.

    Args:
        facing: name as in the table; capitals, hyphens and underscores do not matter.
        lubrication: "dry" or "oiled".
        kind: "static" or "sliding".

    Returns:
        The row, μ [1], a scalar; None where the table has no value for that state.

    Errors: BadInput for a facing that the table does not have; the message lists those it has.
    Range: that of the table. Source: the row's `source`.
    """
    named = [row for row in friction_rows() if normalised(row.facing) == normalised(facing)]
    if not named:
        raise unknown_name("facing", facing, (row.facing for row in friction_rows()))
    for accepted in (kind, "both"):
        for row in named:
            if row.lubrication == lubrication and row.kind == accepted:
                return row
    return None


@cache
def bmep_bands() -> tuple[BmepBand, ...]:
    """All bands of brake mean effective pressure [kPa], in file order.

    Range: by kind of engine. Source: each row's; mostly Heywood, Internal Combustion Engine
    Fundamentals, section 2.7, and Jennings, Two-Stroke Tuner's Handbook, both quoted by others.
    """
    return load_rows("bmep_bands", BmepBand)


def bmep_band(kind: str) -> BmepBand:
    """The band of brake mean effective pressure [kPa] of one kind of engine.

    Args:
        kind: name as in the table, such as "four_stroke"; capitals and hyphens do not matter.

    Returns:
        The row with low_kpa and high_kpa [kPa], scalars.

    Errors: BadInput for a kind that the table does not have; the message lists those it has.
    Range: that of the table. Source: the row's `source`.
    """
    for band in bmep_bands():
        if normalised(band.kind) == normalised(kind):
            return band
    raise unknown_name("engine_kind", kind, (band.kind for band in bmep_bands()))


@cache
def suggested_service_factors() -> tuple[ServiceFactor, ...]:
    """All service factors [1]: first the suggestions, then what books and workshops use.

    Range: by strokes and cylinders. Source: each row's; the suggestions are common practice, no
    source.
    """
    return load_rows("service_factors", ServiceFactor)


def suggested_service_factor(strokes: int, cylinders: int) -> ServiceFactor | None:
    """The suggested factor [1] for an engine, or None; a page offers it and never applies it.

    Args:
        strokes: 2 or 4.
        cylinders: number of cylinders, 1 or more.

    Returns:
        The row with its factor [1], a scalar; None where no suggestion fits.

    Range: two- and four-stroke engines. Source: common practice, no source.
    """
    for row in suggested_service_factors():
        if row.strokes != strokes or row.cylinders_from is None:
            continue
        if row.cylinders_from <= cylinders <= (row.cylinders_to or cylinders):
            return row
    return None


@cache
def drive_squares() -> tuple[DriveSquare, ...]:
    """Driver squares by size: across flats [mm], test torque [N·m].

    Range: 6.3 to 25 mm. Source: ISO 3315 and DIN 3122 family, from memory and not confirmed.
    """
    return load_rows("drive_squares", DriveSquare)


@cache
def steels() -> tuple[Steel, ...]:
    """Bar steels: yield and tensile strength [MPa].

    Range: ordinary bar sizes. Source: the standards named in the rows, from memory.
    """
    return load_rows("steels", Steel)
