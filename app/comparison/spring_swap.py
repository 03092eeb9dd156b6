"""Which other springs would bring a pack to a wanted ratio in the seats that it has."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from app.comparison.check import Check
from app.comparison.checks import checks_of_packs
from app.comparison.run import compare
from app.mechanics.inputs import CoilClamp, EngineInputs, PackInputs, SpringGroup, State

ROOM_MM = 0.2
"""How much wider than the present springs others may be; our judgement."""

LONGER_MOST = 1.25
"""Free length over the present one at which springs can still be brought in; our judgement."""

SHOWN = 6
"""So many are told, the nearest to the wanted ratio first."""


@dataclass(frozen=True, slots=True)
class Pocket:
    """Room for springs [mm]: outside diameter at most, free length between two ends."""

    outside_most: float
    free_least: float
    free_most: float


@dataclass(frozen=True, slots=True)
class Swap:
    """A set by its place among those offered, and what the cell would be with it [1]."""

    place: int
    ratio: float
    low: float


def pocket(pack: PackInputs) -> Pocket | None:
    """The room that a pack's springs have, judged by those that sit there.

    Args:
        pack: one record, lengths in mm.

    Returns:
        Pocket in mm; None unless the pack has one group of springs whose diameter, free and
        installed length and count are known.

    Range: one group; nests are left out, as their springs must fit each other too.
    Source: geometry; the two allowances are our judgement.
    """
    clamp = pack.clamp
    if not isinstance(clamp, CoilClamp) or len(clamp.springs) != 1:
        return None
    group = clamp.springs[0]
    wide, free, installed = outside(group), group.free_length_mm, group.installed_length_mm
    if wide is None or free is None or installed is None or group.count is None:
        return None
    pressed = installed.value - group.shim_mm.value
    return Pocket(wide + ROOM_MM, pressed, LONGER_MOST * free.value)


def outside(group: SpringGroup) -> float | None:
    """Outside diameter of the coils, from whichever diameter is known.

    Args:
        group: springs alike, lengths in mm.

    Returns:
        The diameter [mm]; None where it can't be told.

    Range: one group.
    Source: geometry.
    """
    if group.outside_mm is not None:
        return group.outside_mm.value
    if group.wire_mm is None:
        return None
    if group.mean_mm is not None:
        return group.mean_mm.value + group.wire_mm.value
    return None if group.inside_mm is None else group.inside_mm.value + 2.0 * group.wire_mm.value


def swaps(
    pack: PackInputs, offered: Sequence[SpringGroup], engine: EngineInputs, state: State,
    target_ratio: float,
) -> list[Swap]:
    """The offered sets that fit and reach a wanted ratio without failing a new check.

    Each is put into the present seats, with the present number of springs, installed length and
    shim, and the cell is evaluated again. Where the pack has more than the target already, sets
    between the target and the present ratio are told.

    Args:
        pack: the pack.
        offered: spring sets of the catalogue.
        engine: the engine.
        state: the state of the comparison.
        target_ratio: wanted available/required [1], a scalar.

    Returns:
        Swaps, the nearest to the target first; empty where no room is known.

    Range: as `pocket`.
    Source: app.comparison.run, app.comparison.checks.
    """
    room = pocket(pack)
    if room is None or not isinstance(pack.clamp, CoilClamp):
        return []
    seat = pack.clamp.springs[0]
    places = [i for i, group in enumerate(offered) if _fits(group, seat, room)]
    if not places:
        return []
    changed = [replace(pack, clamp=CoilClamp((_seated(offered[i], seat),))) for i in places]
    board = compare([pack, *changed], [engine], state)
    present = float(board.ratio[0, 0])
    most = present if present >= target_ratio else np.inf
    failed = [_failed(found) for found in checks_of_packs([pack, *changed], state)]
    found = [
        Swap(place, float(board.ratio[n, 0]), float(board.low[n, 0]))
        for n, place in enumerate(places, start=1)
        if target_ratio <= board.ratio[n, 0] < most and failed[n] <= failed[0]
    ]
    return sorted(found, key=lambda swap: (swap.ratio, swap.place))[:SHOWN]


def _fits(group: SpringGroup, seat: SpringGroup, room: Pocket) -> bool:
    wide, free = outside(group), group.free_length_mm
    if wide is None or free is None:
        return False
    enough = group.count is None or seat.count is None or group.count >= seat.count
    return enough and wide <= room.outside_most and room.free_least < free.value <= room.free_most


def _seated(group: SpringGroup, seat: SpringGroup) -> SpringGroup:
    return replace(group, count=seat.count, installed_length_mm=seat.installed_length_mm,
                   shim_mm=seat.shim_mm, positions=seat.positions)


def _failed(found: Sequence[Check]) -> frozenset[str]:
    return frozenset(c.name for c in found if c.outcome == "fail")
