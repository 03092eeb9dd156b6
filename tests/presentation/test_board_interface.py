from dataclasses import replace
from typing import Any

import numpy as np

from app.comparison.board import Board, EngineEntry, PackEntry, work_out_cells
from app.comparison.board_view import BoardView, Order
from app.mechanics.inputs import EngineInputs, MeasuredTorque, Quantity
from app.presentation.board_interface import board_answer
from tests.mechanics.samples import coil_pack, load_pack

ENGINE = EngineInputs(name="E", torque=MeasuredTorque(Quantity(20.0, plus_minus=0.5)))


def made(view: BoardView, first: int, found: int) -> Board:
    packs = (
        PackEntry("p1", 1, "One", coil_pack()),
        PackEntry("p2", 5, "Two", load_pack()),  # geared, and the engine has no gear
    )
    engines = (EngineEntry("e1", 2, "E", ENGINE),)
    cells = work_out_cells([p.inputs for p in packs], [ENGINE], view.state)
    return Board(
        view=view,
        order=Order(),
        heavy_above=3.0,
        revision=9,
        packs=packs,
        engines=engines,
        cells=cells,
        found=found,
        all_packs=found,
        all_engines=engines,
        first=first,
        engines_found=1,
    )


def answer(view: BoardView | None = None, first: int = 0, found: int = 2) -> dict[str, Any]:
    return board_answer(made(view or BoardView(), first, found))


def test_cells_stand_row_by_row_with_their_own_figures() -> None:
    board = made(BoardView(), 0, 2)
    known, unknown = board_answer(board)["cells"]
    assert (known["pack"], known["engine"]) == ("p1", "e1")
    assert known["capacity_nm"]["value"] == board.cells.available.value[0, 0]
    assert known["ratio"]["high"] == board.cells.figures.high[0, 0]
    assert unknown["pack"] == "p2"
    assert unknown["verdict"] == "unknown"
    assert unknown["ratio"] is None
    assert unknown["missing"] == ["engine.primary_ratio"]


def test_figures_beyond_the_range_of_numbers_are_null() -> None:
    board = made(BoardView(), 0, 2)
    figures = replace(board.cells.figures, p_slip=np.array([[np.inf], [np.nan]]))
    cells = board_answer(replace(board, cells=replace(board.cells, figures=figures)))["cells"]
    assert [cell["p_slip"] for cell in cells] == [None, None]


def test_the_page_that_follows_keeps_the_view() -> None:
    view = BoardView(friction="static", per=2, page=2)
    found = answer(view, first=2, found=5)
    assert found["page"] == 2
    assert found["next"] == "/api/v1/board?friction=static&page=3&per=2"
    assert answer(view, first=2, found=4)["next"] is None
    assert answer()["page"] == 1


def test_the_state_is_told_as_it_was_asked_for() -> None:
    state = answer(BoardView(wear_mm=None, lubrication="dry", speed_rpm=4000.0))["state"]
    assert state["wear_mm"] is None
    assert state["lubrication"] == "dry"
    assert state["speed_rpm"] == 4000.0
