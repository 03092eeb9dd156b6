"""Figures that a record implies: worked out of several of its entries, each for one record."""

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from app.errors import AppError
from app.mechanics.coil_spring import rate_from_load_points
from app.mechanics.disc_friction import faces_working
from app.mechanics.engine_torque import displacement
from app.mechanics.inputs import (
    CurveTorque,
    EngineInputs,
    LoadPoint,
    PackInputs,
    Quantity,
    SpringGroup,
)
from app.mechanics.tables import wire_material
from app.mechanics.traced import Array

# A table's modulus is a round figure; this is our judgement of how far a wire may differ.
TABLE_MODULUS_LIMIT = 0.02


def working_faces(pack: PackInputs) -> int | None:
    """Faces that rub in a pack, z: as stated, or from its friction plates.

    Args:
        pack: one record.

    Returns:
        z [count]; None when neither is known.

    Range: one record.
    Source: as `faces_working`.
    """
    if pack.surfaces is not None:
        return pack.surfaces
    if pack.friction_plates is None:
        return None
    return faces_working(pack.friction_plates, pack.lined_faces_per_plate)


def fitted_rate(group: SpringGroup) -> Quantity | None:
    """Rate of a group's load points with the fit's standard error.

    A single point away from 0 gives its rate through the origin, without doubt.

    Args:
        group: springs alike with load points [mm, N].

    Returns:
        k [N/mm]; None when there are no points or they give no positive rate.

    Range: see `rate_from_load_points`.
    Source: as there.
    """
    return _fitted(group.load_points) if group.load_points else None


@lru_cache(maxsize=4096)  # the same few springs are laid side by side again and again
def _fitted(points: tuple[LoadPoint, ...]) -> Quantity | None:
    deflection = [p.deflection_mm for p in points]
    force = [p.force_n for p in points]
    try:
        fit = rate_from_load_points(deflection, force, through_origin=len(deflection) == 1)
    except AppError:
        return None
    if fit.rate <= 0.0:
        return None
    return Quantity(fit.rate, std=fit.rate_std, how="measured")


