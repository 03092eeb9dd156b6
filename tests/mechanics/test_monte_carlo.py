"""Draws follow the distribution of each doubt, and the same seed gives the same draws."""

import math

import numpy as np
import pytest
from scipy.stats import kstest, lognorm, norm, uniform

from app.mechanics.inputs import State
from app.mechanics.monte_carlo import BLOCK_DRAWS, Draws, draw_column, draw_sheet, in_blocks
from app.mechanics.sides import pack_side
from app.mechanics.stack import stack_packs
from app.mechanics.traced import Column
from tests.mechanics.samples import GIVEN_SPRING, coil_pack, load_pack


def drawn(values, limit=0.0, std=0.0, count=20_000):
    value = np.array([values], dtype=float)
    column = Column(value, np.full_like(value, limit), np.full_like(value, std))
    return draw_column(column, np.random.default_rng(5), count)


def likely(sample, distribution):
    return kstest(sample, distribution.cdf).pvalue > 1e-3


def test_a_limit_is_drawn_evenly_between_its_ends():
    found = drawn([50.0], limit=2.0)
    assert likely(found.value[:, 0], uniform(48.0, 4.0))
    assert not found.doubtful


def test_a_standard_uncertainty_is_drawn_from_the_normal_distribution():
    assert likely(drawn([50.0], std=2.0).value[:, 0], norm(50.0, 2.0))
    assert likely(drawn([0.0], std=2.0).value[:, 0], norm(0.0, 2.0))


def test_more_than_a_fifth_is_drawn_log_normal_with_the_same_mean_and_deviation():
    sample = drawn([50.0], std=15.0).value[:, 0]
    spread = math.log1p(0.3**2)
    same = lognorm(math.sqrt(spread), scale=50.0 * math.exp(-spread / 2.0))
    assert (same.mean(), same.std()) == pytest.approx((50.0, 15.0))
    assert likely(sample, same)
    assert sample.min() > 0.0


def test_groups_are_drawn_apart_and_unknown_and_exact_stay():
    apart = drawn([10.0, 10.0], limit=1.0).value
    assert abs(np.corrcoef(apart.T)[0, 1]) < 0.03
    assert np.isnan(drawn([math.nan], count=3).value).all()
    assert drawn([4.0], count=3).value.tolist() == [[4.0]] * 3


def test_a_sheet_draws_its_doubtful_columns_only_and_again_alike():
    sheet = stack_packs([coil_pack(GIVEN_SPRING)], State())
    first = draw_sheet(sheet, np.random.default_rng(9), 100)
    again = draw_sheet(sheet, np.random.default_rng(9), 100)
    other = draw_sheet(sheet, np.random.default_rng(10), 100)
    assert first.records == 100
    for name, column in sheet.columns.items():
        if column.doubtful:
            assert first.columns[name].value.shape[0] == 100
            assert np.array_equal(first.columns[name].value, again.columns[name].value)
            assert not np.array_equal(first.columns[name].value, other.columns[name].value)
        else:
            assert first.columns[name] is column


def test_the_order_in_which_a_record_was_filled_in_does_not_change_its_draws():
    sheet = stack_packs([load_pack()], State())
    turned = type(sheet)(**{**{f: getattr(sheet, f) for f in sheet.__dataclass_fields__},
                            "columns": dict(reversed(sheet.columns.items()))})
    first = draw_sheet(sheet, np.random.default_rng(9), 50).columns
    second = draw_sheet(turned, np.random.default_rng(9), 50).columns
    assert all(np.array_equal(first[n].value, second[n].value) for n in first)


def test_summary_holds_mean_deviation_and_the_middle_95_percent():
    found = Draws.of(np.arange(1001.0))
    assert (found.mean, found.low, found.high) == (500.0, 25.0, 975.0)
    assert found.std == pytest.approx(np.std(np.arange(1001.0), ddof=1))


def test_blocks_of_draws_have_the_bits_of_the_whole():
    draws = 2 * BLOCK_DRAWS + 17
    sheet = stack_packs([coil_pack(GIVEN_SPRING, GIVEN_SPRING)], State())
    whole = draw_sheet(sheet, np.random.default_rng(9), draws)
    apart = np.empty(draws)
    for place, block in in_blocks(whole):
        assert block.records <= BLOCK_DRAWS
        apart[place] = pack_side(block, State()).capacity.value[:, 0]
    np.testing.assert_array_equal(apart, pack_side(whole, State()).capacity.value[:, 0])
