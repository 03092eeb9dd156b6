"""All packs in use as columns, read in a fixed number of queries: no object is made of a pack.

A board of ten thousand packs needs their figures as arrays. The database has them as columns, so
they are turned into arrays as they come; the inputs of a single pack are made from its rows when
somebody asks for them. The arrays are to the bit those that the documents give.
"""

import gc
import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
import sqlalchemy as sa
from sqlmodel import Session

from app.documents.pack import FITTED
from app.mechanics import stack
from app.mechanics.coil_spring import END_COILS
from app.mechanics.derived import fitted_rates, table_moduli
from app.mechanics.disc_friction import faces_working
from app.mechanics.friction_source import table_friction
from app.mechanics.inputs import (
    MOUNTINGS,
    DiscClamp,
    LoadPoint,
    PackInputs,
    Quantity,
    State,
)
from app.mechanics.stack import NO_SPRINGS, SPRING, SPRING_FIGURES, PackSheet, friction_name
from app.mechanics.traced import Array, Column
from app.records.base import Row, table_of
from app.records.listing import Search, columns, conditions
from app.records.pack_queries import facing_friction_rows, facing_names
from app.records.pack_rows import PackParts, facing_friction, pack_inputs
from app.records.packs import CLAMP_FIGURES, Pack, Spring
from app.records.packs import LoadPoint as PointRow
from app.records.sources import FrictionValue

_BOOKKEEPING = {
    "created_at", "created_by", "changed_at", "changed_by", "put_aside_at", "put_aside_by",
    "notes", "search_text", "provenance",
}
_KINDS = ("coil", "disc", "disc_table", "load", "centrifugal")
"""In the order of `app.mechanics.stack.CLAMP_KINDS`."""

Columns = Mapping[str, Sequence[Any]]
Numbers = Sequence[Any] | Array
Rows = Mapping[int, Sequence[sa.Row[Any]]]


@dataclass(frozen=True, eq=False)
class PackColumns:
    """Packs in order of names: their keys, names and versions, and everything to compare them.

    Attributes:
        public_ids, versions, names, keys: of each pack; a key is its folded name.
        checked: who looked its figures over, and when.
        sheet: the packs side by side, without friction.
    """

    public_ids: Sequence[str]
    versions: Sequence[int]
    names: Sequence[str]
    keys: Sequence[str]
    checked: Sequence[tuple[str | None, str | None]]
    sheet: PackSheet
    _rows: Sequence[sa.Row[Any]]
    _springs: Rows
    _points: Rows
    _friction: Rows
    _facings: Mapping[int | None, str]
    _facing_friction: Mapping[int, Sequence[Row]]

    def inputs(self, place: int) -> PackInputs:
        """One pack as the mechanics take it."""
        row = self._rows[place]._mapping
        springs = _mappings(self._springs.get(row["id"], ()))
        return pack_inputs(
            PackParts(
                row=row,
                springs=springs,
                load_points={s["id"]: _mappings(self._points.get(s["id"], ())) for s in springs},
                friction=[
                    {**own, "provenance": {"friction": {"with_what": own["with_what"]}}}
                    for own in _mappings(self._friction.get(row["id"], ()))
                ],
                facing=self._facings.get(row["facing_id"]),
                facing_friction=self._facing_friction.get(row["facing_id"], ()),
            )
        )

    def for_state(self, state: State) -> PackSheet:
        """The packs side by side with their friction in a state."""
        lubrication, kind = state.lubrication, state.friction

        @cache
        def of_facing(key: int | None) -> Quantity | None:
            found = facing_friction(self._facing_friction.get(key or 0, ()), lubrication, kind)
            name = self._facings.get(key)
            if found is None and name is not None:
                found = table_friction(name, lubrication, kind)
            return None if found is None else found[0]

        def of_pack(row: sa.Row[Any]) -> tuple[float | None, float | None, float | None]:
            for own in self._friction.get(row.id, ()):
                if own.lubrication == lubrication and own.kind == kind:
                    return own.friction, own.friction_plus_minus, own.friction_std
            found = of_facing(row.facing_id)
            return (None,) * 3 if found is None else (found.value, found.plus_minus, found.std)

        sheet = self.sheet
        if state.spline_friction is not None:
            sheet = replace(sheet, columns={**sheet.columns, **self._splines()})
        return sheet.with_friction(
            friction_name(state),
            _column(*zip(*map(of_pack, self._rows), strict=True)),
            np.array([self._tested(row, state) for row in self._rows], dtype=bool).reshape(-1, 1),
        )

    def _splines(self) -> dict[str, Column]:
        """Columns that a state with friction along the splines needs besides."""
        rows = _mappings(self._rows)
        found = {f"pack.{name}": _figure({part: [row[part] for row in rows] for part in (
            name, f"{name}_plus_minus", f"{name}_std")}, name) for name in stack.SPLINE_FIGURES}
        return {name: c for name, c in found.items() if not np.isnan(c.value).all()}

    def _tested(self, row: sa.Row[Any], state: State) -> bool:
        return any(
            own.lubrication == state.lubrication and own.kind == state.friction
            and (own.with_what or "").startswith(FITTED)
            for own in self._friction.get(row.id, ())
        )


