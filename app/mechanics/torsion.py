"""Torsion of round, square and hexagonal bars: where they yield and where they give way.

Every function takes floats or arrays of any broadcastable shape.
"""

import math
from typing import Literal

from app.mechanics.traced import Value

Section = Literal["round", "square", "hexagon"]

# T = W τ with W = factor · size³, size the diameter or the width across flats.
ELASTIC_FACTORS: dict[Section, float] = {
    "round": math.pi / 16.0, "square": 0.208, "hexagon": 0.188,
}
PLASTIC_FACTORS: dict[Section, float] = {
    "round": math.pi / 12.0, "square": 1.0 / 3.0, "hexagon": math.sqrt(3.0) / 6.0,
}


def shear_yield(yield_mpa: Value) -> Value:
    """Yield in shear of a ductile steel, τ_y = σ_y/√3.

    Args:
        yield_mpa: yield in tension σ_y [MPa], any shape.

    Returns:
        τ_y [MPa], same shape.

    Range: ductile steel; hardened tools break before they yield.
    Source: von Mises; Shigley, Mechanical Engineering Design, ch. 5.
    """
    return yield_mpa / math.sqrt(3.0)


def yield_torque(section: Section, size_mm: Value, yield_mpa: Value) -> Value:
    """Torque at which the surface yields, T_y = W τ_y/1000.

    W = π d³/16 (round), 0.208 a³ (square), 0.188 s³ (hexagon across flats s).

    Args:
        section: round, square or hexagon.
        size_mm: diameter or width across flats [mm].
        yield_mpa: σ_y [MPa], any shape that broadcasts.

    Returns:
        T_y [N·m], broadcast shape.

    Range: long straight bars without grooves or corners' rounding.
    Source: Roark's Formulas for Stress and Strain (St-Venant's coefficients), rounded as printed.
    """
    return ELASTIC_FACTORS[section] * size_mm * size_mm * size_mm * shear_yield(yield_mpa) / 1000.0


def plastic_torque(section: Section, size_mm: Value, yield_mpa: Value) -> Value:
    """Torque at which the whole section yields, by the sand-heap analogy.

    T_p = π d³ τ_y/12 (round), a³ τ_y/3 (square), 0.289 s³ τ_y (hexagon across flats s).

    Args:
        section: round, square or hexagon.
        size_mm: diameter or width across flats [mm].
        yield_mpa: σ_y [MPa], any shape that broadcasts.

    Returns:
        T_p [N·m], broadcast shape.

    Range: a steel that does not harden; it is past saving by then.
    Source: Nadai's sand-heap analogy; Hibbeler, Mechanics of Materials, ch. 5, for the circle.
    """
    return PLASTIC_FACTORS[section] * size_mm * size_mm * size_mm * shear_yield(yield_mpa) / 1000.0
