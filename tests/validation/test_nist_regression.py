"""NIST Statistical Reference Datasets (StRD), linear regression, certified values.

The deflections of a spring take the place of x and its forces the place of y.
"""

import math
import re
from importlib.resources import files

import pytest

from app.mechanics.coil_spring import rate_from_load_points, student_limit


def test_noint1_through_the_origin() -> None:
    # NIST StRD, NoInt1: x = 60..70, y = 130..140, no intercept. Certified to 15 digits; summing in
    # double precision leaves about 1e-13.
    fit = rate_from_load_points(range(60, 71), range(130, 141), through_origin=True)
    assert fit.rate == pytest.approx(2.07438016528926, rel=1e-13)
    assert fit.rate_std == pytest.approx(0.165289256198347e-01, rel=1e-12)
    assert fit.residual_std is not None
    assert fit.residual_std**2 == pytest.approx(12.7272727272727, rel=1e-12)
    assert fit.residual_std == pytest.approx(3.56753034006338, rel=1e-12)
    assert fit.residual_std**2 * fit.freedom == pytest.approx(127.272727272727, rel=1e-12)
    assert fit.freedom == 10
    assert fit.intercept is None


def norris() -> tuple[list[float], list[float]]:
    """The 36 pairs of the file that scipy ships: y, then x."""
    text = (files("scipy.stats") / "tests/data/nist_linregress/Norris.dat").read_text("ascii")
    pairs = re.findall(r"^\s+(\d+\.\d+)\s+(\d+\.\d+)\s*$", text, flags=re.M)
    return [float(x) for _, x in pairs], [float(y) for y, _ in pairs]


def test_norris_with_an_intercept() -> None:
    # NIST StRD, Norris: 36 pairs over four decades. Certified to 15 digits; the differences from
    # the mean cancel a few of them in the intercept.
    x, y = norris()
    assert len(x) == 36
    fit = rate_from_load_points(x, y)
    assert fit.rate == pytest.approx(1.00211681802045, rel=1e-12)
    assert fit.rate_std == pytest.approx(0.429796848199937e-03, rel=1e-11)
    assert fit.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert fit.intercept_std == pytest.approx(0.232818234301152, rel=1e-11)
    assert fit.residual_std == pytest.approx(0.884796396144373, rel=1e-11)
    assert fit.freedom == 34
    assert not fit.intercept_significant


def test_norris_limits_are_student_s() -> None:
    fit = rate_from_load_points(*norris())
    assert fit.rate_std is not None
    assert fit.low is not None
    assert fit.high is not None
    # Student's t at 97.5 % with 34 degrees of freedom is 2.0322445 in printed tables.
    assert student_limit(34) == pytest.approx(2.0322445, rel=1e-7)
    assert (fit.high - fit.low) / 2.0 == pytest.approx(2.0322445 * fit.rate_std, rel=1e-7)
    assert math.isclose((fit.high + fit.low) / 2.0, fit.rate)
