"""The board's figures are those of a single cell, bit for bit."""

from dataclasses import replace

import numpy as np
import pytest

from app.comparison.board import work_out_cells
from app.comparison.cell import Reading, evaluate
from app.comparison.verdict import VERDICTS
from app.mechanics.inputs import State
from tests.shop import shop

STATES = [
    State(),
    State("dry", "static"),
    State(wear_mm=None),
    State(wear_mm=0.3, radius="uniform_pressure", speed_rpm=6500.0),
]


def _same(figure: Reading | None, value: float, std: float, low: float, high: float) -> bool:
    if figure is None:
        return bool(np.isnan(value))
    return (figure.value, figure.std, figure.low, figure.high) == (value, std, low, high)


@pytest.mark.parametrize("state", STATES)
def test_every_cell_is_what_evaluate_says(state: State) -> None:
    packs, engines = ([e.inputs for e in side] for side in shop())
    cells = work_out_cells(packs, engines, state)
    seen = set()
    for i, pack in enumerate(packs):
        for j, engine in enumerate(engines):
            one = evaluate(pack, engine, state)
            a, r, f = cells.available, cells.required, cells.figures
            assert _same(one.capacity, a.value[i, j], a.std[i, j], a.low[i, j], a.high[i, j])
            assert _same(one.required, r.value[i, j], r.std[i, j], r.low[i, j], r.high[i, j])
            assert _same(one.ratio, f.ratio[i, j], f.ratio_std[i, j], f.low[i, j], f.high[i, j])
            assert one.verdict == VERDICTS[f.verdict[i, j]]
            assert one.missing == cells.missing.get((i, j), ())
            seen.add(one.verdict)
    assert len(seen) > 2, "the shop was to show several verdicts"


def test_a_pack_of_unknown_mounting_carries_a_torque_but_has_no_verdict() -> None:
    packs, engines = shop()
    pack = replace(packs[0].inputs, mounting=None)
    cells = work_out_cells([pack], [engines[0].inputs], State())
    assert cells.available.value[0, 0] > 0
    assert np.isnan(cells.required.value[0, 0])
    assert cells.missing[0, 0] == ("pack.mounting",)


def test_nothing_to_compare_gives_an_empty_board() -> None:
    packs, engines = shop()
    assert work_out_cells([], [engines[0].inputs], State()).figures.ratio.shape == (0, 1)
    assert work_out_cells([packs[0].inputs], [], State()).available.value.shape == (1, 0)
