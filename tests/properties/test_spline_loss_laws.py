"""Laws of the load lost along splines."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.mechanics.spline_loss import effective_faces

faces = st.integers(1, 30)
frictions = st.floats(0.02, 0.4)
splines = st.floats(0.0, 0.4)
radii = st.floats(40.0, 80.0)


@given(faces, frictions, splines, radii, st.floats(60.0, 120.0), st.floats(20.0, 60.0))
def test_a_loss_is_a_loss(
    z: int, friction: float, spline: float, radius: float, outer: float, inner: float
) -> None:
    found = effective_faces(z, friction, spline, radius, outer, inner)
    assert 1.0 <= found <= z
    more = effective_faces(z + 1, friction, spline, radius, outer, inner)
    assert found <= more <= found + 1.0
    rougher = effective_faces(z, friction, spline + 0.05, radius, outer, inner)
    assert rougher <= found


@given(faces, frictions, splines, radii, st.floats(20.0, 120.0))
def test_equal_splines_give_a_geometric_series(
    z: int, friction: float, spline: float, radius: float, at: float
) -> None:
    kappa = friction * spline * radius / at
    passed = (1.0 - kappa) / (1.0 + kappa)
    expected = sum(passed**j for j in range(z))
    assert effective_faces(z, friction, spline, radius, at, at) == pytest.approx(expected)
