"""The quick figures of many ratios against the plain ones of `doubt`, and against root finding."""

import math

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.special import ndtr

from app.mechanics import doubt
from app.mechanics.ratio_cells import Bench, LogSide

pytestmark = pytest.mark.filterwarnings("error")


def side(value, deviation, skewness, kurtosis):
    """A side with these values and these standardised cumulants of its logarithm."""
    value, sd, g1, g2 = np.broadcast_arrays(*map(np.atleast_1d, (value, deviation, skewness,
                                                                 kurtosis)))
    cumulants = np.stack([-(sd**2) / 2.0, sd**2, g1 * sd**3, g2 * sd**4])
    with np.errstate(divide="ignore", invalid="ignore"):
        return LogSide.of(np.array(value, float), cumulants, np.array(sd, float) ** 2)


def worked(above, below):
    with np.errstate(all="ignore"):
        found = Bench(above.value.size * below.value.size).block(above, below)
        return {n: getattr(found, n).copy() for n in ("ratio", "std", "low", "high", "p_slip")}


def plain(above, below):
    with np.errstate(all="ignore"):
        ratio = above.value[:, None] / below.value
        cumulants = doubt.ratio_cumulants(above.cumulants[:, :, None],
                                          below.cumulants[:, None, :])
        low, high = doubt.interval(ratio, cumulants)
        return ratio, low, high, doubt.slip_probability(ratio, cumulants)


def random_side(seed, count):
    draw = np.random.default_rng(seed)
    sd = draw.uniform(0.02, 0.25, count)
    return side(20.0 * np.exp(draw.normal(0.0, 0.25, count)), sd,
                draw.uniform(-0.9, 0.6, count), draw.uniform(-1.2, 1.5, count))


def test_a_block_is_what_the_plain_functions_say():
    above, below = random_side(1, 150), random_side(2, 90)
    found, (ratio, low, high, chance) = worked(above, below), plain(above, below)
    assert np.array_equal(found["ratio"], ratio)
    np.testing.assert_allclose(found["low"], low, rtol=1e-13)
    np.testing.assert_allclose(found["high"], high, rtol=1e-13)
    relative = above.relative_variance[:, None] + below.relative_variance
    assert np.array_equal(found["std"], ratio * np.sqrt(relative))
    # The plain inverse itself is that far from its root where its branch ends level.
    np.testing.assert_allclose(found["p_slip"], chance, atol=2e-7)
    assert np.mean((chance > 0.0) & (chance < 1.0)) > 0.5


def test_the_chance_is_that_of_the_root():
    above, below = random_side(3, 20), random_side(4, 20)
    found = worked(above, below)["p_slip"]
    cumulants = doubt.ratio_cumulants(above.cumulants[:, :, None], below.cumulants[:, None, :])
    mean, sd, g1, g2 = doubt.standardised(cumulants)
    x = -(np.log(above.value[:, None] / below.value) + mean) / sd
    for at in np.ndindex(x.shape):
        curve = doubt.Quantiles.of(g1[at], g2[at])
        ends = float(curve.at(curve.low)), float(curve.at(curve.high))
        if x[at] <= ends[0] or x[at] >= ends[1]:
            assert found[at] == float(x[at] > 0.0)
            continue
        root = brentq(lambda z, curve=curve, at=at: float(curve.at(z)) - x[at],
                      float(curve.low), float(curve.high), xtol=1e-14)
        # 7.5e-8 is the error of the distribution function.
        assert found[at] == pytest.approx(float(ndtr(root)), abs=8e-8), at


def test_a_cell_has_the_same_bits_alone_and_in_any_block():
    above, below = random_side(5, 37), random_side(6, 23)
    whole = worked(above, below)
    for i, j in np.random.default_rng(7).integers((37, 23), size=(150, 2)):
        alone = worked(above.rows(slice(i, i + 1)), below.rows(slice(j, j + 1)))
        for name, values in whole.items():
            assert values[i, j] == alone[name][0, 0], name
    rows = np.array([30, 2, 17])
    for name, values in worked(above.rows(rows), below).items():
        assert np.array_equal(values, whole[name][rows]), name


@settings(max_examples=400)
@example(1.0, 0.5, 0.5, 9.0)  # falls in the middle: read as normal
@given(st.floats(0.3, 3.0), st.floats(0.005, 0.6), st.floats(-2.5, 2.5), st.floats(-2.0, 9.0))
def test_bent_curves_too_are_those_of_the_plain_functions(value, sd, skewness, kurtosis):
    # Where the slope at the middle is 0 a rounding decides between two readings.
    assume(abs(1.0 - kurtosis / 8.0 + 5.0 * skewness**2 / 36.0) > 1e-9)
    above, below = side(value, sd, skewness, kurtosis), side(1.0, 0.0, 0.0, 0.0)
    found, (_, low, high, chance) = worked(above, below), plain(above, below)
    assert found["low"] == pytest.approx(low, rel=1e-12)
    assert found["high"] == pytest.approx(high, rel=1e-12)
    assert found["p_slip"] == pytest.approx(chance, abs=1e-5)
    assert found["low"] <= found["ratio"] * (1.0 + 1e-12)


def test_no_doubt_no_torque_and_no_knowledge():
    above = side([2.0, 1.0, 0.5, 0.0, math.nan], [0.0] * 5, 0.0, 0.0)
    found = worked(above, side([1.0, 1.0], [0.0, 0.1], 0.0, 0.0))
    for name in ("low", "high"):
        np.testing.assert_array_equal(found[name][:, 0], above.value)
    np.testing.assert_array_equal(found["p_slip"][:, 0], [0.0, 0.0, 1.0, 1.0, math.nan])
    assert found["p_slip"][3, 1] == 1.0
    assert (found["low"][3, 1], found["high"][3, 1]) == (0.0, 0.0)
    for values in found.values():
        assert np.isnan(values[4]).all()
        assert not np.isnan(values[:4]).any()
    assert 0.0 < found["p_slip"][1, 1] < 1.0


def test_the_bench_serves_smaller_blocks_after_larger_ones():
    above, below = random_side(8, 9), random_side(9, 5)
    with np.errstate(all="ignore"):
        bench = Bench(45)
        bench.block(above, below)
        small = bench.block(above.rows(slice(2, 3)), below)
        assert small.low.shape == (1, 5)
        assert np.array_equal(small.without(np.full(5, 2.0)), 2.0 * small.ratio)
