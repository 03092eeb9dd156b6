"""Checks of coil springs beyond their rate: even support, free lengths, buckling."""

import math
from collections.abc import Sequence
from functools import cache
from itertools import combinations

FREE_LENGTH_SPREAD_LIMIT = 0.02
"""(max − min)/mean of the free lengths above which a set clamps unevenly; common practice."""

END_CONSTANT_FLAT = 0.5
"""Shigley's α for a spring between flat, parallel supports (Table 10-2, from memory)."""


@cache
def balanced_counts(positions: int) -> tuple[int, ...]:
    """How many springs of a ring of equal positions can be fitted evenly.

    Some choice of k ≥ 3 of the n positions has unit vectors that add to zero: 3, 4, 6 of 6;
    4, 6, 8 of 8; only 5 of 5.

    Args:
        positions: n equally spaced positions [count], a scalar.

    Returns:
        The counts k [count], rising.

    Range: 1 ≤ n ≤ 16.
    Source: balance of moments about the shaft's axis.
    """
    return tuple(k for k in range(3, positions + 1) if _can_balance(positions, k))


def _can_balance(positions: int, count: int) -> bool:
    angles = [2.0 * math.pi * i / positions for i in range(positions)]
    # Turning a choice changes nothing, so position 0 may be taken as fitted.
    for rest in combinations(range(1, positions), count - 1):
        chosen = (0, *rest)
        x = sum(math.cos(angles[i]) for i in chosen)
        y = sum(math.sin(angles[i]) for i in chosen)
        if math.hypot(x, y) < 1e-9:
            return True
    return False


def free_length_spread(free_lengths_mm: Sequence[float]) -> float:
    """Spread of the free lengths of one set, (max − min)/mean.

    Args:
        free_lengths_mm: one length a spring [mm], shape (n,).

    Returns:
        Spread [1].

    Range: n ≥ 1, lengths above 0.
    Source: definition; the limit of 2 % is common practice, no source.
    """
    mean = sum(free_lengths_mm) / len(free_lengths_mm)
    return (max(free_lengths_mm) - min(free_lengths_mm)) / mean


def critical_free_length(mean_mm: float, end_constant: float = END_CONSTANT_FLAT) -> float:
    """Free length below which a steel spring can't buckle, L_cr = 2.63 D/α.

    Args:
        mean_mm: mean coil diameter D [mm].
        end_constant: α of the supports [1], a scalar.

    Returns:
        L_cr [mm].

    Range: steel springs; springs in pockets or over pins are held and may be longer.
    Source: Shigley, Mechanical Engineering Design, 10th ed., equation (10-12) for steel.
    """
    return 2.63 * mean_mm / end_constant
