"""What an engine asks of its clutch: crank torque, primary gear, service factor.

Every function takes floats, arrays or traced values of any broadcastable shape.
"""

import math

from app.mechanics.traced import Value

_RPM_TO_RAD = math.pi / 30.0


def torque_from_power(power_kw: Value, speed_rpm: Value) -> Value:
    """Torque at the speed of a stated power, T = 30000 P/(π n).

    Args:
        power_kw: power P [kW].
        speed_rpm: speed n [r/min], any shape that broadcasts.

    Returns:
        T [N·m], broadcast shape. The largest torque lies lower in the speed range.

    Range: P ≥ 0, n > 0.
    Source: T ω = P.
    """
    return power_kw * 1000.0 / (speed_rpm * _RPM_TO_RAD)


def power_from_torque(torque_nm: Value, speed_rpm: Value) -> Value:
    """Power of a torque at a speed, P = π n T/30000.

    Args:
        torque_nm: torque T [N·m].
        speed_rpm: speed n [r/min], any shape that broadcasts.

    Returns:
        P [kW], broadcast shape.

    Range: n ≥ 0.
    Source: T ω = P.
    """
    return torque_nm * (speed_rpm * _RPM_TO_RAD) / 1000.0


def revolutions_per_cycle(strokes: int) -> float:
    """Crank revolutions a working cycle, n_R = 1 (two-stroke), 2 (four-stroke).

    Args:
        strokes: 2 or 4 [count], a scalar.

    Returns:
        n_R [1].

    Range: strokes 2 or 4.
    Source: J. B. Heywood, Internal Combustion Engine Fundamentals, 2.7.
    """
    return strokes / 2.0


def torque_from_bmep(bmep_kpa: Value, displacement_cc: Value, strokes: int) -> Value:
    """Torque of a mean effective pressure, T = bmep V_d/(2π n_R).

    Args:
        bmep_kpa: brake mean effective pressure [kPa].
        displacement_cc: displacement of all cylinders V_d [cm³], any shape that broadcasts.
        strokes: 2 or 4 [count], one for all.

    Returns:
        T [N·m], broadcast shape.

    Range: bmep > 0, V_d > 0.
    Source: J. B. Heywood, Internal Combustion Engine Fundamentals, 2.7.
    """
    return bmep_kpa * displacement_cc / (2000.0 * math.pi * revolutions_per_cycle(strokes))


def bmep_from_torque(torque_nm: Value, displacement_cc: Value, strokes: int) -> Value:
    """Mean effective pressure of a torque, bmep = 2π n_R T/V_d.

    Args:
        torque_nm: torque T [N·m].
        displacement_cc: V_d [cm³], any shape that broadcasts.
        strokes: 2 or 4 [count], one for all.

    Returns:
        bmep [kPa], broadcast shape.

    Range: V_d > 0.
    Source: J. B. Heywood, Internal Combustion Engine Fundamentals, 2.7.
    """
    return torque_nm * (2000.0 * math.pi * revolutions_per_cycle(strokes)) / displacement_cc


def displacement(bore_mm: Value, stroke_mm: Value, cylinders: Value) -> Value:
    """Displacement from bore and stroke, V_d = π/4 b² s n/1000.

    Args:
        bore_mm: bore b [mm].
        stroke_mm: stroke s [mm].
        cylinders: n [count], any shape that broadcasts.

    Returns:
        V_d [cm³], broadcast shape.

    Range: all positive.
    Source: geometry.
    """
    return math.pi / 4000.0 * bore_mm * bore_mm * stroke_mm * cylinders


def torque_at_clutch(crank_torque_nm: Value, ratio: Value, efficiency: Value) -> Value:
    """Torque at the clutch shaft behind the primary gear, T_c = T i η.

    Args:
        crank_torque_nm: T [N·m].
        ratio: primary ratio i, driven/driving [1]; 1 on the crankshaft.
        efficiency: η of the primary gear [1], any shape that broadcasts.

    Returns:
        T_c [N·m], broadcast shape. A slower clutch carries more torque.

    Range: i > 0, 0 < η ≤ 1.
    Source: power through a gear.
    """
    return crank_torque_nm * ratio * efficiency
