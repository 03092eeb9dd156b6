"""The load of a pack's disc spring over its deflection, with the points where it works."""

from dataclasses import dataclass

import numpy as np

from app.mechanics.clamp import clamp_load
from app.mechanics.inputs import DiscClamp, DiscTableClamp, PackInputs, State
from app.mechanics.stack import stack_packs
from app.mechanics.traced import Array, Traced

POINTS = 61


@dataclass(frozen=True, slots=True)
class WorkingPoint:
    """Where the spring works: new, worn to the limit or lifted; deflection [mm], load [N]."""

    name: str
    deflection_mm: float
    load_n: float


@dataclass(frozen=True, eq=False)
class DiscCurve:
    """Load [N] over the deflection of the whole stack [mm], shape (points,), and working points."""

    deflection: Array
    load: Array
    points: tuple[WorkingPoint, ...]

    @property
    def rises_with_wear(self) -> bool:
        """Whether the worn clamp exceeds the new one."""
        loads = {p.name: p.load_n for p in self.points}
        return "new" in loads and loads.get("worn", 0.0) > loads["new"]


def disc_curve(pack: PackInputs, points: int = POINTS) -> DiscCurve | None:
    """Load over deflection of a disc spring or of a measured table.

    Args:
        pack: a pack clamped by disc springs.
        points: number of points [count].

    Returns:
        DiscCurve in mm and N; None for another clamp, or where a measure is missing.

    Range: from 0 to flat, or between the first and the last point of a table.
    Source: app.mechanics.disc_spring.
    """
    clamp = pack.clamp
    if not isinstance(clamp, DiscClamp | DiscTableClamp) or clamp.installed_deflection_mm is None:
        return None
    ends = _ends(clamp)
    if ends is None:
        return None
    along = np.linspace(*ends, points)
    load = _loads(pack, along, clamp.installed_deflection_mm.value)
    if np.all(np.isnan(load)):
        return None
    return DiscCurve(along, load, _working(pack, clamp.installed_deflection_mm.value, ends[1]))


def _ends(clamp: DiscClamp | DiscTableClamp) -> tuple[float, float] | None:
    if isinstance(clamp, DiscTableClamp):
        at = sorted(p.deflection_mm for p in clamp.points)
        return (at[0], at[-1]) if len(set(at)) > 1 else None
    if clamp.cone_height_mm is None or clamp.cone_height_mm.value <= 0.0:
        return None
    return 0.0, clamp.cone_height_mm.value * clamp.in_series


def _loads(pack: PackInputs, deflections: Array, installed_mm: float) -> Array:
    """Loads at deflections: a wear of installed − s brings the spring to s."""
    sheet = stack_packs([pack] * deflections.size, State())
    wear = Traced((installed_mm - deflections)[:, None])
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        load = clamp_load(sheet, None, wear, Traced(np.zeros((1, 1))), None)
    return load.value[:, 0].copy()


def _working(
    pack: PackInputs, installed_mm: float, end_mm: float
) -> tuple[WorkingPoint, ...]:
    where = [("new", installed_mm)]
    if pack.stack_wear_limit_mm is not None:
        where.append(("worn", installed_mm - pack.stack_wear_limit_mm.value))
    if pack.lift_mm is not None:
        where.append(("lifted", installed_mm + pack.lift_mm.value))
    loads = _loads(pack, np.array([s for _, s in where]), installed_mm)
    return tuple(
        WorkingPoint(name, s, float(load))
        for (name, s), load in zip(where, loads, strict=True)
        # Past flat the formula means nothing: a disc goes no further.
        if not np.isnan(load) and 0.0 <= s <= end_mm
    )
