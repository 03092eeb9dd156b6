"""Spring sets of the catalogue that would bring a cell to a wanted ratio."""

from dataclasses import dataclass

from sqlmodel import Session

from app.comparison.spring_swap import Swap, pocket, swaps
from app.mechanics.inputs import EngineInputs, PackInputs, State
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
    session: Session,
    pack: PackInputs,
    engine: EngineInputs,
    state: State,
    target: float,
) -> list[SpringChoice] | None:
    """Sets on the shelf and in other packs that fit and reach the wanted ratio.

    Args:
        session: the reading one.
        pack: the pack, on record or not.
        engine: the engine, likewise.
        state: the state of the comparison.
        target: wanted available/required [1].

    Returns:
        The nearest to the target first; None where the pack's springs do not say what room
        there is.
    """
    room = pocket(pack)
    if room is None:
        return None
    # The pack's own are among them; they give the ratio that it has, which is never told.
    rows = spring_rows_within(
        session, room.outside_most, room.free_least, room.free_most, MOST_LOOKED_AT
    )
    points = spring_points(session, [row["id"] for row in rows])
    offered = [spring_inputs(row, points.get(row["id"], ())) for row in rows]
    return [
        SpringChoice(
            rows[swap.place]["name"] or "",
            rows[swap.place]["pack_public_id"] or "",
            rows[swap.place]["pack_name"] or "",
            swap,
        )
        for swap in swaps(pack, offered, engine, state, target)
    ]
