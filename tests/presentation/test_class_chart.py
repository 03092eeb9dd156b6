"""The chart of classes: bands, lines and their names at the right."""

from itertools import pairwise

import pytest

from app.comparison.class_board import ClassBoard
from app.presentation.class_chart import LABEL_ROOM, MOST_LINES, class_chart
from tests.presentation.test_classes_page import board, entry


def drawn(found: ClassBoard) -> dict:
    places = found.standing("geared").tolist()
    return class_chart(found.demands["geared"], found.rows(places), "nm")


@pytest.mark.parametrize("clamps", [
    [1000.0 + n for n in range(5)],
    [2000.0 + n for n in range(MOST_LINES)],
    [1.0 + n for n in range(MOST_LINES)],
])
def test_names_do_not_lie_on_each_other_nor_leave_the_chart(clamps: list[float]) -> None:
    layout = drawn(board(*(entry(f"Pack {n}", f) for n, f in enumerate(clamps))))["layout"]
    top = layout["yaxis"]["range"][1]
    heights = sorted(note["ay"] for note in layout["annotations"])
    assert min(b - a for a, b in pairwise(heights)) >= 0.999 * LABEL_ROOM * top
    assert heights[0] > 0.0
    assert heights[-1] < top


def test_a_name_stands_right_of_its_line_and_is_led_to_it() -> None:
    found = board(entry("Strong", 1500.0), entry("Weak", 300.0))
    spec = drawn(found)
    assert spec["layout"]["margin"]["r"] > 60
    for note, line in zip(spec["layout"]["annotations"], spec["traces"][2:], strict=True):
        assert (note["x"], note["xref"], note["xanchor"]) == (1.0, "paper", "left")
        assert note["text"] == line["name"]
        assert note["y"] == line["y"][0] == line["y"][1]
        assert note["ay"] == note["y"]
        assert note["font"]["color"] == line["line"]["color"]


def test_without_packs_the_bands_stand_alone_with_no_margin_for_names() -> None:
    spec = drawn(board())
    assert len(spec["traces"]) == 2
    assert spec["layout"]["margin"]["r"] == 12.0


def test_every_class_has_its_place_and_its_name() -> None:
    axis = drawn(board())["layout"]["xaxis"]
    assert axis["ticktext"][0] == "50"
    assert len(axis["tickvals"]) == len(axis["ticktext"])
    assert axis["range"] == [-0.6, len(axis["tickvals"]) - 0.4]
