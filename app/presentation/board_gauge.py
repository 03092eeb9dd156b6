"""A ratio's interval as a short stroke on a scale that all cells of a board share.

The scale is logarithmic, from a quarter to four times, so that 1 stands in its middle: a stroke
right of it holds, one across it is tight, and its place can be told without any colour.
"""

import math

from app.comparison.cell import Reading

WIDTH, MIDDLE = 40, 20
"""Of the drawing; its height is 8."""
_SCALE = MIDDLE / math.log(4.0)


def place(ratio: float) -> int:
    """Where a ratio lies on the scale, from 0 to WIDTH; what is beyond its ends lies at them.

    >>> place(1.0), place(4.0), place(0.1), place(math.inf)
    (20, 40, 0, 40)
    """
    if ratio <= 0.25:
        return 0
    if ratio >= 4.0:
        return WIDTH
    return round(MIDDLE + _SCALE * math.log(ratio))


def gauge(ratio: Reading | None) -> str:
    """The stroke of a ratio as the path of a drawing, "" where there is none.

    >>> gauge(Reading(1.0, 0.1, 0.5, 2.0))
    'M10 4H30'
    """
    if ratio is None or math.isnan(ratio.low) or math.isnan(ratio.high):
        return ""
    low, high = place(ratio.low), place(ratio.high)
    if high - low < 2:  # a stroke of no length would not be seen
        low, high = max(0, low - 1), min(WIDTH, high + 1)
    return f"M{low} 4H{high}"
