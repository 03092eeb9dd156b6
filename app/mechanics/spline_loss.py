"""Clamp load lost to friction along the splines of a multi-plate pack."""

import numpy as np

from app.mechanics.traced import Array, Traced, Value, lift, where


def effective_faces(
    faces: int,
    friction: Value,
    spline_friction: Value,
    radius_mm: Value,
    outer_spline_mm: Value,
    inner_spline_mm: Value,
) -> Value:
    """Faces that an unhindered clamp would need for the same torque, z_eff = Σ F_j/F_1.

    F_{j+1}/F_j = (1 − κ)/(1 + κ), κ = μ μ_s R/r_s, with the outer and the inner spline radius in
    turn: the plate behind the first face is an outer one.

    Args:
        faces: working faces z [count], a scalar.
        friction: coefficient of the facings μ [1].
        spline_friction: coefficient at the splines μ_s [1].
        radius_mm: effective radius of the facings R [mm].
        outer_spline_mm: radius of the outer plates' splines [mm].
        inner_spline_mm: radius of the inner plates' splines [mm], any shape that broadcasts.

    Returns:
        z_eff [1], broadcast shape, never above z.

    Range: κ < 1. An upper bound of the loss: vibration and slip give part of it back.
    Source: our derivation; the effect: ASME J. Lubrication Technology 90 (1968), 65.
    """
    passed = [
        (1.0 - k) / (1.0 + k)
        for k in (
            friction * spline_friction * radius_mm / outer_spline_mm,
            friction * spline_friction * radius_mm / inner_spline_mm,
        )
    ]
    load = passed[0] / passed[0]
    total = load
    for face in range(1, faces):
        load = load * passed[(face - 1) % 2]
        total = total + load
    return total


def effective_faces_of(
    faces: Array,
    friction: Traced,
    spline_friction: float,
    radius_mm: Traced,
    outer_spline_mm: Traced,
    inner_spline_mm: Traced,
) -> Traced:
    """`effective_faces` of many packs at once, each with its own number of faces.

    Args:
        faces: working faces z [count], (records, 1); NaN: not known.
        friction: coefficient of the facings μ [1], (records, 1).
        spline_friction: coefficient at the splines μ_s [1], a scalar.
        radius_mm: effective radius of the facings R [mm], (records, 1).
        outer_spline_mm: radius of the outer plates' splines [mm], (records, 1).
        inner_spline_mm: radius of the inner plates' splines [mm], (records, 1).

    Returns:
        z_eff [1], (records, 1); NaN where an input is.

    Range: from κ = 1 on nothing reaches the next face, so a plate passes on 0 at least.
    Source: as `effective_faces`.
    """
    passed = [
        ((1.0 - k) / (1.0 + k)).at_least_zero()
        for k in (
            friction * spline_friction * radius_mm / outer_spline_mm,
            friction * spline_friction * radius_mm / inner_spline_mm,
        )
    ]
    # Of a single face nothing is lost, yet its splines must be known to say so.
    load = passed[0] * passed[1] * 0.0 + 1.0
    total = load
    most = int(np.nanmax(faces, initial=0.0))
    for face in range(1, most):
        load = load * passed[(face - 1) % 2]
        total = where(faces > face, total + load, total)
    return where(np.isnan(faces), lift(faces), total)
