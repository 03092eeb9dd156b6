"""The published table of facings, put into a catalogue that does not have it yet."""

from itertools import groupby

from sqlmodel import Session

from app.documents import Facing, FrictionValue
from app.mechanics.tables import FrictionRow, friction_rows
from app.records.database import WriteSession
from app.records.listing import names_ever_used
from app.records.sources import Facing as FacingRow
from app.services.catalogue import facings
from app.services.stored import Context

SEEDED_BY = "published table"


def published_facings() -> list[Facing]:
    """The facings of the published table as documents, each row with its source."""
    rows = sorted(friction_rows(), key=lambda row: row.facing)
    return [
        Facing(name=readable(name), values=[_value(row) for row in group])
        for name, group in groupby(rows, key=lambda row: row.facing)
    ]


def readable(name: str) -> str:
    """A table's key as a person writes it.

    >>> readable("cast_iron_or_hard_steel")
    'cast iron or hard steel'
    """
    return name.replace("_", " ")


def _value(row: FrictionRow) -> FrictionValue:
    return FrictionValue(
        lubrication=row.lubrication,
        kind=row.kind,
        low=row.low,
        nominal=row.nominal,
        high=row.high,
        p_max_low_mpa=row.p_max_low_mpa,
        p_max_high_mpa=row.p_max_high_mpa,
        power_w_mm2=row.power_w_mm2,
        source=row.source or None,
        note=row.note or None,
    )


def missing_facings(session: Session) -> list[Facing]:
    """Published facings whose names were never used here; those put aside stay aside."""
    used = names_ever_used(session, FacingRow)
    return [facing for facing in published_facings() if facing.name not in used]


def seed(session: WriteSession) -> int:
    """Add the published facings that are missing; how many were added. Safe to run again."""
    missing = missing_facings(session)
    for facing in missing:
        facings.add(session, facing, by=SEEDED_BY, context=Context(reason="published table"))
    return len(missing)
