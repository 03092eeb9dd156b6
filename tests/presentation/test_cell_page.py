"""The page of a cell as ready text."""

from dataclasses import replace
from typing import Any

from app.comparison.all_states import all_states
from app.comparison.beyond import beyond
from app.comparison.board_view import BoardView
from app.comparison.cell import CellResult, evaluate
from app.comparison.inputs_list import InputLine
from app.mechanics.inputs import Quantity
from app.mechanics.validity import Caution
from app.presentation.beyond_torque import beyond_view
from app.presentation.cell_page import CellPage, cell_page
from app.presentation.input_words import anchor
from tests.shop import shop, shop_documents

NAMES = ("Bulrush 6", "Carr 250")


def page(
    names: tuple[str, str] = NAMES,
    view: BoardView | None = None,
    draws: int | None = 20_000,
    **changed: Any,
) -> tuple[CellPage, CellResult]:
    view = view or BoardView()
    packs, engines = shop()
    i = next(n for n, p in enumerate(packs) if p.name == names[0])
    j = next(n for n, e in enumerate(engines) if e.name == names[1])
    inputs = packs[i].inputs, engines[j].inputs
    result = replace(evaluate(*inputs, view.state, draws), **changed)
    documents = shop_documents()[0][i], shop_documents()[1][j]
    rests = (InputLine("engine.service_factor", Quantity(1.5, how="assumed")),)
    states = all_states(*inputs, view.state)
    made = cell_page(
        packs[i],
        engines[j],
        documents,
        result,
        states,
        rests,
        frozenset(line.path for line in result.inputs),
        3.0,
        view,
        beyond_view(beyond(*inputs, view.state), view, (packs[i].public_id, engines[j].public_id)),
    )
    return made, result


def test_the_figures_at_the_head_are_those_of_the_cell() -> None:
    shown, result = page()
    assert result.ratio is not None
    assert shown.verdict == result.verdict == "slips"
    assert [r.text for r in shown.readouts] == ["0.996", "94.5", "94.9", "52\u00a0%"]
    assert shown.readouts[0].range == "0.81–1.20"
    assert "0.996 times" in shown.says
    assert [row.ratio for row in shown.margins] == ["0.996", "1.49"]
    assert shown.margins[0].margin == "−0.4\u00a0%"


def test_the_bar_has_the_limit_between_the_ends_of_a_tight_interval() -> None:
    shown, _ = page()
    assert shown.bar is not None
    assert 0 < shown.bar.low < shown.bar.mid < shown.bar.limit < shown.bar.high < 100


def test_another_unit_shows_the_stored_one_too() -> None:
    shown, _ = page(view=BoardView(unit="lbf_ft"))
    assert (shown.readouts[1].text, shown.readouts[1].unit) == ("69.7", "lbf·ft")
    assert shown.readouts[1].note == "94.5\u00a0N·m"
    assert shown.units[1] == ("lbf·ft", shown.units[1][1], True)
    assert shown.board_address == "/?unit=lbf_ft"


def test_what_is_not_known_is_named_with_where_to_type_it() -> None:
    shown, result = page(("Sallow box of parts", "Carr 250"))
    assert shown.verdict == "unknown"
    assert len(shown.lacks) == len(result.missing) > 0
    assert all(lack.address.startswith(("/packs/p", "/engines/e")) for lack in shown.lacks)
    assert shown.bar is None
    assert shown.margins == ()
    assert shown.readouts == ()


def test_assumed_values_lead_to_their_row() -> None:
    shown, _ = page()
    (item,) = shown.unsure
    assert (item.label, item.how) == ("Service factor", "assumed")
    assert item.address == "#" + anchor("engine.service_factor")
    assert item.address[1:] in {row.anchor for row in shown.engine_inputs}


def test_what_outranks_torque_stands_at_the_head() -> None:
    cautions = (Caution("coil_bind", "the springs go solid before full lift"),)
    shown, _ = page(cautions=cautions)
    assert shown.stopped[-1].word == "Won’t release"
    assert shown.stopped[-1].why == "The springs go solid before full lift"
    assert all(item.word != "Won’t release" for item in page()[0].stopped)


def test_both_intervals_are_shown_and_a_difference_is_said() -> None:
    shown, result = page(draws=200_000)
    assert result.drawn is not None
    assert len(shown.intervals) == 2
    assert "200" in shown.intervals[1].label
    assert bool(shown.differs) == (result.drawn.agrees is False)
    assert not any("trust the drawn" in text for text in shown.interval_says)
    agreed = replace(result.drawn, agrees=True)
    shown, _ = page(drawn=agreed, cautions=())
    assert "agree within a tenth" in shown.interval_says[0]


def test_the_input_to_measure_next_has_the_largest_share() -> None:
    shown, result = page()
    assert result.measure_next is not None
    assert shown.measure_next.startswith("Friction coefficient, oiled, sliding: listed, and 90")
    assert shown.measure_address == shown.shares[0].address


def test_heavy_says_by_how_much() -> None:
    assert page()[0].heavy == ""
    shown, _ = page(("Reed 9 disc", "Fen 110"))
    assert "above the limit of 3" in shown.heavy


def test_all_states_are_linked_and_this_one_is_marked() -> None:
    shown, _ = page(view=BoardView(wear_mm=None))
    assert [label for label, _ in shown.states] == [
        "Oiled, sliding",
        "Oiled, static",
        "Dry, sliding",
        "Dry, static",
    ]
    here = [cell for _, cells in shown.states for cell in cells if cell.here]
    assert [cell.verdict for cell in here] == [shown.verdict]
    assert shown.states[2][1][0].address.endswith("?lubrication=dry")
