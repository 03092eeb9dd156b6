"""A record's figures have the same bits alone, on a board of other kinds, and on the cell's page.

Page, list and download read their figures from different places; one last digit of difference
would let the same cell hold on one page and be tight on another.
"""

from dataclasses import fields, replace

import numpy as np
import pytest

from app.comparison.cell import evaluate
from app.comparison.run import Comparison, compare
from app.comparison.verdict import VERDICTS
from app.mechanics.inputs import EngineInputs, PackInputs, Quantity, State
from tests.mechanics.samples import (
    GIVEN_SPRING,
    POINT_SPRING,
    WIRE_SPRING,
    coil_pack,
    every_engine,
    every_pack,
    load_pack,
    q,
)
from tests.properties.random_records import Maker

NAMES = [f.name for f in fields(Comparison)]
STATES = [
    State(), State(wear_mm=0.3, radius="uniform_pressure"), State(wear_mm=None),
    State("dry", "static"), State(speed_rpm=7000.0),
]


def mixed_packs():
    """Random packs, one of each kind of clamp, four to eight groups, slack and unknown ones."""
    sizes = [GIVEN_SPRING, POINT_SPRING, WIRE_SPRING]
    many = [
        coil_pack(*[replace(sizes[(i + n) % 3], count=2 + i % 4,
                            free_length_mm=q(40.0 + 0.37 * i, 0.05 + 0.01 * i))
                    for i in range(n)], mounting="geared")
        for n in (8, 4, 5, 6, 7)
    ]
    slack = coil_pack(replace(WIRE_SPRING, installed_length_mm=q(45.0, 0.1)))
    half_slack = coil_pack(GIVEN_SPRING, replace(WIRE_SPRING, installed_length_mm=q(45.0, 0.1)))
    exact = load_pack(facing_od_mm=Quantity(100.0), friction={
        ("oiled", "sliding"): Quantity(0.12), ("dry", "static"): q(0.3, 0.03)})
    random = [Maker(seed).pack() for seed in range(20)]
    return [*many, slack, half_slack, exact, PackInputs(), replace(slack, mounting=None),
            *every_pack(), *random]


def mixed_engines():
    return [EngineInputs(), *every_engine(), *(Maker(500 + seed).engine() for seed in range(9))]


def same(first, second):
    return np.array_equal(first, second, equal_nan=True)


@pytest.mark.parametrize("state", STATES)
def test_a_cell_has_the_same_bits_alone_and_on_a_board(state):
    packs, engines = mixed_packs(), mixed_engines()
    board = compare(packs, engines, state)
    for i, pack in enumerate(packs):
        for j, engine in enumerate(engines):
            alone = compare([pack], [engine], state)
            for name in NAMES:
                assert same(getattr(board, name)[i, j], getattr(alone, name)[0, 0]), (i, j, name)


@pytest.mark.parametrize("state", STATES[:2])
def test_the_order_and_number_of_records_change_no_bit(state):
    packs, engines = mixed_packs(), mixed_engines()
    board = compare(packs, engines, state)
    order = np.random.default_rng(4).permutation(len(packs))
    columns = np.random.default_rng(5).permutation(len(engines))[:7]
    other = compare([packs[i] for i in order], [engines[j] for j in columns], state)
    for name in NAMES:
        assert same(getattr(board, name)[np.ix_(order, columns)], getattr(other, name)), name


@pytest.mark.parametrize("state", STATES)
def test_the_cells_page_shows_the_boards_bits(state):
    packs, engines = mixed_packs()[::2], mixed_engines()[::3]
    board = compare(packs, engines, state)
    for i, pack in enumerate(packs):
        for j, engine in enumerate(engines):
            cell = evaluate(pack, engine, state)
            assert cell.verdict == VERDICTS[board.verdict[i, j]]
            if np.isnan(board.ratio[i, j]):
                assert (cell.ratio, cell.ratio_without_factor, cell.p_slip) == (None, None, None)
                continue
            shown = (cell.ratio.value, cell.ratio.std, cell.ratio.low, cell.ratio.high,
                     cell.p_slip, cell.capacity.value, cell.required.value,
                     cell.ratio_without_factor.value)
            asked = tuple(getattr(board, name)[i, j] for name in (
                "ratio", "ratio_std", "low", "high", "p_slip", "capacity", "required",
                "ratio_without_factor"))
            assert shown == asked, (i, j)


@pytest.mark.parametrize("state", STATES)
def test_every_cell_is_ordered_and_its_verdict_and_chance_agree(state):
    board = compare(mixed_packs(), mixed_engines(), state)
    known = ~np.isnan(board.ratio)
    assert known.any()
    low, ratio, high = board.low[known], board.ratio[known], board.high[known]
    assert np.all((low <= ratio) & (ratio <= high))
    chance, verdict = board.p_slip[known], board.verdict[known]
    assert np.all((chance >= 0.0) & (chance <= 1.0))
    assert np.all(chance[verdict == VERDICTS.index("holds")] <= 0.025 + 1e-6)
    assert np.all(chance[high < 1.0] >= 0.975 - 1e-6)
    for name in set(NAMES) - {"verdict", "capacity", "required"}:
        assert np.isnan(getattr(board, name)[~known]).all(), name
    assert not board.verdict[~known].any()
