"""Packs between their rows and their documents, and from rows to what the mechanics take."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any

from app.documents import Pack, SpringGroup
from app.documents.pack import FITTED, STATES
from app.fields import default_doubt
from app.mechanics import inputs
from app.mechanics.friction_source import OWN, TESTED
from app.mechanics.inputs import FrictionKind, Lubrication, Quantity
from app.records.base import Row, folded
from app.records.packs import CLAMP_COLUMNS, CLAMP_FIGURES, PACK_FIGURES, SPRING_FIGURES
from app.records.quantities import put, take, take_quantity

_PLAIN = (
    "name",
    "friction_plates",
    "lined_faces_per_plate",
    "plain_plates",
    "surfaces",
    "surfaces_reason",
    "mounting",
    "spline_count",
    "gear_teeth",
    "notes",
)
_CLAMP_PLAIN = {"disc": ("in_parallel", "in_series"), "centrifugal": ("weights",)}
_PACK_TAKES = tuple(f.name for f in fields(inputs.PackInputs) if f.name in PACK_FIGURES)
_PACK_KEEPS = tuple(f.name for f in fields(inputs.PackInputs) if f.name in _PLAIN)
_SPRING_PLAIN = ("name", "count", "tester_limit", "ends", "wire_material", "positions",
                 "free_lengths_mm")


@dataclass(frozen=True, slots=True)
class PackParts:
    """The rows that belong to one pack, in their order."""

    row: Row
    springs: Sequence[Row] = ()
    load_points: Mapping[int, Sequence[Row]] = field(default_factory=dict)
    friction: Sequence[Row] = ()
    facing: str | None = None
    facing_friction: Sequence[Row] = ()


def search_text(*texts: str | None) -> str:
    """What a search looks through, folded as names are."""
    return folded(" ".join(text for text in texts if text))


def pack_values(document: Pack, facing_id: int | None) -> dict[str, Any]:
    """The columns of a pack's row; springs and friction have rows of their own."""
    provenance: dict[str, Any] = {}
    values: dict[str, Any] = {name: getattr(document, name) for name in _PLAIN}
    values["name_key"] = folded(document.name)
    values["search_text"] = search_text(document.name, document.facing, document.notes)
    values["facing_id"] = facing_id
    values["checked_by"] = document.checked and document.checked.by
    values["checked_at"] = document.checked and document.checked.at
    for column in PACK_FIGURES:
        put(values, provenance, column, getattr(document, column))
    clamp = document.clamp
    kind = clamp.kind if clamp is not None else None
    values["clamp_kind"] = kind
    for column in CLAMP_COLUMNS:
        put(values, provenance, column, None)
    for names in _CLAMP_PLAIN.items():
        for name in names[1]:
            values[f"{names[0]}_{name}"] = getattr(clamp, name) if kind == names[0] else None
    values["disc_table_points"] = None
    if kind in CLAMP_FIGURES:
        for name in CLAMP_FIGURES[kind]:
            put(values, provenance, f"{kind}_{name}", getattr(clamp, name))
    if clamp is not None and clamp.kind == "disc_table":
        values["disc_table_points"] = [[p.deflection_mm, p.force_n] for p in clamp.points]
    values["provenance"] = provenance
    return values


def spring_values(group: SpringGroup, position: int) -> dict[str, Any]:
    """The columns of a spring set's row; its load points have rows of their own."""
    provenance: dict[str, Any] = {}
    values: dict[str, Any] = {name: getattr(group, name) for name in _SPRING_PLAIN}
    values["position"] = position
    for column in SPRING_FIGURES:
        put(values, provenance, column, getattr(group, column))
    values["provenance"] = provenance
    return values


def load_point_values(group: SpringGroup) -> list[dict[str, Any]]:
    """The columns of a spring set's load points."""
    return [
        {"position": i, "deflection_mm": p.deflection_mm, "force_n": p.force_n}
        for i, p in enumerate(group.load_points or ())
    ]


def friction_values(document: Pack) -> list[dict[str, Any]]:
    """The columns of a pack's own friction coefficients."""
    found = []
    for i, ((lubrication, kind), q) in enumerate(document.own_friction().items()):
        provenance: dict[str, Any] = {}
        values: dict[str, Any] = {"lubrication": lubrication, "kind": kind, "position": i}
        put(values, provenance, "friction", q)
        found.append({**values, "provenance": provenance})
    return found


def pack_document(parts: PackParts) -> Pack:
    """The document that a pack's rows hold."""
    row = parts.row
    raw: dict[str, Any] = {name: row[name] for name in _PLAIN}
    raw["facing"] = parts.facing
    if row["checked_by"] is not None:
        raw["checked"] = {"by": row["checked_by"], "at": row["checked_at"]}
    raw |= _figures(row, {name: name for name in PACK_FIGURES})
    friction: dict[str, dict[str, Any]] = {}
    for own in parts.friction:
        friction.setdefault(own["lubrication"], {})[own["kind"]] = take(own, "friction")
    raw["friction"] = friction or None
    raw["clamp"] = _clamp_raw(parts)
    return Pack.model_validate(raw)


def spring_document(row: Row, load_points: Iterable[Row]) -> SpringGroup:
    """The document that a spring set's rows hold."""
    raw: dict[str, Any] = {name: row[name] for name in _SPRING_PLAIN}
    raw |= _figures(row, {name: name for name in SPRING_FIGURES})
    points = [{"deflection_mm": p["deflection_mm"], "force_n": p["force_n"]} for p in load_points]
    raw["load_points"] = points or None
    return SpringGroup.model_validate(raw)


