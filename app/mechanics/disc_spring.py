"""Disc (diaphragm) springs: load against deflection by formula, or by a measured table."""

import math
from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from app.mechanics.inputs import LoadPoint
from app.mechanics.traced import Array, Traced, Value

Curve = Callable[[Array], Array]


def _log(x: Value) -> Value:
    if isinstance(x, Traced):
        return x.log()
    natural: Value = np.log(x)
    return natural


def shape_factor(diameter_ratio: Value) -> Value:
    """K1 = (1/π) ((δ−1)/δ)²/((δ+1)/(δ−1) − 2/ln δ).

    Args:
        diameter_ratio: δ = D_e/D_i [1], any shape.

    Returns:
        K1 [1], same shape.

    Range: δ > 1. Almen & László's own M is 0.3 to 2 % smaller.
    Source: EN 16984 (formerly DIN 2092), from memory; held against published loads in the tests.
    """
    part = (diameter_ratio - 1.0) / diameter_ratio
    bracket = (diameter_ratio + 1.0) / (diameter_ratio - 1.0) - 2.0 / _log(diameter_ratio)
    return part * part / bracket / math.pi


def disc_load(
    deflection_mm: Value,
    outside_mm: Value,
    inside_mm: Value,
    thickness_mm: Value,
    cone_height_mm: Value,
    modulus_mpa: Value,
    poisson: Value,
) -> Value:
    """Load of one disc spring,
    F = 4E/(1−ν²) · t⁴/(K1 D_e²) · (s/t) [(h0/t − s/t)(h0/t − s/2t) + 1].

    Args:
        deflection_mm: deflection of one disc s [mm].
        outside_mm: D_e [mm].
        inside_mm: D_i [mm].
        thickness_mm: t [mm].
        cone_height_mm: free cone height h0 [mm].
        modulus_mpa: E [MPa].
        poisson: ν [1], any shape that broadcasts.

    Returns:
        F [N], broadcast shape; symmetric about the flat point s = h0.

    Range: 0 < D_i < D_e, t > 0, h0 ≥ 0, no contact flats; meant for 0 ≤ s ≤ h0.
    Source: EN 16984 (formerly DIN 2092); J. O. Almen & A. László, Trans. ASME, 1936.
    """
    s, h = deflection_mm / thickness_mm, cone_height_mm / thickness_mm
    square = thickness_mm * thickness_mm
    front = 4.0 * modulus_mpa / (1.0 - poisson * poisson) * (square * square)
    front = front / (shape_factor(outside_mm / inside_mm) * outside_mm * outside_mm)
    return front * s * ((h - s) * (h - s / 2.0) + 1.0)


def table_load(tables: Sequence[Sequence[LoadPoint]], deflection: Traced) -> Traced:
    """Load from measured points by a monotone cubic, inside the points' range only.

    F(s) by PCHIP between neighbouring points; its slope carries the doubt of s.

    Args:
        tables: the load points [mm, N] of each record, or of one record for all rows.
        deflection: s [mm], shape (records, 1).

    Returns:
        F [N], shape (records, 1); NaN outside a table's range and where there is no table.

    Range: two points or more at different deflections; never extrapolated.
    Source: F. N. Fritsch & R. E. Carlson, SIAM J. Numer. Anal. 17 (1980), by scipy.
    """
    value = np.full(deflection.value.shape, math.nan)
    slope = np.full(deflection.value.shape, math.nan)
    if len(tables) == 1 and tables[0]:
        value[:, 0], slope[:, 0] = _pchip(tables[0], deflection.value[:, 0])
    else:
        for row, points in enumerate(tables):
            if points:
                value[row], slope[row] = _pchip(points, deflection.value[row])
    return Traced(value, {n: slope * p for n, p in deflection.partials.items()})


def _pchip(points: Sequence[LoadPoint], at: Array) -> tuple[NDArray[np.float64], Array]:
    curves = _curves(tuple(points))
    if curves is None:
        return np.full(at.shape, math.nan), np.full(at.shape, math.nan)
    return np.asarray(curves[0](at)), np.asarray(curves[1](at))


@lru_cache(maxsize=4096)
def _curves(points: tuple[LoadPoint, ...]) -> tuple[Curve, Curve] | None:
    """The cubic and its derivative: kept, since a catalogue asks for them in every state."""
    # Imported here: only packs with a measured table need scipy's interpolation.
    from scipy.interpolate import PchipInterpolator

    ordered = sorted({p.deflection_mm: p.force_n for p in points}.items())
    if len(ordered) < 2:
        return None
    x, y = np.array(ordered).T
    curve = PchipInterpolator(x, y, extrapolate=False)
    return curve, curve.derivative()
