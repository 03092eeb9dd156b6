"""Disc springs: the formula's own symmetries, and tables that are never stretched."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.mechanics.disc_spring import disc_load, shape_factor, table_load
from app.mechanics.inputs import LoadPoint
from app.mechanics.traced import Traced

SIZES = {"outside_mm": 100.0, "inside_mm": 60.0, "thickness_mm": 1.6, "cone_height_mm": 2.4,
         "modulus_mpa": 206000.0, "poisson": 0.3}
POINTS = (LoadPoint(2.0, 1050.0), LoadPoint(0.0, 0.0), LoadPoint(1.0, 700.0),
          LoadPoint(4.0, 1200.0))


def load(deflection, **changes):
    return disc_load(deflection, **{**SIZES, **changes})


@pytest.mark.parametrize("ratio", [1.5, 1.8, 2.0, 2.5])
def test_shape_factor_is_up_to_two_percent_above_that_of_almen_and_laszlo(ratio):
    """Almen & László, Trans. ASME 1936: M = 6/(π ln δ) ((δ−1)/δ)²."""
    older = 6.0 / (math.pi * math.log(ratio)) * ((ratio - 1.0) / ratio) ** 2
    assert 1.002 < shape_factor(ratio) / older < 1.02


@given(st.floats(0.0, 2.4))
def test_load_is_odd_about_the_flat_point(x):
    assert load(2.4 + x) + load(2.4 - x) == pytest.approx(2.0 * load(2.4))


def test_load_at_the_flat_point_is_the_closed_form():
    flat = 4.0 * 206000.0 / 0.91 * 1.6**3 * 2.4 / (shape_factor(100.0 / 60.0) * 100.0**2)
    assert load(2.4) == pytest.approx(flat)
    assert load(0.0) == 0.0


def test_a_high_cone_has_a_falling_part_and_a_flat_one_has_none():
    s = np.linspace(0.0, 2.4, 200)
    assert np.any(np.diff(load(s, thickness_mm=1.4)) < 0.0)
    assert np.all(np.diff(load(s, thickness_mm=2.0)) > 0.0)


def at(deflections):
    value = np.array([[d] for d in deflections])
    return Traced(value, {"s": np.ones_like(value)})


def test_table_passes_through_its_points_in_any_order_and_keeps_within_them():
    found = table_load([POINTS], at([0.0, 1.0, 2.0, 4.0])).value[:, 0]
    assert found == pytest.approx([0.0, 700.0, 1050.0, 1200.0])
    between = table_load([POINTS], at(np.linspace(0.0, 4.0, 101))).value[:, 0]
    assert np.all(np.diff(between) > 0.0)


def test_table_carries_the_doubt_of_the_deflection_by_its_slope():
    found = table_load([POINTS], at([1.5]))
    near = table_load([POINTS], at([1.5 - 1e-6, 1.5 + 1e-6])).value[:, 0]
    assert found.partials["s"][0, 0] == pytest.approx((near[1] - near[0]) / 2e-6, rel=1e-6)


def test_table_is_never_stretched_beyond_its_points():
    assert np.isnan(table_load([POINTS], at([-0.1, 4.001])).value).all()


def test_each_record_has_its_own_table_and_none_without_points_or_with_one():
    tables = [POINTS, (), (LoadPoint(1.0, 5.0),), (LoadPoint(0.0, 0.0), LoadPoint(2.0, 20.0))]
    found = table_load(tables, at([1.0, 1.0, 1.0, 1.0])).value[:, 0]
    assert np.array_equal(found, [700.0, np.nan, np.nan, 10.0], equal_nan=True)
    assert np.isnan(table_load([()], at([1.0])).value).all()