def pack_columns(session: Session) -> PackColumns:
    """Every pack in use, in order of names, in six queries however many there are."""
    with _collector_at_rest():
        return _pack_columns(session)


def _pack_columns(session: Session) -> PackColumns:
    table, spring, point = columns(Pack), columns_of_table(Spring), columns_of_table(PointRow)
    friction = columns_of_table(FrictionValue)
    in_use = conditions(Pack, Search())
    ids = sa.select(table.c.id).where(*in_use)
    packs = _read(session, sa.select(*_needed(table)).where(*in_use).order_by(
        table.c.name_key, table.c.public_id))
    springs = _read(session, sa.select(*_needed(spring)).where(spring.c.pack_id.in_(ids)).order_by(
        spring.c.pack_id, spring.c.position))
    of_springs = sa.select(spring.c.id).where(spring.c.pack_id.in_(ids))
    points = _by(_read(session, sa.select(point).where(point.c.spring_id.in_(of_springs)).order_by(
        point.c.spring_id, point.c.position)), "spring_id")
    with_what = friction.c.provenance["friction"]["with_what"].as_string().label("with_what")
    of_packs = sa.select(*_needed(friction), with_what).where(friction.c.pack_id.in_(ids))
    own = _by(_read(session, of_packs.order_by(
        friction.c.pack_id, friction.c.position)), "pack_id")
    facings = {row.facing_id for row in packs} - {None}
    by_name = _turned(packs, _needed(table))
    return PackColumns(
        public_ids=by_name["public_id"],
        versions=by_name["version"],
        names=by_name["name"],
        keys=by_name["name_key"],
        checked=list(zip(by_name["checked_by"], by_name["checked_at"], strict=True)),
        sheet=_sheet(by_name, _turned(springs, _needed(spring)), points),
        _rows=packs,
        _springs=_by(springs, "pack_id"),
        _points=points,
        _friction=own,
        _facings=facing_names(session, facings),
        _facing_friction=facing_friction_rows(session, facings),
    )


def columns_of_table(table: Any) -> sa.Table:
    """The table's columns, for queries that read rows and not objects."""
    found: sa.Table = table_of(table)
    return found


def _needed(table: sa.Table) -> list[sa.Column[Any]]:
    return [column for column in table.c if column.name not in _BOOKKEEPING]


def _read(session: Session, query: sa.Select[Any]) -> Sequence[sa.Row[Any]]:
    return session.connection().execute(query).all()


