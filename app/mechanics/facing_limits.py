"""What the published tables allow a facing: pressure, slip power, energy over its area."""

from dataclasses import dataclass
from functools import cache

from app.mechanics.inputs import Lubrication
from app.mechanics.table_files import Evidence, load_rows, normalised
from app.mechanics.tables import FrictionRow, friction_rows


def pressure_row(facing: str, lubrication: Lubrication) -> FrictionRow | None:
    """The table's row with a facing's allowable pressure [MPa].

    A row of the same lubrication is taken before a dry one: some sources print pressures in their
    dry table only, and oil does not make a facing stronger.

    Args:
        facing: name as in the table.
        lubrication: dry or oiled.

    Returns:
        The first such row, p_max_high_mpa known [MPa]; None where no row allows a pressure.

    Range: the rows of seed_data/tables/friction.csv.
    Source: the row's own.
    """
    rows = [r for r in _named(facing) if r.p_max_high_mpa is not None]
    same = [r for r in rows if r.lubrication == lubrication]
    dry = [r for r in rows if r.lubrication == "dry"]
    return next(iter(same or dry), None)


def power_row(facing: str, lubrication: Lubrication) -> FrictionRow | None:
    """The table's row with the slip power that a facing stands [W/mm²].

    Args:
        facing: name as in the table.
        lubrication: dry or oiled.

    Returns:
        The row of this lubrication with the least power [W/mm²]; None where no row gives one.

    Range: the rows of seed_data/tables/friction.csv.
    Source: Neale (ed.), The Tribology Handbook, section B7, Table 7.4.
    """
    rows = [r for r in _named(facing)
            if r.power_w_mm2 is not None and r.lubrication == lubrication]
    return min(rows, key=lambda r: r.power_w_mm2 or 0.0, default=None)


@dataclass(frozen=True, slots=True)
class EnergyRow:
    """Energy of one engagement that a facing stands [J/mm²], from safe to the most."""

    facing: str
    lubrication: Lubrication
    low_j_mm2: float
    high_j_mm2: float
    evidence: Evidence
    source: str
    note: str


@cache
def energy_rows() -> tuple[EnergyRow, ...]:
    """All rows of the table of engagement energies [J/mm²].

    Range: oiled facings. Source: each row's own; from memory, so an indication and no limit.
    """
    return load_rows("engagement_energy", EnergyRow)


def energy_row(facing: str, lubrication: Lubrication) -> EnergyRow | None:
    """The table's row with the energy of one engagement that a facing stands.

    Args:
        facing: name as in the table.
        lubrication: dry or oiled.

    Returns:
        The row [J/mm²]; None where the table has none.

    Range: the rows of seed_data/tables/engagement_energy.csv.
    Source: the row's own, from memory.
    """
    return next((r for r in energy_rows() if r.lubrication == lubrication
                 and normalised(r.facing) == normalised(facing)), None)


def _named(facing: str) -> list[FrictionRow]:
    return [r for r in friction_rows() if normalised(r.facing) == normalised(facing)]
