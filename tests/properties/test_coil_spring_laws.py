"""Laws of coil springs, and ordinary least squares of another library as an oracle."""

import math

import numpy as np
import pytest
import statsmodels.api as sm  # type: ignore[import-untyped]  # it ships no types
from hypothesis import assume, given
from hypothesis import strategies as st

from app.mechanics.coil_spring import (
    END_COILS,
    active_coils,
    rate_from_load_points,
    rate_from_wire,
    shear_stress,
    solid_length,
    spring_index,
    wahl_factor,
)
from app.mechanics.inputs import CoilClamp, PackInputs, Quantity, SpringEnds, SpringGroup, State
from app.mechanics.sides import pack_side
from app.mechanics.stack import stack_packs
from app.mechanics.traced import Traced

moduli = st.floats(60_000.0, 90_000.0)
wires = st.floats(0.5, 6.0)
indices = st.floats(3.0, 15.0)
coils = st.floats(2.0, 20.0)
factors = st.floats(0.25, 4.0)
OILED = State(lubrication="oiled", friction="sliding")


@given(moduli, wires, indices, coils, factors)
def test_rate_goes_with_modulus_wire_diameter_and_coils(
    modulus: float, wire: float, index: float, active: float, factor: float
) -> None:
    mean = index * wire
    base = rate_from_wire(modulus, wire, mean, active)
    assert rate_from_wire(factor * modulus, wire, mean, active) == pytest.approx(factor * base)
    assert rate_from_wire(modulus, factor * wire, mean, active) == pytest.approx(factor**4 * base)
    assert rate_from_wire(modulus, wire, factor * mean, active) == pytest.approx(base / factor**3)
    assert rate_from_wire(modulus, wire, mean, factor * active) == pytest.approx(base / factor)


@given(st.floats(1.0, 2000.0), wires, indices, factors)
def test_stress_goes_with_load_and_falls_with_the_square_of_the_size(
    force: float, wire: float, index: float, factor: float
) -> None:
    base = shear_stress(force, wire, index * wire)
    assert shear_stress(factor * force, wire, index * wire) == pytest.approx(factor * base)
    # The same index in another size: the stress goes with F/d².
    assert shear_stress(force, factor * wire, factor * index * wire) == pytest.approx(
        base / factor**2
    )
    assert shear_stress(0.0, wire, index * wire) == 0.0


@given(st.floats(2.0, 100.0))
def test_wahl_factor_falls_towards_one(index: float) -> None:
    assert 1.0 < wahl_factor(1.01 * index) < wahl_factor(index)
    assert spring_index(index * 2.0, 2.0) == pytest.approx(index)


@given(st.floats(4.0, 20.0), wires, st.sampled_from(sorted(END_COILS)))
def test_ends(total: float, wire: float, ends: SpringEnds) -> None:
    # Closing two coils takes two out of work; grinding takes one wire off the solid length.
    assert active_coils(total, "plain") == total
    assert total - 2.0 <= active_coils(total, ends) <= total
    ground = solid_length(total, wire, "closed_ground")
    assert solid_length(total, wire, "closed") == pytest.approx(ground + wire)
    assert solid_length(total, wire, "plain_ground") == ground
    assert solid_length(total, wire, ends) >= active_coils(total, ends) * wire


def clamp_of(*groups: SpringGroup) -> float:
    sheet = stack_packs([PackInputs(clamp=CoilClamp(groups))], OILED)
    return float(pack_side(sheet, OILED).clamp.value[0, 0])


def group(count: int, rate: float, compression: float) -> SpringGroup:
    return SpringGroup(
        count=count,
        free_length_mm=Quantity(40.0),
        installed_length_mm=Quantity(40.0 - compression),
        rate_n_per_mm=Quantity(rate),
    )