def fitted_rates(
    tables: Sequence[Sequence[tuple[float, float]]],
) -> tuple[Array, Array, Array]:
    """`fitted_rate` of many groups at once, to the bit.

    Args:
        tables: load points [mm, N] of each group.

    Returns:
        Rates [N/mm], limits (none) and standard uncertainties, shape (groups,); NaN where there
        are no points or they give no positive rate.

    Range: as `fitted_rate`.
    Source: as there.
    """
    rate, std = np.full(len(tables), math.nan), np.full(len(tables), math.nan)
    sizes = np.array([len(points) for points in tables], dtype=np.intp)
    for size in np.unique(sizes[sizes > 0]).tolist():
        at = np.flatnonzero(sizes == size)
        read = np.array([tables[i] for i in at.tolist()])
        x, y = (np.ascontiguousarray(read[..., part]) for part in (0, 1))
        middle = x.mean(axis=1, keepdims=True) if size > 1 else np.zeros((at.size, 1))
        level = y.mean(axis=1, keepdims=True) if size > 1 else np.zeros((at.size, 1))
        off = x - middle
        spread = np.sum(off**2, axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            found = np.sum(off * (y - level), axis=1) / spread
            left = y - found[:, None] * x - (level - found[:, None] * middle)
            if size > 2:
                scatter = np.sqrt(np.sum(left**2, axis=1) / (size - 2))
                std[at] = scatter / np.sqrt(spread)
        steady = np.all(x == x[:, :1], axis=1) if size > 1 else x[:, 0] == 0.0
        rate[at] = np.where(steady | ~(found > 0.0), math.nan, found)
    std = np.where(np.isnan(rate), math.nan, std)
    return rate, np.full(rate.shape, math.nan), std


def table_moduli(
    materials: Sequence[str | None], wire_mm: Array
) -> tuple[Array, Array, Array]:
    """`modulus` of many groups whose own is not known: from their wire materials' tables.

    Args:
        materials: name of each group's wire material.
        wire_mm: wire diameter d [mm], shape (groups,), NaN where not known.

    Returns:
        Moduli [MPa], limits and standard uncertainties (none), shape (groups,); NaN where the
        table has no such wire.

    Range: that of the table.
    Source: as `modulus`.
    """
    value = np.full(wire_mm.shape, math.nan)
    names = np.array([name or "" for name in materials], dtype=np.str_)
    for name in np.unique(names[names != ""]).tolist():
        at = np.flatnonzero((names == name) & (wire_mm > 0.0))
        try:
            value[at] = wire_material(name).shear_modulus_mpa(wire_mm[at])
        except AppError:
            continue
    return value, TABLE_MODULUS_LIMIT * value, np.full(value.shape, math.nan)


def modulus(group: SpringGroup) -> Quantity | None:
    """Shear modulus of a group: as given, else from its wire material's table ± 2 %.

    Args:
        group: springs alike, wire diameter in mm.

    Returns:
        G [MPa]; None when it is not given and the table has no such wire.

    Range: that of the table.
    Source: the table's row; its doubt is our judgement.
    """
    if group.shear_modulus_mpa is not None:
        return group.shear_modulus_mpa
    if group.wire_material is None or group.wire_mm is None:
        return None
    return _table_modulus(group.wire_material, group.wire_mm.value)


@lru_cache(maxsize=4096)
def _table_modulus(material: str, wire_mm: float) -> Quantity | None:
    try:
        value = float(wire_material(material).shear_modulus_mpa(wire_mm))
    except AppError:
        return None
    return Quantity(value, plus_minus=TABLE_MODULUS_LIMIT * value, how="listed")


def primary_ratio(engine: EngineInputs) -> Quantity | None:
    """Primary ratio, driven/driving: exact from teeth, else as given.

    Args:
        engine: one record.

    Returns:
        i [1]; None when neither is known.

    Range: one record.
    Source: definition.
    """
    if engine.primary_teeth is not None:
        driving, driven = engine.primary_teeth
        return Quantity(driven / driving)
    return engine.primary_ratio


def curve_peak(engine: EngineInputs) -> Quantity | None:
    """Largest torque of a torque curve with the doubt of the curve's scale.

    Args:
        engine: one record; its curve in r/min and N·m, at the crank or at the wheel.

    Returns:
        T [N·m] where the curve was taken; None without a curve.

    Range: one record; nothing is read between the points.
    Source: definition.
    """
    if not isinstance(engine.torque, CurveTorque) or not engine.torque.points:
        return None
    peak = max(torque for _, torque in engine.torque.points)
    return Quantity(peak, plus_minus=engine.torque.relative_doubt * peak, how="measured")


def peak_speed(engine: EngineInputs) -> float:
    """Speed at which a torque curve is highest.

    Args:
        engine: one record; its curve in r/min and N·m.

    Returns:
        n [r/min], as the curve states it; NaN without a curve.

    Range: one record.
    Source: definition.
    """
    if isinstance(engine.torque, CurveTorque) and engine.torque.points:
        return max(engine.torque.points, key=lambda point: point[1])[0]
    return math.nan


def engine_displacement(engine: EngineInputs) -> Quantity | None:
    """Displacement as stated, else from bore and stroke with their doubts to first order.

    Args:
        engine: one record, lengths in mm.

    Returns:
        V_d [cm³]; None when neither is known.

    Range: one record.
    Source: geometry; JCGM 100:2008, equation (12), for the doubt of a product.
    """
    if engine.displacement_cc is not None:
        return engine.displacement_cc
    bore, stroke = engine.bore_mm, engine.stroke_mm
    if bore is None or stroke is None:
        return None
    value = displacement(bore.value, stroke.value, float(engine.cylinders))
    relative = math.hypot(
        2.0 * bore.standard_uncertainty / bore.value, stroke.standard_uncertainty / stroke.value
    )
    how = "measured" if bore.how == stroke.how == "measured" else bore.how
    return Quantity(value, std=value * relative or None, how=how)
