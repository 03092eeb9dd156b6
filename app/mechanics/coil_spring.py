"""Helical compression springs: rate, coils, solid length, stress.

Every function but `rate_from_load_points` takes floats, arrays or traced values.
"""

import math
from dataclasses import dataclass
from typing import Any, overload

import numpy as np
from numpy.typing import ArrayLike

from app.errors import BadInput, Problem
from app.mechanics.inputs import SpringEnds
from app.mechanics.traced import Array, Traced, Value

# Ends: (coils that do not work, coil diameters in the solid length beyond the total count).
END_COILS: dict[SpringEnds, tuple[float, float]] = {
    "plain": (0.0, 1.0),
    "plain_ground": (1.0, 0.0),
    "closed": (2.0, 1.0),
    "closed_ground": (2.0, 0.0),
}


def active_coils(total_coils: Value, ends: SpringEnds) -> Value:
    """Coils that work, N_a = N_t less 0 (plain), 1 (plain ground), 2 (closed, closed ground).

    Args:
        total_coils: N_t [1], any shape.
        ends: kind of ends, one for all.

    Returns:
        N_a [1], same shape.

    Range: N_a > 0.
    Source: Shigley, Mechanical Engineering Design, 10th ed., Table 10-1.
    """
    return total_coils - END_COILS[ends][0]


def solid_length(total_coils: Value, wire_mm: Value, ends: SpringEnds) -> Value:
    """Length with all coils touching, L_s = d (N_t + 1) unground, d N_t ground.

    Args:
        total_coils: N_t [1], any shape.
        wire_mm: wire diameter d [mm].
        ends: kind of ends, one for all.

    Returns:
        L_s [mm], broadcast shape.

    Range: N_t > 0, d > 0.
    Source: Shigley, Mechanical Engineering Design, 10th ed., Table 10-1. Other books leave the
        end coils out; ask for the kind of ends instead of guessing.
    """
    return length_touching(total_coils, wire_mm, END_COILS[ends][1])


@overload
def length_touching(total_coils: float, wire_mm: float, extra: float) -> float: ...


@overload
def length_touching(total_coils: Array, wire_mm: Array, extra: float | Array) -> Array: ...


@overload
def length_touching(total_coils: Traced, wire_mm: Traced, extra: float | Array) -> Traced: ...


def length_touching(total_coils: Any, wire_mm: Any, extra: Any) -> Any:
    """Length with all coils touching, L_s = d (N_t + e), for ends of different kinds side by side.

    Args:
        total_coils: N_t [1], any shape.
        wire_mm: wire diameter d [mm].
        extra: e [1], coils to add for the ends: 1 unground, 0 ground.

    Returns:
        L_s [mm], broadcast shape.

    Range: N_t > 0, d > 0.
    Source: as `solid_length`.
    """
    return wire_mm * (total_coils + extra)


def spring_index(mean_mm: Value, wire_mm: Value) -> Value:
    """Spring index, C = D/d.

    Args:
        mean_mm: mean coil diameter D [mm].
        wire_mm: wire diameter d [mm], any shape that broadcasts.

    Returns:
        C [1], broadcast shape.

    Range: C > 1; usual 4 to 12.
    Source: Shigley, Mechanical Engineering Design, 10th ed., 10-1.
    """
    return mean_mm / wire_mm


def wahl_factor(index: Value) -> Value:
    """Wahl's stress factor, K_W = (4C − 1)/(4C − 4) + 0.615/C.

    Args:
        index: spring index C [1], any shape.

    Returns:
        K_W [1], same shape.

    Range: C > 1.
    Source: A. M. Wahl, Mechanical Springs; Shigley, Mechanical Engineering Design, 10-2.
    """
    return (4.0 * index - 1.0) / (4.0 * index - 4.0) + 0.615 / index


def rate_from_wire(
    shear_modulus_mpa: Value, wire_mm: Value, mean_mm: Value, active: Value
) -> Value:
    """Spring rate, k = G d⁴/(8 D³ N_a).

    Args:
        shear_modulus_mpa: G [MPa].
        wire_mm: wire diameter d [mm].
        mean_mm: mean coil diameter D [mm].
        active: working coils N_a [1], any shape that broadcasts.

    Returns:
        k [N/mm], broadcast shape.

    Range: all positive.
    Source: Shigley, Mechanical Engineering Design, 10th ed., equation (10-9).
    """
    square = wire_mm * wire_mm
    return shear_modulus_mpa * (square * square) / (8.0 * mean_mm * mean_mm * mean_mm * active)


