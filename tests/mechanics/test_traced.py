"""Traced values against the `uncertainties` library: every operation, and inputs used twice."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from uncertainties import ufloat, umath

from app.mechanics.traced import Column, Traced, in_order, lift, variance, where


def column(values, limit=0.0, std=0.0):
    value = np.atleast_2d(np.asarray(values, dtype=float))
    return Column(value, np.full_like(value, limit), np.full_like(value, std))


COLUMNS = {"x": column(3.1, limit=0.2), "y": column(0.7, std=0.03), "w": column(5.0, limit=0.4)}
X = Traced.of("x", COLUMNS["x"])
OURS = SimpleNamespace(
    **{name: Traced.of(name, c) for name, c in COLUMNS.items()}, tan=Traced.tan, log=Traced.log
)
THEIRS = SimpleNamespace(
    x=ufloat(3.1, 0.2 / math.sqrt(3)), y=ufloat(0.7, 0.03), w=ufloat(5.0, 0.4 / math.sqrt(3)),
    tan=umath.tan, log=umath.log,
)

EXPRESSIONS = {
    "sum": lambda v: v.x + v.y + 2.0,
    "difference": lambda v: 7.0 - v.x - v.y,
    "product": lambda v: 3.0 * v.x * v.y * v.w,
    "quotient": lambda v: 4.0 / v.x / (v.y / v.w),
    "power": lambda v: v.x**-1.5 * v.w**3.0,
    "negation": lambda v: -v.x * -v.y,
    "tangent": lambda v: v.tan(v.y) * v.x,
    "logarithm": lambda v: v.log(v.w / v.x),
    "cancelling": lambda v: v.x / v.x + (v.y - v.y),
    "used twice": lambda v: (v.w - v.x) ** 3.0 * v.x**4.0 / (v.w - v.x + v.y),
}


@pytest.mark.parametrize("name", EXPRESSIONS)
def test_value_and_first_order_doubt_equal_those_of_an_independent_library(name):
    ours, theirs = EXPRESSIONS[name](OURS), EXPRESSIONS[name](THEIRS)
    assert ours.value[0, 0] == pytest.approx(theirs.nominal_value, rel=1e-14)
    std = math.sqrt(variance(ours, COLUMNS)[0, 0])
    assert std == pytest.approx(theirs.std_dev, rel=1e-12, abs=1e-15)


def test_an_exact_input_is_not_traced_and_a_partly_exact_column_is():
    assert Traced.of("x", column([[1.0], [2.0]])).partials == {}
    partly = Column(np.ones((2, 1)), np.array([[0.0], [0.1]]), np.zeros((2, 1)))
    assert Traced.of("x", partly).partials["x"].tolist() == [[1.0], [1.0]]


def test_a_numpy_array_on_the_left_leaves_the_product_traced():
    product = np.full((1, 1), 2.0) * X
    assert isinstance(product, Traced)
    assert product.partials["x"] == 2.0


def test_variance_adds_limits_and_standard_uncertainties():
    assert COLUMNS["x"].variance == pytest.approx(0.2**2 / 3.0)
    assert COLUMNS["y"].variance == pytest.approx(0.03**2)
    assert COLUMNS["x"].doubtful
    assert not column(1.0).doubtful


def test_lift_leaves_traced_values_and_wraps_numbers():
    assert lift(X) is X
    assert lift(2.5).value == 2.5


def test_where_takes_value_and_partials_of_the_chosen_side_only():
    columns = {"a": column([[1.0], [2.0]], limit=0.1), "b": column([[5.0], [6.0]], limit=0.2)}
    a, b = Traced.of("a", columns["a"]), Traced.of("b", columns["b"])
    picked = where(np.array([[True], [False]]), a, b)
    assert picked.value.tolist() == [[1.0], [6.0]]
    assert picked.partials["a"].tolist() == [[1.0], [0.0]]
    assert picked.partials["b"].tolist() == [[0.0], [1.0]]


def test_an_unknown_side_does_not_leak_through_where():
    unknown = Traced(np.array([[np.nan]]), {"x": np.array([[np.nan]])})
    picked = where(np.array([[True]]), Traced(np.array([[4.0]])), unknown)
    assert picked.value == 4.0
    assert picked.partials["x"] == 0.0


def test_at_least_zero_drops_the_doubt_of_what_is_slack_and_keeps_the_unknown():
    given = Traced(np.array([[2.0], [-1.0], [0.0], [np.nan]]), {"x": np.ones((4, 1))})
    clipped = given.at_least_zero()
    assert np.array_equal(clipped.value, [[2.0], [0.0], [0.0], [np.nan]], equal_nan=True)
    assert clipped.partials["x"].tolist() == [[1.0], [0.0], [0.0], [0.0]]


def test_groups_add_a_shared_input_as_one_and_their_own_apart():
    columns = {"own": column([[1.0, 2.0, 3.0]], limit=0.3), "shared": column(0.5, limit=0.3)}
    own, shared = Traced.of("own", columns["own"]), Traced.of("shared", columns["shared"])
    total = (own + shared).sum_groups({"own": 3, "shared": 1})
    assert total.value.tolist() == [[7.5]]
    # Three independent limits, and one that moves all three groups together: 3 + 3² variances.
    assert variance(total, columns)[0, 0] == pytest.approx((3.0 + 9.0) * 0.3**2 / 3.0)


def test_variance_of_a_group_figure_stays_per_group():
    columns = {"own": column([[1.0, 2.0]], limit=0.3), "shared": column(2.0, limit=0.3)}
    own, shared = Traced.of("own", columns["own"]), Traced.of("shared", columns["shared"])
    assert variance(own * shared, columns).tolist() == [
        pytest.approx([(2.0**2 + 1.0**2) * 0.03, (2.0**2 + 2.0**2) * 0.03])
    ]


def test_zeros_behind_a_row_do_not_change_the_last_digit_of_its_sum():
    generator = np.random.default_rng(3)
    for length in range(1, 9):
        rows = generator.uniform(0.1, 1.0, (50, length))
        padded = np.zeros((50, 8))
        padded[:, :length] = rows
        assert np.array_equal(in_order(rows), in_order(padded))
        assert in_order(rows) == pytest.approx(rows.sum(axis=-1))
