"""The verdict from unrounded figures, at its edges."""

import math

import numpy as np
import pytest

from app.comparison.verdict import VERDICTS, verdict_codes


@pytest.mark.parametrize(
    ("ratio", "low", "verdict"),
    [
        (1.5, 1.2, "holds"), (1.0, 1.0, "holds"), (1.2, 1.0, "holds"),
        (1.2, math.nextafter(1.0, 0.0), "tight"), (1.0, 0.9, "tight"),
        (math.nextafter(1.0, 0.0), 0.9, "slips"), (0.0, 0.0, "slips"),
        (math.nan, math.nan, "unknown"), (math.inf, math.inf, "holds"),
    ],
)
def test_verdict_of_a_ratio_and_its_lower_end(ratio, low, verdict):
    assert VERDICTS[verdict_codes(np.array(ratio), np.array(low))] == verdict


def test_codes_keep_the_shape_of_the_board():
    codes = verdict_codes(np.full((3, 5), 1.1), np.full((3, 5), 1.05))
    assert codes.shape == (3, 5)
    assert codes.dtype == np.uint8
