"""Records laid side by side as columns, so that one call evaluates a whole board.

A column's name is the path of the input in the JSON interface; `*` stands for the number of a
spring group. Not known is NaN, exact has neither limit nor std.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from operator import attrgetter

import numpy as np
from numpy.typing import NDArray

from app.mechanics.coil_spring import inactive_and_extra
from app.mechanics.derived import (
    curve_peak,
    engine_displacement,
    fitted_rate,
    modulus,
    peak_speed,
    primary_ratio,
    working_faces,
)
from app.mechanics.friction_source import TESTED
from app.mechanics.inputs import (
    MOUNTINGS,
    BmepTorque,
    CentrifugalClamp,
    Clamp,
    CoilClamp,
    CurveTorque,
    DiscClamp,
    DiscTableClamp,
    EngineInputs,
    LoadClamp,
    LoadPoint,
    MeasuredTorque,
    PackInputs,
    PowerTorque,
    Quantity,
    SpringGroup,
    State,
)
from app.mechanics.traced import Array, Column, Mask, Traced

CLAMP_KINDS: tuple[type[Clamp], ...] = (
    CoilClamp, DiscClamp, DiscTableClamp, LoadClamp, CentrifugalClamp,
)
TORQUE_KINDS = (MeasuredTorque, PowerTorque, BmepTorque, CurveTorque)
SPRING = "pack.clamp.springs.*."

PACK_FIGURES = (
    "facing_od_mm", "facing_id_mm", "grooved_fraction", "lift_mm", "stack_wear_limit_mm",
)
SPLINE_FIGURES = ("spline_major_mm", "basket_spline_mm")
"""Columns of these are there only where a state takes the loss along the splines off."""
CLAMP_FIGURES = (
    "force_n", "rate_n_per_mm", "outside_mm", "inside_mm", "thickness_mm", "cone_height_mm",
    "installed_deflection_mm", "modulus_mpa", "poisson", "weight_mass_g", "radius_mm",
    "ramp_angle_deg", "return_force_n",
)
SPRING_FIGURES = (
    "free_length_mm", "installed_length_mm", "shim_mm", "rate_n_per_mm", "wire_mm", "outside_mm",
    "inside_mm", "mean_mm", "total_coils",
)
_TORQUE_FIGURES = (
    "torque_nm", "power_kw", "speed_rpm", "bmep_kpa", "overall_ratio", "driveline_efficiency",
)
_ENGINE_FIGURES = ("displacement_cc", "bore_mm", "stroke_mm", "primary_efficiency")


@dataclass(frozen=True, eq=False)
class Sheet:
    """Columns by input path, each (records, 1) or (records, groups)."""

    columns: Mapping[str, Column]
    records: int

    def get(self, name: str) -> Traced:
        """The traced input; NaN where no record has it."""
        column = self.columns.get(name)
        if column is None:
            return Traced(np.full((self.records, 1), math.nan))
        return Traced.of(name, column)

    @property
    def widths(self) -> dict[str, int]:
        """Length of the group axis of each column."""
        return {name: column.value.shape[-1] for name, column in self.columns.items()}


@dataclass(frozen=True, eq=False)
class PackSheet(Sheet):
    """Packs side by side, for one lubrication state and kind of friction."""

    friction: str
    surfaces: Array
    kind: Array
    mounting: NDArray[np.intp]
    count: Array
    inactive: Array
    extra: Array
    tables: tuple[tuple[LoadPoint, ...], ...]
    weights: Array
    tested: Mask

    def has(self, kind: type[Clamp]) -> Mask:
        """Where the clamp is of this kind, (records, 1)."""
        return np.asarray(self.kind == CLAMP_KINDS.index(kind))

    def with_friction(self, name: str, friction: Column, tested: Mask) -> "PackSheet":
        """The same packs with their friction in one state, and whose own tests gave it."""
        known = {} if np.isnan(friction.value).all() else {name: friction}
        return replace(self, friction=name, columns={**self.columns, **known}, tested=tested)

    def nominal(self) -> "PackSheet":
        """The same packs without their doubts, where their values alone are asked for."""
        zero = np.zeros((1, 1))
        columns = {name: Column(c.value, zero, zero) for name, c in self.columns.items()}
        return replace(self, columns=columns)

    def rows(self, index: NDArray[np.intp]) -> "PackSheet":
        """Some of the packs, in the order of their places."""
        columns = {
            name: Column(c.value[index], c.limit[index], c.std[index])
            for name, c in self.columns.items()
        }
        return replace(
            self, columns=columns, records=index.size, surfaces=self.surfaces[index],
            kind=self.kind[index], mounting=self.mounting[index], count=self.count[index],
            inactive=self.inactive[index], extra=self.extra[index],
            tables=tuple(self.tables[i] for i in index.tolist()), weights=self.weights[index],
            tested=self.tested[index],
        )


@dataclass(frozen=True, eq=False)
class EngineSheet(Sheet):
    """Engines side by side; `kind` numbers the way the torque is known (−1: not at all)."""

    kind: Array
    cylinders: Array
    revolutions: Array
    curve_speed: Array
    curve_at_wheel: Mask


def _column(figures: Sequence[Sequence[Quantity | None]]) -> Column | None:
    every = [q for row in figures for q in row]
    if not any(q is not None for q in every):
        return None
    nan = math.nan
    value = [nan if q is None else q.value for q in every]
    limit = [0.0 if q is None else q.plus_minus or 0.0 for q in every]
    std = [0.0 if q is None else q.std or 0.0 for q in every]
    shape = len(figures), len(figures[0])
    # Whole numbers would make an integer array, which cuts off whatever is drawn into it.
    return Column(*(np.array(p, dtype=np.float64).reshape(shape) for p in (value, limit, std)))


def _gather(
    prefix: str, names: Iterable[str], records: Sequence[object]
) -> dict[str, Column]:
    found = {}
    for name in names:
        column = _column([[getattr(record, name, None)] for record in records])
        if column is not None:
            found[prefix + name] = column
    return found


def friction_name(state: State) -> str:
    """Name of the column of friction in a state.

    Args:
        state: lubrication and kind of friction.

    Returns:
        A path of the JSON interface.

    Range: any state.
    Source: our arrangement.
    """
    return f"pack.friction.{state.lubrication}.{state.friction}"


def stack_packs(packs: Sequence[PackInputs], state: State) -> PackSheet:
    """Lay packs side by side for one state.

    Args:
        packs: the records, with the units of their names, shape (records,).
        state: chooses lubrication and kind of friction.

    Returns:
        A PackSheet of (records, 1) and (records, groups) columns.

    Range: any number of packs, up to 8 spring groups each.
    Source: our arrangement.
    """
    friction = friction_name(state)
    key = (state.lubrication, state.friction)
    columns = _gather("pack.", PACK_FIGURES, packs)
    if state.spline_friction is not None:
        columns |= _gather("pack.", SPLINE_FIGURES, packs)
    columns |= _gather("pack.clamp.", CLAMP_FIGURES, [p.clamp for p in packs])
    mu = _column([[p.friction.get(key)] for p in packs])
    if mu is not None:
        columns[friction] = mu
    groups = _spring_groups(packs)
    columns |= _spring_columns(groups)
    inactive, extra = inactive_and_extra([[g.ends for g in row] for row in groups])
    faces = [working_faces(p) for p in packs]
    return PackSheet(
        columns=columns,
        records=len(packs),
        friction=friction,
        surfaces=_numbers(faces),
        kind=np.array([[_kind_number(p.clamp, CLAMP_KINDS)] for p in packs]),
        mounting=np.array(
            [MOUNTINGS.index(p.mounting) if p.mounting else -1 for p in packs], dtype=np.intp
        ),
        count=np.array([[math.nan if g.count is None else g.count for g in r] for r in groups]),
        inactive=inactive,
        extra=extra,
        tables=tuple(
            p.clamp.points if isinstance(p.clamp, DiscTableClamp) else () for p in packs
        ),
        weights=_weights(packs),
        tested=np.array(
            [p.friction_source.get(key) == TESTED for p in packs], dtype=bool
        ).reshape(-1, 1),
    )


def _numbers(values: Sequence[int | None]) -> Array:
    return np.array([[math.nan if v is None else float(v)] for v in values])


def _weights(packs: Sequence[PackInputs]) -> Array:
    """How many weights, or how many discs act as springs in parallel and series, are counts."""
    rows = []
    for pack in packs:
        clamp = pack.clamp
        if isinstance(clamp, CentrifugalClamp) and clamp.weights is not None:
            rows.append([float(clamp.weights), 1.0])
        elif isinstance(clamp, DiscClamp):
            rows.append([float(clamp.in_parallel), float(clamp.in_series)])
        else:
            rows.append([math.nan, math.nan])
    return np.array(rows)


def _kind_number(value: object, kinds: Sequence[type]) -> int:
    return next((i for i, kind in enumerate(kinds) if isinstance(value, kind)), -1)


# Fills the group axis of packs with fewer springs: no springs, no compression, no load.
NO_SPRINGS = SpringGroup(
    count=0, free_length_mm=Quantity(1.0), installed_length_mm=Quantity(1.0),
    rate_n_per_mm=Quantity(1.0),
)


def _spring_groups(packs: Sequence[PackInputs]) -> list[list[SpringGroup]]:
    # Coil springs that nobody entered are one unknown group, not a clamp of 0 N.
    own = [list(p.clamp.springs or (SpringGroup(),)) if isinstance(p.clamp, CoilClamp) else []
           for p in packs]
    width = max(1, max((len(row) for row in own), default=1))
    return [row + [NO_SPRINGS] * (width - len(row)) for row in own]


def _spring_columns(groups: list[list[SpringGroup]]) -> dict[str, Column]:
    found: dict[str, Column] = {}

    def add(name: str, pick: Callable[[SpringGroup], Quantity | None]) -> None:
        column = _column([[pick(g) for g in row] for row in groups])
        if column is not None:
            found[SPRING + name] = column

    for name in SPRING_FIGURES:
        add(name, attrgetter(name))
    add("load_points", fitted_rate)
    add("tester", lambda g: Quantity(1.0, plus_minus=g.tester_limit) if g.load_points else None)
    add("shear_modulus_mpa", modulus)
    return found


def stack_engines(engines: Sequence[EngineInputs]) -> EngineSheet:
    """Lay engines side by side.

    Args:
        engines: the records, with the units of their names, shape (records,).

    Returns:
        An EngineSheet of (records, 1) columns.

    Range: any number of engines.
    Source: our arrangement. Teeth win over a stated ratio, because they are exact.
    """
    columns = _gather("engine.torque.", _TORQUE_FIGURES, [e.torque for e in engines])
    columns |= _gather("engine.", _ENGINE_FIGURES, engines)
    extra: dict[str, list[list[Quantity | None]]] = {
        "engine.primary_ratio": [[primary_ratio(e)] for e in engines],
        "engine.service_factor": [[e.service_factor or Quantity(1.0)] for e in engines],
        "engine.torque.points": [[curve_peak(e)] for e in engines],
        "engine.displacement_cc": [[engine_displacement(e)] for e in engines],
    }
    for name, figures in extra.items():
        column = _column(figures)
        if column is not None:
            columns[name] = column
    return EngineSheet(
        columns=columns,
        records=len(engines),
        kind=np.array([[_kind_number(e.torque, TORQUE_KINDS)] for e in engines]),
        cylinders=np.array([[float(e.cylinders)] for e in engines]),
        revolutions=np.array([[math.nan if e.strokes is None else e.strokes / 2.0]
                              for e in engines]),
        curve_speed=np.array([[peak_speed(e)] for e in engines]),
        curve_at_wheel=np.array(
            [[isinstance(e.torque, CurveTorque) and e.torque.at == "wheel"] for e in engines]
        ),
    )