@contextmanager
def _collector_at_rest() -> Iterator[None]:
    """Many rows that all stay: to look through them for what may go doubles the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _by(rows: Sequence[sa.Row[Any]], name: str) -> dict[int, list[sa.Row[Any]]]:
    found: dict[int, list[sa.Row[Any]]] = defaultdict(list)
    for row in rows:
        found[getattr(row, name)].append(row)
    return found


def _mappings(rows: Iterable[sa.Row[Any]]) -> list[Row]:
    return [row._mapping for row in rows]


def _turned(rows: Sequence[sa.Row[Any]], names: Collection[sa.Column[Any]]) -> Columns:
    """Rows as columns by name."""
    parts = zip(*rows, strict=True) if rows else [()] * len(names)
    return dict(zip((column.name for column in names), parts, strict=True))


def _sheet(packs: Columns, springs: Columns, points: Rows) -> PackSheet:
    count = len(packs["id"])
    kinds = [_KINDS.index(k) if k else -1 for k in packs["clamp_kind"]]
    kind = np.array(kinds, dtype=np.intp)[:, None]
    found = {f"pack.{name}": _figure(packs, name) for name in stack.PACK_FIGURES}
    found["pack.grooved_fraction"] = _filled(found["pack.grooved_fraction"], True, 0.0)
    for name in stack.CLAMP_FIGURES:
        places = [f"{k}_{name}" for k, names in CLAMP_FIGURES.items() if name in names]
        found[f"pack.clamp.{name}"] = _either([_figure(packs, place) for place in places])
    disc = kind == _KINDS.index("disc")
    usual = DiscClamp()
    for name, value in (("modulus_mpa", usual.modulus_mpa), ("poisson", usual.poisson)):
        found[f"pack.clamp.{name}"] = _filled(found[f"pack.clamp.{name}"], disc, value.value)
    groups, inactive, extra, of_springs = _springs(packs, springs, points)
    surfaces = [
        stated if stated is not None or plates is None else faces_working(plates, lined)
        for stated, plates, lined in zip(
            packs["surfaces"], packs["friction_plates"], packs["lined_faces_per_plate"],
            strict=True)
    ]
    return PackSheet(
        columns={
            name: column for name, column in (found | of_springs).items()
            if not np.isnan(column.value).all()
        },
        records=count,
        friction="",
        surfaces=_numbers(surfaces)[:, None],
        kind=kind.astype(np.float64),
        mounting=np.array(
            [MOUNTINGS.index(m) if m else -1 for m in packs["mounting"]], dtype=np.intp
        ),
        count=groups,
        inactive=inactive,
        extra=extra,
        tables=tuple(
            tuple(LoadPoint(x, y) for x, y in points or ()) if k == "disc_table" else ()
            for k, points in zip(packs["clamp_kind"], packs["disc_table_points"], strict=True)
        ),
        weights=_weights(packs, disc),
        tested=np.zeros((count, 1), dtype=bool),
    )


def _weights(packs: Columns, disc: Any) -> Array:
    weights = _numbers(packs["centrifugal_weights"])[:, None]
    stacked = np.stack([_numbers(packs["disc_in_parallel"]), _numbers(packs["disc_in_series"])], 1)
    stacked = np.where(np.isnan(stacked), 1.0, stacked)
    by_weights = np.concatenate([weights, np.where(np.isnan(weights), math.nan, 1.0)], axis=1)
    return np.where(disc, stacked, by_weights)


def _springs(
    packs: Columns, springs: Columns, points: Rows
) -> tuple[Array, Array, Array, dict[str, Column]]:
    """Spring groups as (packs, groups): counts, coils that do not work, coils to add, figures."""
    coil = {key: i for i, (key, k) in enumerate(
        zip(packs["id"], packs["clamp_kind"], strict=True)) if k == "coil"}
    kept = [i for i, key in enumerate(springs["pack_id"]) if key in coil]
    own = {name: [values[i] for i in kept] for name, values in springs.items()}
    rows = np.array([coil[key] for key in own["pack_id"]], dtype=np.intp)
    places = np.zeros(rows.size, np.intp)
    for i in range(1, rows.size):
        places[i] = places[i - 1] + 1 if rows[i] == rows[i - 1] else 0
    shape = len(packs["id"]), int(places.max(initial=0)) + 1
    # A coil clamp whose springs nobody entered is one unknown group, not a clamp of 0 N.
    bare = np.setdiff1d(np.fromiter(coil.values(), np.intp, len(coil)), rows)

    def laid(values: Array, padding: float, unknown: float = math.nan) -> Array:
        full = np.full(shape, padding)
        full[bare, 0] = unknown
        full[rows, places] = values
        return full

    def spread(column: Column, padding: Quantity | None, unknown: float = math.nan) -> Column:
        value = laid(column.value[:, 0], math.nan if padding is None else padding.value, unknown)
        return Column(value, laid(column.limit[:, 0], 0.0, 0.0), laid(column.std[:, 0], 0.0, 0.0))

    figures = {name: _figure(own, name) for name in SPRING_FIGURES}
    figures["shim_mm"] = _filled(figures["shim_mm"], True, 0.0)
    read = [[(p.deflection_mm, p.force_n) for p in points.get(key, ())] for key in own["id"]]
    tested = np.array([bool(one) for one in read], dtype=np.bool_)[:, None]
    limit = np.array([[t or 0.0] for t in own["tester_limit"]]).reshape(-1, 1)
    figures["tester"] = Column(
        np.where(tested, 1.0, math.nan), np.where(tested, limit, 0.0), np.zeros(limit.shape)
    )
    figures["load_points"] = _column(*fitted_rates(read))
    figures["shear_modulus_mpa"] = _either([
        _figure(own, "shear_modulus_mpa"),
        _column(*table_moduli(own["wire_material"], figures["wire_mm"].value[:, 0])),
    ])
    ends = np.array(
        [END_COILS[e] if e else (math.nan, math.nan) for e in own["ends"]]
    ).reshape(-1, 2)
    padding = {name: getattr(NO_SPRINGS, name) for name in SPRING_FIGURES}
    unknown = {"shim_mm": 0.0}
    return (
        laid(_numbers(own["count"]), 0.0), laid(ends[:, 0], math.nan), laid(ends[:, 1], math.nan),
        {SPRING + name: spread(column, padding.get(name), unknown.get(name, math.nan))
         for name, column in figures.items()},
    )


def _figure(own: Columns, name: str) -> Column:
    return _column(own[name], own[f"{name}_plus_minus"], own[f"{name}_std"])


def _column(values: Numbers = (), limits: Numbers = (), stds: Numbers = ()) -> Column:
    def doubt(parts: Numbers) -> Array:
        return np.nan_to_num(_numbers(parts), nan=0.0)[:, None]

    return Column(_numbers(values)[:, None], doubt(limits), doubt(stds))


def _numbers(values: Numbers) -> Array:
    # numpy reads None as NaN here, a hundred times quicker than a loop says it.
    return np.array(values, dtype=np.float64)


def _either(choices: Sequence[Column]) -> Column:
    """The first figure that is known."""
    chosen = choices[-1]
    for one in reversed(choices[:-1]):
        known = ~np.isnan(one.value)
        parts = ((one.value, chosen.value), (one.limit, chosen.limit), (one.std, chosen.std))
        chosen = Column(*(np.where(known, yes, no) for yes, no in parts))
    return chosen


def _filled(column: Column, where: Any, value: float) -> Column:
    """A figure that has a value of its own where nobody gave one."""
    return Column(
        np.where(where & np.isnan(column.value), value, column.value), column.limit, column.std
    )
