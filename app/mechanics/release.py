"""Release of a pack: lift per face, hand force at the lever.

Every function takes floats, arrays or traced values of any broadcastable shape.
"""

from app.mechanics.traced import Value

LIFT_PER_FACE_LEAST_MM = 0.1
"""Least clearance a face that lets a wet pack run free; common practice, no source."""

HAND_FORCE_COMFORT_N = 80.0
"""Hand force at a lever that most riders hold in traffic; common practice, no source."""


def lift_per_face(lift_mm: Value, faces: Value) -> Value:
    """Clearance of each face at full lift, s/z.

    Args:
        lift_mm: lift of the pressure plate s [mm].
        faces: working faces z [count], any shape that broadcasts.

    Returns:
        Clearance [mm], broadcast shape.

    Range: s ≥ 0, z ≥ 1; as if the clearance spread evenly.
    Source: geometry.
    """
    return lift_mm / faces


def hand_force(plate_force_n: Value, lever_ratio: Value, efficiency: Value) -> Value:
    """Force at the hand that lifts the pressure plate, F_h = F/(i η).

    Args:
        plate_force_n: force at the pressure plate F [N].
        lever_ratio: lever travel over pressure-plate travel i [1].
        efficiency: of cable and linkage η [1], any shape that broadcasts.

    Returns:
        F_h [N], broadcast shape.

    Range: i > 0, 0 < η ≤ 1.
    Source: work at both ends of a linkage.
    """
    return plate_force_n / (lever_ratio * efficiency)
