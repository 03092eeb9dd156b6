"""Engines between their rows and their documents, and from rows to what the mechanics take."""

from dataclasses import fields
from typing import Any

from app.documents import Engine
from app.mechanics import inputs
from app.records.base import Row, folded
from app.records.engines import ENGINE_FIGURES, TORQUE_FIGURES
from app.records.pack_rows import search_text
from app.records.quantities import put, take, take_quantity

_PLAIN = ("name", "cylinders", "strokes", "spline_count", "notes")
_OF_TORQUE = {name for names in TORQUE_FIGURES.values() for name in names}
_OF_ENGINE = tuple(name for name in ENGINE_FIGURES if name not in _OF_TORQUE)
_TAKES = tuple(f.name for f in fields(inputs.EngineInputs) if f.name in _OF_ENGINE)
_KEEPS = tuple(f.name for f in fields(inputs.EngineInputs) if f.name in _PLAIN)
_TORQUES: dict[str, type[Any]] = {
    "measured": inputs.MeasuredTorque,
    "power": inputs.PowerTorque,
    "bmep": inputs.BmepTorque,
}


def engine_values(document: Engine) -> dict[str, Any]:
    """The columns of an engine's row."""
    provenance: dict[str, Any] = {}
    values: dict[str, Any] = {name: getattr(document, name) for name in _PLAIN}
    values["name_key"] = folded(document.name)
    values["search_text"] = search_text(document.name, document.notes)
    values["checked_by"] = document.checked and document.checked.by
    values["checked_at"] = document.checked and document.checked.at
    teeth = document.primary_teeth
    values["driving_teeth"], values["driven_teeth"] = (None, None) if teeth is None else teeth
    torque = document.torque
    values["torque_kind"] = torque and torque.kind
    for name in ENGINE_FIGURES:
        source = torque if name in _OF_TORQUE else document
        put(values, provenance, name, getattr(source, name, None))
    curve = torque if torque is not None and torque.kind == "curve" else None
    values["curve_points"] = curve and [[rpm, nm] for rpm, nm in curve.points]
    values["curve_at"] = curve and curve.at
    values["curve_relative_doubt"] = curve and curve.relative_doubt
    values["provenance"] = provenance
    return values


def engine_document(row: Row) -> Engine:
    """The document that an engine's row holds."""
    raw: dict[str, Any] = {name: row[name] for name in _PLAIN}
    raw |= {name: q for name in _OF_ENGINE if (q := take(row, name)) is not None}
    if row["checked_by"] is not None:
        raw["checked"] = {"by": row["checked_by"], "at": row["checked_at"]}
    if row["driving_teeth"] is not None:
        raw["primary_teeth"] = (row["driving_teeth"], row["driven_teeth"])
    kind = row["torque_kind"]
    if kind is not None:
        torque: dict[str, Any] = {"kind": kind}
        torque |= {n: q for n in TORQUE_FIGURES[kind] if (q := take(row, n)) is not None}
        if kind == "curve":
            torque["points"] = row["curve_points"] or []
            torque["at"] = row["curve_at"]
            torque["relative_doubt"] = row["curve_relative_doubt"]
        raw["torque"] = torque
    return Engine.model_validate(raw)


def engine_inputs(row: Row) -> inputs.EngineInputs:
    """What the mechanics take, straight from the row: no document is made on the way."""
    teeth = row["driving_teeth"], row["driven_teeth"]
    figures: dict[str, Any] = {
        name: q for name in _TAKES if (q := take_quantity(row, name)) is not None
    }
    return inputs.EngineInputs(
        **{name: row[name] for name in _KEEPS},
        **figures,
        torque=_torque_inputs(row),
        primary_teeth=None if teeth[0] is None else teeth,
    )


def _torque_inputs(row: Row) -> inputs.Torque | None:
    kind = row["torque_kind"]
    if kind is None:
        return None
    figures: dict[str, Any] = {name: take_quantity(row, name) for name in TORQUE_FIGURES[kind]}
    if kind != "curve":
        made: inputs.Torque = _TORQUES[kind](**figures)
        return made
    return inputs.CurveTorque(
        points=tuple((rpm, nm) for rpm, nm in row["curve_points"] or ()),
        at=row["curve_at"],
        relative_doubt=row["curve_relative_doubt"],
        **figures,
    )
