"""Coil springs: rate, coils, solid length and stress; fitted rates against statsmodels."""

import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import t as student

from app.errors import BadInput
from app.mechanics import coil_spring as cs


@pytest.mark.parametrize(
    ("ends", "active", "solid"),
    [("plain", 9.0, 20.0), ("plain_ground", 8.0, 18.0), ("closed", 7.0, 20.0),
     ("closed_ground", 7.0, 18.0)],
)
def test_ends_take_coils_away_and_set_the_solid_length(ends, active, solid):
    """Shigley, Mechanical Engineering Design, Table 10-1, for 9 coils of 2 mm wire."""
    assert cs.active_coils(9.0, ends) == active
    assert cs.solid_length(9.0, 2.0, ends) == solid


def test_many_ends_at_once_give_the_same_and_unknown_ends_stay_unknown():
    inactive, extra = cs.inactive_and_extra([["plain", "closed_ground"], [None, "closed"]])
    assert np.array_equal(inactive, [[0.0, 2.0], [math.nan, 2.0]], equal_nan=True)
    assert np.array_equal(extra, [[1.0, 0.0], [math.nan, 1.0]], equal_nan=True)


@given(st.floats(1.0, 4.0), st.floats(8.0, 30.0), st.floats(3.0, 12.0))
def test_rate_grows_with_the_fourth_power_of_the_wire_and_falls_with_the_cube(wire, mean, coils):
    rate = cs.rate_from_wire(79300.0, wire, mean, coils)
    assert cs.rate_from_wire(79300.0, 2.0 * wire, mean, coils) == pytest.approx(16.0 * rate)
    assert cs.rate_from_wire(79300.0, wire, 2.0 * mean, coils) == pytest.approx(rate / 8.0)
    assert cs.rate_from_wire(79300.0, wire, mean, 2.0 * coils) == pytest.approx(rate / 2.0)
    assert rate == pytest.approx(79300.0 * wire**4 / (8.0 * mean**3 * coils))


def test_stress_is_the_wahl_factor_times_plain_torsion():
    force, wire, mean = 80.0, 2.0, 14.0
    plain_torsion = 16.0 * (force * mean / 2.0) / (math.pi * wire**3)
    assert cs.spring_index(mean, wire) == 7.0
    factor = 27.0 / 24.0 + 0.615 / 7.0
    assert cs.wahl_factor(7.0) == pytest.approx(factor)
    assert cs.shear_stress(force, wire, mean) == pytest.approx(factor * plain_torsion)


def test_a_slim_wire_in_a_wide_coil_needs_no_correction():
    assert cs.wahl_factor(1e6) == pytest.approx(1.0, abs=1e-5)


DEFLECTION = np.array([2.0, 4.0, 6.5, 9.0, 11.0])
FORCE = np.array([21.0, 39.5, 66.8, 88.9, 111.4])


def test_fit_with_intercept_equals_statsmodels():
    fit = cs.rate_from_load_points(DEFLECTION, FORCE)
    theirs = sm.OLS(FORCE, sm.add_constant(DEFLECTION)).fit()
    assert (fit.intercept, fit.rate) == pytest.approx(tuple(theirs.params))
    assert (fit.intercept_std, fit.rate_std) == pytest.approx(tuple(theirs.bse))
    limits = theirs.conf_int(0.05)
    assert (fit.intercept_low, fit.intercept_high) == pytest.approx(tuple(limits[0]))
    assert (fit.low, fit.high) == pytest.approx(tuple(limits[1]))
    assert fit.residual_std == pytest.approx(math.sqrt(theirs.mse_resid))
    assert fit.freedom == theirs.df_resid


def test_fit_through_the_origin_equals_statsmodels():
    fit = cs.rate_from_load_points(DEFLECTION, FORCE, through_origin=True)
    theirs = sm.OLS(FORCE, DEFLECTION).fit()
    assert fit.rate == pytest.approx(theirs.params[0])
    assert fit.rate_std == pytest.approx(theirs.bse[0])
    assert (fit.low, fit.high) == pytest.approx(tuple(theirs.conf_int(0.05)[0]))
    assert fit.freedom == 4
    assert (fit.intercept, fit.intercept_low, fit.intercept_significant) == (None, None, False)


def test_a_preload_that_stands_out_of_the_scatter_is_significant_and_scatter_is_not():
    assert not cs.rate_from_load_points(DEFLECTION, FORCE).intercept_significant
    assert cs.rate_from_load_points(DEFLECTION, FORCE + 30.0).intercept_significant


@pytest.mark.parametrize(("points", "origin"), [(2, False), (1, True)])
def test_as_many_points_as_unknowns_give_a_rate_without_doubt(points, origin):
    fit = cs.rate_from_load_points(DEFLECTION[:points], FORCE[:points], origin)
    assert fit.freedom == 0
    assert (fit.rate_std, fit.low, fit.high, fit.residual_std) == (None, None, None, None)
    assert not fit.intercept_significant


@pytest.mark.parametrize(
    ("x", "origin", "cure"),
    [([], False, "two load points"), ([4.0], False, "two load points"),
     ([4.0, 4.0], False, "different deflections"), ([], True, "one load point"),
     ([0.0, 0.0], True, "other than 0")],
)
def test_too_few_points_are_refused_with_the_cure(x, origin, cure):
    with pytest.raises(BadInput, match=cure) as refused:
        cs.rate_from_load_points(x, np.ones(len(x)), origin)
    assert refused.value.problems[0].field == "load_points"


def test_a_falling_force_is_answered_as_it_was_read():
    assert cs.rate_from_load_points([1.0, 2.0, 3.0], [9.0, 7.0, 5.0]).rate == pytest.approx(-2.0)


@pytest.mark.parametrize("freedom", [1, 2, 5, 30])
def test_student_limit_equals_that_of_the_distribution(freedom):
    assert cs.student_limit(freedom) == pytest.approx(student.ppf(0.975, freedom), rel=1e-9)
