"""The working as steps, and each remark at what it is about."""

import pytest

from app.comparison.cell import CellResult, evaluate
from app.mechanics.inputs import State
from app.presentation.cell_inputs import input_rows
from app.presentation.cell_working import (
    INTERVAL_CAUTIONS,
    LABELS,
    parts,
    sentence,
    unplaced,
    working,
)
from tests.shop import shop, shop_documents


def results() -> list[tuple[int, int, CellResult]]:
    packs, engines = shop()
    return [
        (i, j, evaluate(pack.inputs, engine.inputs, state))
        for state in (State(), State("dry", "static", None))
        for i, pack in enumerate(packs)
        for j, engine in enumerate(engines[:4])
    ]


def test_every_step_has_a_label_of_its_own() -> None:
    names = {line.name for _, _, result in results() for line in result.working}
    assert len(names) > 15
    assert names <= set(LABELS)
    assert len(set(LABELS.values())) == len(LABELS)


def test_every_line_of_the_working_is_shown_once() -> None:
    for _, _, result in results():
        steps = working(result, "nm")
        shown = [*steps.pack, *steps.engine, *steps.other]
        assert len(shown) == len(result.working)
        assert len({step.key for step in shown}) == len(shown)
        assert bool(steps.ratio) == (result.ratio is not None)


def test_every_remark_is_shown_once() -> None:
    documents = shop_documents()
    seen = 0
    for i, j, result in results():
        steps = working(result, "nm")
        told = [
            text for step in (*steps.pack, *steps.engine, *steps.other) for text in step.cautions
        ]
        told += unplaced(result, [line.path for line in result.inputs])
        for side, document in (("pack", documents[0][i]), ("engine", documents[1][j])):
            for row in input_rows(result, side, document, (), ("p", "e")):
                told += row.cautions
        wanted = [sentence(c.text) for c in result.cautions if c.code not in INTERVAL_CAUTIONS]
        assert sorted(told) == sorted(wanted)
        seen += len(wanted)
    assert seen > 50


def test_a_step_shows_formula_values_and_result_with_its_doubt_and_unit() -> None:
    packs, engines = shop()
    rush = next(p for p in packs if p.name == "Bulrush 6")
    carr = next(e for e in engines if e.name == "Carr 250")
    steps = working(evaluate(rush.inputs, carr.inputs, State()), "lbf_ft")
    clamp = next(s for s in steps.pack if s.key == "clamp-n")
    assert clamp.label == "Clamp load"
    assert clamp.formula[0] == ("F = Σ n", False)
    assert clamp.substituted[0][0].startswith("= 5 · 22.1")
    assert clamp.result == "1204 ± 39\u00a0N"
    capacity = next(s for s in steps.pack if s.key == "capacity-nm")
    assert "N·m (" in capacity.result
    assert "lbf·ft" in capacity.result
    (ratio,) = steps.ratio
    assert ratio.result.startswith("0.996 ± ")


@pytest.mark.parametrize(
    ("text", "low"),
    [("T_req = T_c · factor", ["req", "c"]), ("p = F/A", []), ("K_W(C = 6.2)", ["W"])],
)
def test_indices_are_told_apart(text: str, low: list[str]) -> None:
    found = parts(text)
    assert [part for part, is_low in found if is_low] == low
    assert "".join(part for part, _ in found) == text.replace("_", "")
