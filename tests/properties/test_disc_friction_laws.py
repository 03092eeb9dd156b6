"""Laws that the friction side of any pack obeys, and quadrature as an oracle for its radii."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from app.mechanics.disc_friction import (
    faces_working,
    facing_area,
    max_pressure_uniform_wear,
    mean_pressure,
    radius_uniform_pressure,
    radius_uniform_wear,
    torque_capacity,
)
from app.mechanics.traced import Column, Traced

outer_radii = st.floats(10.0, 200.0)
radius_ratios = st.floats(0.05, 0.999)
frictions = st.floats(0.02, 0.6)
clamps = st.floats(1.0, 20_000.0)
factors = st.floats(0.1, 10.0)


@given(frictions, st.integers(1, 30), clamps, outer_radii, factors)
def test_capacity_is_linear_in_friction_faces_clamp_and_radius(
    mu: float, faces: int, clamp: float, radius: float, factor: float
) -> None:
    base = torque_capacity(mu, faces, clamp, radius)
    assert torque_capacity(factor * mu, faces, clamp, radius) == pytest.approx(factor * base)
    assert torque_capacity(mu, faces, factor * clamp, radius) == pytest.approx(factor * base)
    assert torque_capacity(mu, faces, clamp, factor * radius) == pytest.approx(factor * base)
    assert torque_capacity(mu, 2 * faces, clamp, radius) == pytest.approx(2.0 * base)
    assert torque_capacity(mu, faces, 0.0, radius) == 0.0


@given(st.integers(1, 12))
def test_plates_lined_on_both_sides_have_twice_the_faces(plates: int) -> None:
    assert faces_working(plates) == 2 * faces_working(plates, 1)


@given(outer_radii, radius_ratios)
def test_uniform_pressure_never_carries_less_than_uniform_wear(outer: float, x: float) -> None:
    wear = radius_uniform_wear(outer, x * outer)
    pressure = radius_uniform_pressure(outer, x * outer)
    # One rounding step of slack: the two radii meet as the ring narrows.
    assert pressure >= wear * (1.0 - 1e-15)
    assert x * outer < wear < outer
    assert pressure < outer


@given(outer_radii, st.floats(1e-12, 1e-4))
def test_the_two_radii_meet_as_the_ring_narrows(outer: float, width: float) -> None:
    inner = outer * (1.0 - width)
    wear = radius_uniform_wear(outer, inner)
    # R_up/R_uw - 1 = (width/2R)²/3 to leading order, so a narrow ring must keep its digits.
    excess = radius_uniform_pressure(outer, inner) / wear - 1.0
    assert excess == pytest.approx((width / 2.0) ** 2 / 3.0, rel=1e-3, abs=1e-14)


@given(outer_radii, radius_ratios, frictions, clamps)
def test_torque_by_quadrature_with_uniform_pressure(
    outer: float, x: float, mu: float, clamp: float
) -> None:
    inner = x * outer
    pressure = mean_pressure(clamp, facing_area(outer, inner, 0.0))
    integral, _ = quad(
        lambda r: 2.0 * math.pi * mu * pressure * r * r, inner, outer, epsabs=0.0, epsrel=1e-11
    )
    ours = torque_capacity(mu, 1, clamp, radius_uniform_pressure(outer, inner))
    # A narrow ring loses digits in r_o² - r_i².
    assert ours == pytest.approx(integral / 1000.0, rel=1e-11)


@given(outer_radii, radius_ratios, frictions, clamps)
def test_torque_by_quadrature_with_uniform_wear(
    outer: float, x: float, mu: float, clamp: float
) -> None:
    inner = x * outer
    most = max_pressure_uniform_wear(clamp, outer, inner, 0.0)
    integral, _ = quad(
        lambda r: 2.0 * math.pi * mu * (most * inner / r) * r * r,
        inner,
        outer,
        epsabs=0.0,
        epsrel=1e-11,
    )
    load, _ = quad(
        lambda r: 2.0 * math.pi * (most * inner / r) * r, inner, outer, epsabs=0.0, epsrel=1e-11
    )
    ours = torque_capacity(mu, 1, clamp, radius_uniform_wear(outer, inner))
    assert ours == pytest.approx(integral / 1000.0, rel=1e-11)
    assert load == pytest.approx(clamp, rel=1e-11)


@given(outer_radii, radius_ratios, clamps, st.floats(0.0, 0.9))
def test_grooves_raise_both_pressures_alike(
    outer: float, x: float, clamp: float, grooved: float
) -> None:
    inner = x * outer
    mean = mean_pressure(clamp, facing_area(outer, inner, grooved))
    most = max_pressure_uniform_wear(clamp, outer, inner, grooved)
    assert mean == pytest.approx(
        mean_pressure(clamp, facing_area(outer, inner, 0.0)) / (1.0 - grooved)
    )
    # p_max/p_mean = R_uw/r_i for any load and any grooves.
    assert most / mean == pytest.approx(radius_uniform_wear(outer, inner) / inner, rel=1e-9)


@given(outer_radii, st.floats(0.05, 5.0), frictions)
def test_torque_at_a_pressure_is_largest_at_one_over_root_three(
    outer: float, pressure: float, mu: float
) -> None:
    def loss(x: float) -> float:
        clamp = pressure / max_pressure_uniform_wear(1.0, outer, x * outer, 0.0)
        return -torque_capacity(mu, 1, clamp, radius_uniform_wear(outer, x * outer))

    best = minimize_scalar(loss, bounds=(0.1, 0.99), method="bounded", options={"xatol": 1e-9})
    # A flat optimum is found to the root of the rounding error only.
    assert best.x == pytest.approx(1.0 / math.sqrt(3.0), rel=1e-5)


RATIOS = [(0.5, 1.037037), (0.6, 1.020833), (0.7, 1.010381), (0.8, 1.004115), (0.9, 1.000923)]


@pytest.mark.parametrize(("x", "ratio"), RATIOS)
@pytest.mark.parametrize("outer", [20.0, 61.3, 150.0])
def test_ratio_of_the_radii_depends_on_their_proportion_only(
    outer: float, x: float, ratio: float
) -> None:
    found = radius_uniform_pressure(outer, x * outer) / radius_uniform_wear(outer, x * outer)
    assert found == pytest.approx(ratio, abs=5e-7)


@given(st.lists(st.tuples(frictions, clamps, outer_radii, radius_ratios), min_size=1, max_size=6))
def test_many_packs_at_once_equal_one_by_one(rows: list[tuple[float, ...]]) -> None:
    mu, clamp, outer, x = np.array(rows).T
    inner = x * outer
    at_once = torque_capacity(mu, np.full(len(rows), 6.0), clamp, radius_uniform_wear(outer, inner))
    singly = [
        torque_capacity(m, 6, f, radius_uniform_wear(o, i))
        for m, f, o, i in zip(mu, clamp, outer, inner, strict=True)
    ]
    np.testing.assert_array_equal(at_once, singly)
    traced = torque_capacity(
        Traced(mu), Traced(6.0), Traced(clamp), radius_uniform_wear(Traced(outer), Traced(inner))
    )
    np.testing.assert_array_equal(traced.value, singly)


@given(outer_radii, st.floats(0.3, 0.95), frictions, clamps)
def test_traced_slopes_are_those_of_the_function(
    outer: float, x: float, mu: float, clamp: float
) -> None:
    def torque(o: float, i: float) -> float:
        return torque_capacity(mu, 6, clamp, radius_uniform_pressure(o, i))

    shape = np.ones((1, 1))
    names = {"outer": outer, "inner": x * outer}
    inputs = {n: Traced.of(n, Column(v * shape, shape, 0.0 * shape)) for n, v in names.items()}
    traced = torque_capacity(
        Traced(mu),
        Traced(6.0),
        Traced(clamp),
        radius_uniform_pressure(inputs["outer"], inputs["inner"]),
    )
    step = 1e-5 * outer
    by_outer = (torque(outer + step, x * outer) - torque(outer - step, x * outer)) / (2.0 * step)
    by_inner = (torque(outer, x * outer + step) - torque(outer, x * outer - step)) / (2.0 * step)
    # Central differences are good to about step² and to rounding over step.
    assert float(traced.partials["outer"][0, 0]) == pytest.approx(by_outer, rel=1e-7)
    assert float(traced.partials["inner"][0, 0]) == pytest.approx(by_inner, rel=1e-7)
