"""The worst of several states against the single cells."""

from dataclasses import fields, replace

import numpy as np

from app.comparison.board import work_out_cells
from app.comparison.cell import evaluate
from app.comparison.run import Comparison, compare
from app.comparison.varied import states_of
from app.comparison.verdict import VERDICTS
from app.comparison.worst import cells_in, worst_comparison, worst_index
from app.mechanics.inputs import Quantity, State
from tests.mechanics import samples
from tests.shop import shop

STATE = State()
ALL = states_of(STATE, ("lubrication", "friction", "wear"))
PACKS, ENGINES = ([entry.inputs for entry in side] for side in shop())


def test_one_state_is_the_plain_block_to_the_bit() -> None:
    one, plain = cells_in(PACKS, ENGINES, [STATE]), work_out_cells(PACKS, ENGINES, STATE)
    assert one.state_of is None
    for f in fields(Comparison):
        assert np.array_equal(getattr(one.figures, f.name), getattr(plain.figures, f.name),
                              equal_nan=f.name != "verdict")


def test_each_cell_is_that_of_its_worst_state() -> None:
    states = states_of(STATE, ("friction", "wear"))
    found = cells_in(PACKS, ENGINES, states)
    singles = [compare(PACKS, ENGINES, state) for state in states]
    for i in range(len(PACKS)):
        for j in range(len(ENGINES)):
            lows = [float(s.low[i, j]) for s in singles]
            which = int(found.state_of[i, j])
            one = evaluate(PACKS[i], ENGINES[j], states[which])
            assert VERDICTS[found.figures.verdict[i, j]] == one.verdict
            if one.ratio is None:
                assert found.missing[i, j] == one.missing
                continue
            assert found.figures.low[i, j] == one.ratio.low == np.nanmin(lows)
            assert found.available.value[i, j] == one.capacity.value
            assert found.frictions[which][i].quantity is not None


def test_a_state_that_is_not_known_leaves_the_worst_unknown_unless_a_known_one_slips() -> None:
    pack = samples.load_pack()  # has friction for oiled, sliding only
    strong = samples.MEASURED if hasattr(samples, "MEASURED") else ENGINES[0]
    states = [STATE, State("dry")]
    held = cells_in([replace(pack, mounting="crankshaft")], [strong], states)
    assert VERDICTS[held.figures.verdict[0, 0]] == "unknown"
    assert held.states[held.state_of[0, 0]].lubrication == "dry"
    assert held.missing[0, 0] == ("pack.friction.dry.sliding",)
    weak = replace(pack, friction={("oiled", "sliding"): Quantity(0.001)})
    slips = cells_in([replace(weak, mounting="crankshaft")], [strong], states)
    assert VERDICTS[slips.figures.verdict[0, 0]] == "slips"
    assert slips.states[slips.state_of[0, 0]].lubrication == "oiled"


def test_a_check_that_fails_in_one_state_fails() -> None:
    singles = [work_out_cells(PACKS, ENGINES, state).failed for state in ALL]
    found = cells_in(PACKS, ENGINES, ALL).failed
    assert set(found) == {at for failed in singles for at in failed}
    for at, names in found.items():
        assert set(names) == {name for failed in singles for name in failed.get(at, ())}


def test_the_comparison_alone_picks_the_same_states() -> None:
    parts = [compare(PACKS, ENGINES, state) for state in ALL]
    worst = worst_comparison(parts)
    assert np.array_equal(worst.low, cells_in(PACKS, ENGINES, ALL).figures.low, equal_nan=True)
    assert worst_index(parts).shape == (len(PACKS), len(ENGINES))


def test_an_empty_side_stays_empty() -> None:
    assert cells_in([], ENGINES, ALL).figures.ratio.shape == (0, len(ENGINES))
