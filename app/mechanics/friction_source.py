"""Which friction coefficient a pack uses: its own, else the published table's for its facing."""

from dataclasses import replace

from app.errors import AppError
from app.fields import default_doubt
from app.mechanics.inputs import FrictionKind, Lubrication, PackInputs, Quantity
from app.mechanics.tables import friction_for

OWN = "this pack's own figure"
TESTED = "this pack's own slip tests"


def table_friction(
    facing: str, lubrication: Lubrication, kind: FrictionKind
) -> tuple[Quantity, str] | None:
    """μ of a facing from the published table with its band as limit, and the row's source.

    Args:
        facing: name of the facing, as in the table.
        lubrication: dry or oiled.
        kind: static or sliding.

    Returns:
        (μ [1], source), a scalar; None where the table has no such row or facing.

    Range: the rows of seed_data/tables/friction.csv. A row with one figure gets the default doubt
        of a listed coefficient.
    Source: the row's own.
    """
    try:
        row = friction_for(facing, lubrication, kind)
    except AppError:
        return None
    if row is None:
        return None
    limit = row.plus_minus
    if limit is None:
        limit = default_doubt("friction", "listed", row.nominal)
    middle = row.nominal if row.plus_minus is None else ((row.low or 0) + (row.high or 0)) / 2
    return Quantity(middle, plus_minus=limit, how="listed"), row.source


def with_friction(pack: PackInputs, lubrication: Lubrication, kind: FrictionKind) -> PackInputs:
    """The pack with μ for one state, from the published table where it has none of its own.

    Args:
        pack: one record.
        lubrication: dry or oiled.
        kind: static or sliding.

    Returns:
        The pack with μ [1] and its source; the same pack when nothing can be added.

    Range: that of the table.
    Source: as `table_friction`.
    """
    key = (lubrication, kind)
    if key in pack.friction or pack.facing is None:
        return pack
    found = table_friction(pack.facing, lubrication, kind)
    if found is None:
        return pack
    quantity, source = found
    return replace(
        pack,
        friction={**pack.friction, key: quantity},
        friction_source={**pack.friction_source, key: source},
    )
