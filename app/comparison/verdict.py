"""The verdict of a cell, as a code in arrays and as a word in results."""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from app.mechanics.traced import Array

Verdict = Literal["unknown", "holds", "tight", "slips"]
VERDICTS: tuple[Verdict, ...] = ("unknown", "holds", "tight", "slips")
HEAVY_ABOVE = 3.0

RULE = (
    "Holds: the lower end of the 95 % interval of available/required is at least 1. "
    "Tight: the ratio is at least 1, but the lower end is below 1. "
    "Slips: the ratio is below 1. Not known: something needed is missing."
)


def verdict_codes(ratio: Array, low: Array) -> NDArray[np.uint8]:
    """Index into VERDICTS of every cell, from unrounded figures.

    Args:
        ratio: available/required [1], any shape; NaN is not known.
        low: lower end of its 95 % interval [1], same shape.

    Returns:
        Codes of the same shape.

    Range: any.
    Source: the decision rule above, after ILAC-G8:09/2019 with the interval as guard band.
    """
    slips = np.less(ratio, 1.0)
    codes = np.add(slips, 2, dtype=np.uint8)
    codes -= np.greater_equal(low, 1.0) & ~slips
    codes *= np.equal(ratio, ratio)  # NaN alone is not itself
    return codes