def _figures(row: Row, names: Mapping[str, str]) -> dict[str, Any]:
    """Known figures by the document's names; what is not known keeps the document's default."""
    return {name: q for name, column in names.items() if (q := take(row, column)) is not None}


def _clamp_raw(parts: PackParts) -> dict[str, Any] | None:
    row = parts.row
    kind = row["clamp_kind"]
    if kind is None:
        return None
    raw: dict[str, Any] = {"kind": kind}
    if kind == "coil":
        raw["springs"] = [
            spring_document(s, parts.load_points.get(s["id"], ())) for s in parts.springs
        ]
        return raw
    raw |= _figures(row, {name: f"{kind}_{name}" for name in CLAMP_FIGURES[kind]})
    for name in _CLAMP_PLAIN.get(kind, ()):
        if row[f"{kind}_{name}"] is not None:
            raw[name] = row[f"{kind}_{name}"]
    if kind == "disc_table":
        points = row["disc_table_points"] or ()
        raw["points"] = [{"deflection_mm": x, "force_n": y} for x, y in points]
    return raw


def pack_inputs(parts: PackParts) -> inputs.PackInputs:
    """What the mechanics take, straight from the rows: no document is made on the way.

    Where the pack has no friction coefficient of its own, the facing's table gives it.
    """
    row = parts.row
    friction: dict[tuple[Lubrication, FrictionKind], Quantity] = {}
    sources: dict[tuple[Lubrication, FrictionKind], str] = {}
    for own in parts.friction:
        friction[own["lubrication"], own["kind"]] = Quantity(
            own["friction"], own["friction_plus_minus"], own["friction_std"], own["friction_how"]
        )
        origin = (own["provenance"] or {}).get("friction", {}).get("with_what") or ""
        tested = origin.startswith(FITTED)
        sources[own["lubrication"], own["kind"]] = TESTED if tested else OWN
    for key in STATES:
        found = None if key in friction else facing_friction(parts.facing_friction, *key)
        if found is not None:
            friction[key], sources[key] = found
    pressure = _pressure_limit(parts.facing_friction)
    figures: dict[str, Any] = {
        name: q for name in _PACK_TAKES if (q := take_quantity(row, name)) is not None
    }
    return inputs.PackInputs(
        **{name: row[name] for name in _PACK_KEEPS},
        **figures,
        facing=parts.facing,
        friction=friction,
        friction_source=sources,
        clamp=_clamp_inputs(parts),
        pressure_limit_mpa=None if pressure is None else pressure["p_max_low_mpa"],
        pressure_limit_source=None if pressure is None else pressure["source"],
    )


def facing_friction(
    rows: Sequence[Row], lubrication: Lubrication, kind: FrictionKind
) -> tuple[Quantity, str] | None:
    """μ of a facing in one state: the middle of its band with the band as limit, and the source.

    A row of just this kind is taken before one that serves both, and the first among equals. A
    row with one figure gets the usual doubt of a listed coefficient.
    """
    for accepted in (kind, "both"):
        for row in rows:
            if row["lubrication"] != lubrication or row["kind"] != accepted:
                continue
            source = row["source"] or "the table of facings"
            low, high = row["low"], row["high"]
            if low is None or high is None:
                limit = default_doubt("friction", "listed", row["friction"])
                return Quantity(row["friction"], plus_minus=limit, how="listed"), source
            return Quantity((low + high) / 2, plus_minus=(high - low) / 2, how="listed"), source
    return None


def _pressure_limit(rows: Sequence[Row]) -> Row | None:
    """The row with the least of the cautious allowable pressures."""
    known = [row for row in rows if row["p_max_low_mpa"] is not None]
    return min(known, key=lambda row: float(row["p_max_low_mpa"]), default=None)


def _clamp_inputs(parts: PackParts) -> inputs.Clamp | None:
    row = parts.row
    kind = row["clamp_kind"]
    if kind is None:
        return None
    if kind == "coil":
        groups = (spring_inputs(s, parts.load_points.get(s["id"], ())) for s in parts.springs)
        return inputs.CoilClamp(tuple(groups))
    found: dict[str, Any] = {}
    for name in CLAMP_FIGURES[kind]:
        quantity = take_quantity(row, f"{kind}_{name}")
        if quantity is not None:
            found[name] = quantity
    for name in _CLAMP_PLAIN.get(kind, ()):
        if row[f"{kind}_{name}"] is not None:
            found[name] = row[f"{kind}_{name}"]
    if kind == "load":
        return inputs.LoadClamp(**found)
    if kind == "disc":
        return inputs.DiscClamp(**found)
    if kind == "centrifugal":
        return inputs.CentrifugalClamp(**found)
    points = tuple(inputs.LoadPoint(x, y) for x, y in row["disc_table_points"] or ())
    return inputs.DiscTableClamp(points, **found)


def spring_inputs(row: Row, load_points: Iterable[Row]) -> inputs.SpringGroup:
    """A spring set as the mechanics take it, straight from its rows."""
    figures = {name: q for name in SPRING_FIGURES if (q := take_quantity(row, name)) is not None}
    return inputs.SpringGroup(
        count=row["count"],
        load_points=tuple(inputs.LoadPoint(p["deflection_mm"], p["force_n"]) for p in load_points),
        tester_limit=row["tester_limit"] or 0.0,
        ends=row["ends"],
        wire_material=row["wire_material"],
        positions=row["positions"],
        free_lengths_mm=tuple(row["free_lengths_mm"] or ()),
        **figures,
    )