def shear_stress(force_n: Value, wire_mm: Value, mean_mm: Value) -> Value:
    """Shear stress at the inside of the coil, τ = K_W 8FD/(π d³).

    Args:
        force_n: load on one spring F [N].
        wire_mm: wire diameter d [mm].
        mean_mm: mean coil diameter D [mm], any shape that broadcasts.

    Returns:
        τ [MPa], broadcast shape.

    Range: F ≥ 0, D > d > 0.
    Source: A. M. Wahl, Mechanical Springs; Shigley, Mechanical Engineering Design, 10-2.
    """
    factor = wahl_factor(spring_index(mean_mm, wire_mm))
    return factor * (8.0 * force_n * mean_mm / (math.pi * wire_mm * wire_mm * wire_mm))


@dataclass(frozen=True)
class RateFit:
    """A rate fitted to load points [N/mm], its standard error, the intercept [N], and limits.

    std, low, high and the intercept's are None when no degree of freedom is left.
    """

    rate: float
    rate_std: float | None
    low: float | None
    high: float | None
    intercept: float | None
    intercept_std: float | None
    intercept_low: float | None
    intercept_high: float | None
    residual_std: float | None
    freedom: int

    @property
    def intercept_significant(self) -> bool:
        """Whether |b| exceeds its 97.5 % limit: a free-length or seating error."""
        if self.intercept_low is None or self.intercept_high is None:
            return False
        return not self.intercept_low <= 0.0 <= self.intercept_high


def rate_from_load_points(
    deflection_mm: ArrayLike, force_n: ArrayLike, through_origin: bool = False
) -> RateFit:
    """Rate by least squares of force on deflection, F = b + k s, or F = k s through the origin.

    s_k = s/√Σ(x − x̄)² (or s/√Σx²), s² = Σe²/ν, ν = n − 2 (or n − 1); limits k ± t_0.975,ν s_k.

    Args:
        deflection_mm: deflections from free [mm], shape (n,).
        force_n: forces [N], shape (n,).
        through_origin: leave the intercept out.

    Returns:
        RateFit with the rate [N/mm] and, where ν ≥ 1, its doubt.

    Range: two points or more at different deflections (one, not at 0, through the origin).
    Errors: BadInput when the points cannot give a rate. A rate that is not positive is returned.
    Source: ordinary least squares; Draper & Smith, Applied Regression Analysis, ch. 1; checked
        against the NIST Statistical Reference Datasets Norris and NoInt1.
    """
    x = np.asarray(deflection_mm, dtype=np.float64)
    y = np.asarray(force_n, dtype=np.float64)
    needed = 1 if through_origin else 2
    if x.size < needed or np.unique(x).size < needed or not np.any(x != 0.0):
        raise BadInput([Problem("load_points", _few_points(through_origin))])
    middle = 0.0 if through_origin else float(x.mean())
    level = 0.0 if through_origin else float(y.mean())
    spread = float(np.sum((x - middle) ** 2))
    rate = float(np.sum((x - middle) * (y - level)) / spread)
    intercept = None if through_origin else level - rate * middle
    residual = y - rate * x - (intercept or 0.0)
    freedom = x.size - needed
    if freedom == 0:
        return RateFit(rate, None, None, None, intercept, None, None, None, None, 0)
    s = math.sqrt(float(np.sum(residual**2)) / freedom)
    t = student_limit(freedom)
    rate_std = s / math.sqrt(spread)
    b_std = s * math.sqrt(1.0 / x.size + middle**2 / spread)
    b = intercept
    return RateFit(
        rate, rate_std, rate - t * rate_std, rate + t * rate_std,
        b, None if b is None else b_std,
        None if b is None else b - t * b_std, None if b is None else b + t * b_std,
        s, freedom,
    )


def _few_points(through_origin: bool) -> str:
    if through_origin:
        return "give at least one load point at a deflection other than 0"
    return "give at least two load points at different deflections"


def student_limit(freedom: int) -> float:
    """Two-sided 95 % limit t_0.975,ν of Student's t.

    Args:
        freedom: ν [count], a scalar.

    Returns:
        t [1].

    Range: ν ≥ 1.
    Source: definition; scipy.special.stdtrit.
    """
    # Imported here: scipy takes a quarter of a second that a plain start need not pay.
    from scipy.special import stdtrit

    return float(stdtrit(freedom, 0.975))


def inactive_and_extra(ends: list[list[SpringEnds | None]]) -> tuple[Array, Array]:
    """END_COILS for many springs at once; NaN where the kind of ends is not known.

    Args:
        ends: kinds of ends, (records, groups).

    Returns:
        Coils that do not work, and coil diameters to add to N_t for the solid length [1], both
        (records, groups).

    Range: the kinds of END_COILS.
    Source: as `active_coils`.
    """
    unknown = (math.nan, math.nan)
    pairs = np.array([[END_COILS[e] if e else unknown for e in row] for row in ends])
    return pairs[..., 0], pairs[..., 1]
