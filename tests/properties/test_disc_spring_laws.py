"""Laws of disc springs."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.mechanics.disc_spring import disc_load, shape_factor

sizes = st.tuples(
    st.floats(20.0, 200.0),  # outside diameter
    st.floats(0.3, 0.8),  # inside over outside
    st.floats(0.02, 0.06),  # thickness over outside
    st.floats(0.1, 3.0),  # cone height over thickness
)


def load(s: float, size: tuple[float, float, float, float]) -> float:
    outside, inner, thick, cone = size
    t = thick * outside
    return float(disc_load(s * cone * t, outside, inner * outside, t, cone * t, 206_000.0, 0.3))


@given(sizes, st.floats(0.0, 1.0))
def test_the_curve_is_symmetric_about_flat(
    size: tuple[float, float, float, float], x: float
) -> None:
    flat = load(1.0, size)
    # P(h + x) + P(h − x) = 2 P(h).
    assert load(1.0 + x, size) + load(1.0 - x, size) == pytest.approx(2.0 * flat, rel=1e-9)


@given(sizes)
def test_no_deflection_no_load_and_none_pulls_before_flat(
    size: tuple[float, float, float, float],
) -> None:
    assert load(0.0, size) == 0.0
    # The lowest point of even the steepest cone lies behind flat, so all before it push.
    assert all(load(i / 20.0, size) > 0.0 for i in range(1, 21))


@given(sizes, st.floats(0.05, 1.0), st.floats(0.5, 2.0))
def test_a_disc_twice_as_large_presses_four_times_as_hard(
    size: tuple[float, float, float, float], s: float, factor: float
) -> None:
    larger = (size[0] * factor, *size[1:])
    assert load(s, larger) == pytest.approx(factor**2 * load(s, size), rel=1e-9)


@given(sizes)
def test_below_root_two_the_load_never_falls(size: tuple[float, float, float, float]) -> None:
    steps = [load(float(s), size) for s in np.linspace(0.0, 1.0, 101)]
    rises = np.diff(steps) >= -1e-12 * max(steps)
    # dP/ds = 0 first appears at flat for h0/t = √2.
    if size[3] < 2.0**0.5:
        assert np.all(rises)
    elif size[3] > 1.5:
        assert not np.all(rises)


@given(st.floats(1.05, 6.0))
def test_the_shape_factor_grows_with_the_width_up_to_a_wide_ring(ratio: float) -> None:
    assert 0.0 < shape_factor(ratio) < 0.81
    if ratio < 3.5:
        assert shape_factor(1.001 * ratio) > shape_factor(ratio)
