"""Spring wire by ASTM grade: tensile strength, shear modulus, limits of shear stress.

Two sets of strength constants are in circulation; seed_data/README.md says why the lower one is
the chosen one.
"""

from dataclasses import dataclass
from functools import cache
from typing import Literal, overload

import numpy as np

from app.errors import BadInput, Problem
from app.mechanics.table_files import Evidence, load_rows, normalised, unknown_name
from app.mechanics.traced import Array, Value

StrengthSet = Literal["textbook", "handbook"]


@dataclass(frozen=True, slots=True)
class WireModulus:
    """Shear modulus [MPa] of a grade for above_wire_mm < d ≤ up_to_wire_mm (None: no end)."""

    grade: str
    above_wire_mm: float
    up_to_wire_mm: float | None
    shear_modulus_mpa: float
    evidence: Evidence
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class WireMaterial:
    """Spring wire of one ASTM grade with one of the two strength sets in circulation.

    Fractions are of the tensile strength: torsion_low and torsion_high span the elastic limit in
    torsion; set_not_removed and set_removed_low..high are the usual limits of static shear stress.
    """

    grade: str
    aliases: str
    strength_set: StrengthSet
    chosen: Literal["yes", "no"]
    a_mpa: float
    m: float
    min_wire_mm: float
    max_wire_mm: float
    torsion_low: float
    torsion_high: float
    set_not_removed: float
    set_removed_low: float
    set_removed_high: float
    evidence: Evidence
    source: str
    note: str

    def tensile_strength_mpa(self, wire_mm: Value) -> Value:
        """Minimum tensile strength S_ut = A / d^m [MPa].

        Args:
            wire_mm: wire diameter d [mm], any shape, > 0.

        Returns:
            S_ut [MPa], same shape.

        Range: min_wire_mm to max_wire_mm; outside it the power law is stretched.
        Source: this row's `source`.

        >>> round(wire_material("music wire", "textbook").tensile_strength_mpa(2.5), 1)
        1935.9
        """
        strength: Value = self.a_mpa / wire_mm**self.m
        return strength

    @overload
    def shear_modulus_mpa(self, wire_mm: float) -> float: ...
    @overload
    def shear_modulus_mpa(self, wire_mm: Array) -> Array: ...
    def shear_modulus_mpa(self, wire_mm: float | Array) -> float | Array:
        """Shear modulus G [MPa] by wire size.

        Args:
            wire_mm: wire diameter d [mm], any shape, > 0; NaN where not known.

        Returns:
            G [MPa], same shape; NaN stays NaN.

        Errors: BadInput for a diameter of 0 or less.
        Range: all sizes; stepwise, so its slope in d is 0.
        Source: Shigley, Mechanical Engineering Design, 9th edition, Table 10-5.

        >>> wire_material("A228").shear_modulus_mpa(2.5)
        81000.0
        """
        wire = np.asarray(wire_mm, dtype=np.float64)
        if np.any(wire <= 0.0):
            raise BadInput([Problem("wire_mm", "Write a wire diameter above 0 mm.")])
        rows = [row for row in wire_moduli() if row.grade == self.grade]
        edges = [row.up_to_wire_mm for row in rows if row.up_to_wire_mm is not None]
        moduli = np.array([row.shear_modulus_mpa for row in rows])
        picked = moduli[np.searchsorted(edges, wire, side="left").clip(max=len(rows) - 1)]
        result = np.where(np.isnan(wire), np.nan, picked)
        return result if isinstance(wire_mm, np.ndarray) else float(result)

    def covers(self, wire_mm: float) -> bool:
        """Whether a wire lies in the range that the strength constants were made for.

        Args:
            wire_mm: wire diameter d [mm], a scalar.

        Returns:
            True from min_wire_mm to max_wire_mm.

        Range: any d. Source: Shigley, Mechanical Engineering Design, Table 10-4, from memory.
        """
        return self.min_wire_mm <= wire_mm <= self.max_wire_mm


@cache
def wire_moduli() -> tuple[WireModulus, ...]:
    """All rows of the shear modulus table [MPa], smallest wire first within a grade.

    Range: all wire sizes [mm]. Source: Shigley, Mechanical Engineering Design, 9th edition,
    Table 10-5.
    """
    return load_rows("wire_moduli", WireModulus)


@cache
def wire_materials() -> tuple[WireMaterial, ...]:
    """All grades of spring wire, each once per strength set [MPa], in file order.

    Range: five ASTM grades. Source: Shigley, Mechanical Engineering Design, Table 10-4, and the
    reference handbook of the US engineering examination; seed_data/README.md says why the latter,
    lower set is the chosen one.
    """
    return load_rows("wire_materials", WireMaterial)


def wire_material(name: str, strength_set: StrengthSet | None = None) -> WireMaterial:
    """One grade of spring wire with the chosen strength set, or with the one asked for.

    Args:
        name: ASTM grade or trade name, such as "A228" or "music wire".
        strength_set: "textbook" or "handbook"; None takes the chosen one.

    Returns:
        The row with A [MPa·mm^m], m [1] and the fractions of S_ut [1], scalars.

    Errors: BadInput for a name that the table does not have; the message lists those it has.
    Range: five ASTM grades. Source: the row's `source`.
    """
    wanted = normalised(name)
    for row in wire_materials():
        right_set = (
            row.chosen == "yes" if strength_set is None else row.strength_set == strength_set
        )
        if right_set and wanted in map(normalised, (row.grade, *row.aliases.split(";"))):
            return row
    raise unknown_name(
        "wire_material",
        name,
        (f"{row.grade} ({row.aliases.replace(';', ', ')})" for row in wire_materials()),
    )