@given(
    st.integers(1, 8),
    st.integers(1, 8),
    st.floats(1.0, 100.0),
    st.floats(1.0, 100.0),
    st.floats(0.0, 20.0),
    st.floats(0.0, 20.0),
)
def test_springs_in_parallel_add(
    n1: int, n2: int, k1: float, k2: float, s1: float, s2: float
) -> None:
    one, two = group(n1, k1, s1), group(n2, k2, s2)
    assert clamp_of(one, two) == pytest.approx(clamp_of(one) + clamp_of(two), rel=1e-12)
    assert clamp_of(group(2 * n1, k1, s1)) == pytest.approx(2.0 * clamp_of(one), rel=1e-12)


@given(st.floats(1.0, 100.0), st.floats(0.1, 20.0))
def test_a_slack_group_does_not_pull_on_its_neighbour(rate: float, compression: float) -> None:
    tight = group(3, rate, compression)
    assert clamp_of(tight, group(3, rate, -5.0)) == pytest.approx(clamp_of(tight), rel=1e-12)


@given(st.lists(st.tuples(moduli, wires, indices, coils), min_size=1, max_size=6))
def test_many_springs_at_once_equal_one_by_one(rows: list[tuple[float, ...]]) -> None:
    modulus, wire, index, active = np.array(rows).T
    singly = [rate_from_wire(g, d, c * d, n) for g, d, c, n in rows]
    np.testing.assert_array_equal(rate_from_wire(modulus, wire, index * wire, active), singly)
    traced = rate_from_wire(*(Traced(a) for a in (modulus, wire, index * wire, active)))
    np.testing.assert_array_equal(traced.value, singly)
    stresses = [shear_stress(100.0, d, c * d) for _, d, c, _ in rows]
    np.testing.assert_array_equal(
        shear_stress(np.full(len(rows), 100.0), wire, index * wire), stresses
    )


points = st.lists(st.tuples(st.floats(0.5, 30.0), st.floats(-20.0, 20.0)), min_size=3, max_size=12)


@pytest.mark.parametrize("through_origin", [False, True])
@given(points=points, rate=st.floats(5.0, 60.0))
def test_rate_from_load_points_equals_ordinary_least_squares(
    through_origin: bool, points: list[tuple[float, float]], rate: float
) -> None:
    x = np.array([p[0] for p in points])
    y = rate * x + np.array([p[1] for p in points])
    # Points bunched at one deflection give no rate worth comparing digits of.
    assume(np.ptp(x) > 1.0)
    fit = rate_from_load_points(x, y, through_origin=through_origin)
    design = x[:, np.newaxis] if through_origin else sm.add_constant(x)
    oracle = sm.OLS(y, design).fit()
    low, high = oracle.conf_int(0.05)[-1]
    scale = float(np.abs(y).max()) + 1.0
    assert fit.rate == pytest.approx(oracle.params[-1], rel=1e-9, abs=1e-9 * scale)
    assert fit.rate_std == pytest.approx(oracle.bse[-1], rel=1e-6, abs=1e-9 * scale)
    assert fit.low == pytest.approx(low, rel=1e-6, abs=1e-8 * scale)
    assert fit.high == pytest.approx(high, rel=1e-6, abs=1e-8 * scale)
    assert fit.freedom == int(oracle.df_resid)
    assert fit.residual_std == pytest.approx(
        math.sqrt(oracle.mse_resid), rel=1e-6, abs=1e-9 * scale
    )
    if not through_origin:
        assert fit.intercept == pytest.approx(oracle.params[0], rel=1e-7, abs=1e-8 * scale)
        assert fit.intercept_std == pytest.approx(oracle.bse[0], rel=1e-6, abs=1e-9 * scale)


@given(st.floats(1.0, 100.0), st.floats(-50.0, 50.0))
def test_points_on_a_line_give_that_line(rate: float, start: float) -> None:
    x = np.array([2.0, 5.0, 9.0, 14.0])
    fit = rate_from_load_points(x, start + rate * x)
    assert fit.rate == pytest.approx(rate, rel=1e-12)
    assert fit.intercept == pytest.approx(start, abs=1e-10)
    assert fit.residual_std == pytest.approx(0.0, abs=1e-10)
