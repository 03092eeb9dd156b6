"""One list of columns: the CSV and the tables on pages say the same."""

import math
from datetime import UTC, datetime

import numpy as np

from app.comparison.board import Board
from app.comparison.board_view import BoardView
from app.comparison.cell import evaluate
from app.comparison.failed_checks import failed_checks
from app.presentation.board_csv import board_csv
from app.presentation.columns import (
    BY_NAME,
    COLUMNS,
    RUN_COLUMNS,
    cell_table,
    missing_words,
)
from app.presentation.csv_reading import parse_csv
from app.presentation.facts import board_facts
from app.services.comparing import cells_of
from tests.shop import shop_board

AT = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)


def written(board: Board) -> list[dict[str, str]]:
    return parse_csv("".join(board_csv(board, cells_of, AT, "1.2.3")).encode())


def test_names_are_given_once_and_name_their_unit() -> None:
    names = [*(column.csv_name for column in COLUMNS), *RUN_COLUMNS]
    assert len(names) == len(set(names)) == len(written(shop_board())[0])
    assert names[:3] == ["pack_id", "pack_version", "pack_name"]
    assert all(n.endswith("_N_m") for n in names if n.startswith("torque"))


def test_every_row_reads_back_as_evaluate_s_own_figures() -> None:
    board = shop_board(BoardView(wear_mm=None))
    rows = written(board)
    assert len(rows) == len(board.packs) * len(board.engines)
    known = 0
    for n, row in enumerate(rows):
        pack = board.packs[n // len(board.engines)]
        engine = board.engines[n % len(board.engines)]
        one = evaluate(pack.inputs, engine.inputs, board.view.state)
        assert (row["pack_id"], row["engine_id"]) == (pack.public_id, engine.public_id)
        assert row["verdict"] == one.verdict
        assert row["missing"] == " ".join(one.missing)
        assert row["heavy"] == ("true" if one.heavy else "false")
        carried = np.array([[math.nan if one.capacity is None else one.capacity.value]])
        failed = failed_checks([pack.inputs], [engine.inputs], board.view.state, carried)
        assert row["failed_checks"] == " ".join(failed.get((0, 0), ()))
        if one.ratio is None or one.capacity is None or one.required is None:
            assert row["ratio"] == row["ratio_low"] == row["p_slip"] == ""
            continue
        known += 1
        assert float(row["ratio"]) == one.ratio.value
        assert float(row["ratio_low"]) == one.ratio.low
        assert float(row["ratio_high"]) == one.ratio.high
        assert float(row["p_slip"]) == one.p_slip
        assert float(row["torque_available_N_m"]) == one.capacity.value
        assert float(row["torque_available_low_N_m"]) == one.capacity.low
        assert float(row["torque_available_std_N_m"]) == one.capacity.std
        assert float(row["torque_required_N_m"]) == one.required.value
        assert float(row["torque_required_high_N_m"]) == one.required.high
    assert known > 20


def test_each_row_says_its_state_its_friction_and_its_run() -> None:
    row = written(shop_board(BoardView("oiled", "static", 0.3, speed_rpm=6000.0)))[0]
    assert (row["lubrication"], row["friction"], row["wear"]) == ("oiled", "static", "stated")
    assert (float(row["wear_mm"]), float(row["speed_rpm_r_min"])) == (0.3, 6000.0)
    assert (row["exported_at_utc"], row["app_version"]) == (AT.isoformat(), "1.2.3")
    assert float(row["mu"]) > 0
    assert float(row["mu_u"]) > 0
    assert row["mu_how"] == "listed"
    assert row["mu_source"] != ""


def test_a_table_on_a_page_takes_its_headings_and_texts_from_the_same_list() -> None:
    board = shop_board(BoardView(unit="lbf_ft"))
    cells = board_facts(board)[0]
    table = cell_table(cells, ("torque_available_N_m", "ratio", "p_slip"), board.view)
    assert table.heads == (("Available", "lbf·ft"), ("Ratio", ""), ("Chance of falling short", ""))
    assert len(table.rows) == len(cells)
    assert all(column.text is not None for column in BY_NAME.values() if column.heading)


def test_what_is_missing_is_said_once_in_words() -> None:
    assert missing_words(("pack.clamp", "pack.clamp")) == "clamp"
    assert missing_words(()) == ""


def test_a_worst_row_names_its_state_and_the_run_names_none() -> None:
    board = shop_board(BoardView(worst=("friction", "wear")))
    rows = written(board)
    assert {row["friction"] for row in rows} == {row["wear"] for row in rows} == {"worst"}
    assert {row["wear_mm"] for row in rows} == {""}
    assert {row["lubrication"] for row in rows} == {"oiled"}
    for row, cell in zip(rows, (c for cells in board_facts(board) for c in cells), strict=True):
        lubrication, friction, wear = row["state"].split()
        assert (lubrication, friction) == (cell.state.lubrication, cell.state.friction)
        assert wear == ("worn" if cell.state.wear_mm is None else "new")
    assert {row["state"] for row in written(shop_board())} == {""}


def test_friction_along_the_splines_is_a_fact_of_the_run() -> None:
    assert {row["spline_friction"] for row in written(shop_board())} == {""}
    lossy = written(shop_board(BoardView(spline_friction=0.1)))
    assert {row["spline_friction"] for row in lossy} == {"0.1"}
