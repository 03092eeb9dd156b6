"""Spring sets of the catalogue that would bring a cell to a wanted ratio."""

from dataclasses import dataclass

from sqlmodel import Session

from app.comparison.board import EngineEntry, PackEntry
from app.comparison.spring_swap import Swap, pocket, swaps
from app.mechanics.inputs import State
from app.records.pack_queries import spring_points, spring_rows_within
from app.records.pack_rows import spring_inputs

MOST_LOOKED_AT = 500
"""Sets of one pocket that are tried; the shorter first."""


@dataclass(frozen=True, slots=True)
class SpringChoice:
    """A set that would do: its name, the pack it is in ("" on the shelf), and the cell with it."""

    name: str
    pack_id: str
    pack_name: str
    swap: Swap


def spring_choices(
    session: Session, pack: PackEntry, engine: EngineEntry, state: State, target: float
) -> list[SpringChoice] | None:
    """Sets on the shelf and in other packs that fit and reach the wanted ratio.

    None where the pack's own springs do not say what room there is.
    """
    room = pocket(pack.inputs)
    if room is None:
        return None
    rows = [
        row
        for row in spring_rows_within(
            session, room.outside_most, room.free_least, room.free_most, MOST_LOOKED_AT
        )
        if row["pack_public_id"] != pack.public_id
    ]
    points = spring_points(session, [row["id"] for row in rows])
    offered = [spring_inputs(row, points.get(row["id"], ())) for row in rows]
    return [
        SpringChoice(
            rows[swap.place]["name"] or "",
            rows[swap.place]["pack_public_id"] or "",
            rows[swap.place]["pack_name"] or "",
            swap,
        )
        for swap in swaps(pack.inputs, offered, engine.inputs, state, target)
    ]
