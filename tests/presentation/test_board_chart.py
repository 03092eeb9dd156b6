"""The chart of available against required torque."""

import json
from dataclasses import replace
from typing import Any

import plotly.graph_objects as go
import pytest

from app.comparison.board_view import BoardView
from app.comparison.cell import Reading
from app.presentation.board_chart import ChartView, torque_chart
from app.presentation.board_failed import chip_of
from app.presentation.facts import CellFacts, board_facts
from tests.shop import shop_board


def cells_of_engine(name: str = "Carr 250") -> list[CellFacts]:
    return [cell for row in board_facts(shop_board()) for cell in row if cell.engine.name == name]


def drawn(cells: list[CellFacts], view: BoardView | None = None) -> ChartView:
    return torque_chart("engine", cells, view or BoardView(), "oiled, sliding, new")


def coloured(value: Any) -> Any:
    """The figure as the browser has it, its roles replaced by colours."""
    text = json.dumps(value, allow_nan=False)
    for role in ("available", "required", "ink", "limit"):
        text = text.replace(f'"@{role}"', '"#000000"')
    assert '"@' not in text
    return json.loads(text)


@pytest.mark.parametrize("view", [BoardView(), BoardView(unit="lbf_ft")])
def test_the_library_takes_the_figure(view: BoardView) -> None:
    spec = coloured(drawn(cells_of_engine(), view).spec)
    go.Figure(data=spec["traces"], layout=spec["layout"])


def test_zero_is_on_the_axis_and_every_whisker_ends_inside_it() -> None:
    spec = drawn(cells_of_engine()).spec
    low, high = spec["layout"]["xaxis"]["range"]
    assert low == 0
    for trace in spec["traces"]:
        for x, up, down in zip(
            trace["x"], trace["error_x"]["array"], trace["error_x"]["arrayminus"], strict=True
        ):
            assert 0 <= x - down <= x <= x + up <= high


def test_the_points_are_the_board_s_figures() -> None:
    cells = cells_of_engine()
    _, available = drawn(cells).spec["traces"]
    assert available["x"] == [c.available.value for c in cells if c.available]
    assert len(available["marker"]["symbol"]) == len(available["x"])


def test_each_row_has_its_verdict_as_a_word() -> None:
    chart = drawn(cells_of_engine())
    for label, cell in zip(
        chart.spec["layout"]["yaxis"]["ticktext"], cells_of_engine(), strict=True
    ):
        assert f"<br>{chip_of(cell.verdict, cell.failed).word}" in label


def test_a_pack_that_fails_a_check_is_neither_marked_nor_counted_as_holding() -> None:
    cell = next(c for c in cells_of_engine() if c.verdict == "holds" and not c.failed)
    fails = replace(cell, failed=("bolts_up",))
    chart = drawn([cell, fails])
    assert "the verdict is holds for 2, of which 1 won’t bolt up." in chart.says
    _, available = chart.spec["traces"]
    assert available["marker"]["symbol"] == ["circle", "x"]
    assert available["marker"]["color"] == ["@available", "@limit"]
    label = chart.spec["layout"]["yaxis"]["ticktext"][1].split("<br>")[1]
    assert label.startswith("Won’t bolt up ")
    assert [chip.word for chip in chart.chips] == ["Holds", "Won’t bolt up"]


def test_one_required_torque_is_a_dashed_line_with_its_label() -> None:
    geared = [c for c in cells_of_engine() if c.pack.inputs.mounting == "geared"]
    (line,) = drawn(geared).spec["layout"]["shapes"]
    assert line["line"]["dash"] == "dash"
    assert line["label"]["text"].startswith("required ")
    assert drawn(cells_of_engine()).spec["layout"]["shapes"] == []


def test_the_sentence_counts_the_verdicts_and_names_the_extremes() -> None:
    cells = cells_of_engine()
    chart = drawn(cells)
    best = max((c for c in cells if c.ratio), key=lambda c: c.ratio.value if c.ratio else 0)
    assert f"Of {len(cells)} packs shown" in chart.says
    assert f"holds for {sum(c.verdict == 'holds' for c in cells)}" in chart.says
    assert f"with {best.pack.name}" in chart.says


def test_the_table_has_a_row_for_every_row_of_the_chart() -> None:
    chart = drawn(cells_of_engine())
    assert len(chart.table.rows) == len(chart.names) == len(chart.verdicts) == 21


def test_markup_in_a_name_is_made_plain() -> None:
    cell = cells_of_engine()[0]
    named = replace(cell, pack=replace(cell.pack, name="<b>Six</b> &lt;7 & more"))
    (label,) = drawn([named]).spec["layout"]["yaxis"]["ticktext"]
    assert label.startswith("‹b›Six‹/b› ＆lt;7 & more")


def test_a_figure_beyond_all_bounds_is_left_out() -> None:
    cell = cells_of_engine()[0]
    wild = replace(cell, available=Reading(1e308, 1e308, 0.0, float("inf")))
    json.dumps(drawn([wild]).spec, allow_nan=False)


def test_a_pack_is_drawn_with_its_engines() -> None:
    row = board_facts(shop_board())[3]
    chart = torque_chart("pack", row, BoardView(), "oiled")
    assert chart.row_heading == "Engine"
    assert chart.names == tuple(c.engine.name for c in row)
    assert chart.title.startswith(row[0].pack.name)
