"""The friction side of a pack: faces, radius, area, pressure, torque capacity.

Every function takes floats, arrays or traced values of any broadcastable shape.
"""

import math

from app.mechanics.traced import Value


def faces_working(friction_plates: int, lined_faces_per_plate: int = 2) -> int:
    """Number of faces that rub, z = n_f · (lined faces a plate).

    Args:
        friction_plates: n_f [count].
        lined_faces_per_plate: 1 or 2 [count]; both faces need a plain face beside them.

    Returns:
        z [count], a scalar.

    Range: n_f ≥ 1. The end plates (pressure plate, hub flange) count as plain faces.
    Source: common practice; n1 + n2 − 1 discs' interfaces in R. S. Khurmi & J. K. Gupta, Theory
        of Machines, ch. 10.
    """
    return friction_plates * lined_faces_per_plate


def radius_uniform_wear(outer_mm: Value, inner_mm: Value) -> Value:
    """Effective radius of run-in facings, R = (r_o + r_i)/2.

    Args:
        outer_mm: outer radius r_o [mm].
        inner_mm: inner radius r_i [mm], any shape that broadcasts.

    Returns:
        R [mm], broadcast shape.

    Range: 0 ≤ r_i < r_o.
    Source: J. E. Shigley, Mechanical Engineering Design, ch. 16 (p·r constant).
    """
    return (outer_mm + inner_mm) / 2.0


def radius_uniform_pressure(outer_mm: Value, inner_mm: Value) -> Value:
    """Effective radius of new, flat facings, R = (2/3)(r_o³ − r_i³)/(r_o² − r_i²).

    Args:
        outer_mm: outer radius r_o [mm].
        inner_mm: inner radius r_i [mm], any shape that broadcasts.

    Returns:
        R [mm], broadcast shape; never below the uniform-wear radius.

    Range: 0 ≤ r_i < r_o.
    Source: J. E. Shigley, Mechanical Engineering Design, ch. 16.
    """
    # The common factor r_o − r_i is taken out, so that a narrow ring keeps its digits.
    return (
        (2.0 / 3.0)
        * (outer_mm * outer_mm + outer_mm * inner_mm + inner_mm * inner_mm)
        / (outer_mm + inner_mm)
    )


def facing_area(outer_mm: Value, inner_mm: Value, grooved_fraction: Value) -> Value:
    """Facing area of one face, A = π (r_o² − r_i²)(1 − g).

    Args:
        outer_mm: outer radius r_o [mm].
        inner_mm: inner radius r_i [mm].
        grooved_fraction: g, the part taken by grooves and gaps [1], any shape that broadcasts.

    Returns:
        A [mm²], broadcast shape.

    Range: 0 ≤ r_i < r_o, 0 ≤ g < 1. Grooves change the pressure, not the torque.
    Source: geometry.
    """
    ring = math.pi * (outer_mm * outer_mm - inner_mm * inner_mm)
    return ring * (1.0 - grooved_fraction)


def mean_pressure(clamp_n: Value, area_mm2: Value) -> Value:
    """Mean facing pressure, p = F/A.

    Args:
        clamp_n: clamp load F [N].
        area_mm2: area of one face A [mm²], any shape that broadcasts.

    Returns:
        p [MPa], broadcast shape.

    Range: F ≥ 0, A > 0.
    Source: definition.
    """
    return clamp_n / area_mm2


def max_pressure_uniform_wear(
    clamp_n: Value, outer_mm: Value, inner_mm: Value, grooved_fraction: Value
) -> Value:
    """Largest facing pressure with uniform wear, at r_i: p = F/(2π r_i (r_o − r_i)(1 − g)).

    Args:
        clamp_n: clamp load F [N].
        outer_mm: outer radius r_o [mm].
        inner_mm: inner radius r_i [mm].
        grooved_fraction: g [1], any shape that broadcasts.

    Returns:
        p_max [MPa], broadcast shape.

    Range: 0 < r_i < r_o, 0 ≤ g < 1.
    Source: J. E. Shigley, Mechanical Engineering Design, ch. 16.
    """
    width = outer_mm - inner_mm
    return clamp_n / (2.0 * math.pi * inner_mm * width * (1.0 - grooved_fraction))


def torque_capacity(friction: Value, faces: Value, clamp_n: Value, radius_mm: Value) -> Value:
    """Torque that the pack carries before it slips, T = μ z F R/1000.

    Args:
        friction: coefficient μ [1].
        faces: working faces z [count].
        clamp_n: clamp load F [N].
        radius_mm: effective radius R [mm], any shape that broadcasts.

    Returns:
        T [N·m], broadcast shape.

    Range: μ > 0, z ≥ 1, F ≥ 0, R > 0; spline loss not taken off.
    Source: J. E. Shigley, Mechanical Engineering Design, ch. 16; Bhandari, Design of Machine
        Elements, ch. 11.
    """
    return friction * faces * clamp_n * radius_mm / 1000.0
