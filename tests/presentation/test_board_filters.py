"""The filter form, drawn from a view or just as it was sent."""

import pytest

from app.comparison.board_query import read_view
from app.comparison.board_view import BoardView
from app.errors import Problem
from app.presentation.board_filters import FilterForm, form_as_sent, form_of_view
from tests.shop import shop

ENGINES = shop()[1]


def sent_by(form: FilterForm) -> list[tuple[str, str]]:
    """What a browser sends of the form."""
    pairs = [("wear" if name == "wear_mm" else name, text) for name, text in form.raw.items()]
    return pairs + [(name, value) for name, values in form.ticked.items() for value in values]


@pytest.mark.parametrize(
    "view",
    [
        BoardView(),
        BoardView("dry", "static", None, "uniform_pressure", 6500.0, q="six"),
        BoardView(wear_mm=0.4, mounting="geared", heavy_above=2.5, engines=("e0", "e2")),
        BoardView(verdicts=("tight", "slips")),
    ],
)
def test_the_form_of_a_view_asks_for_that_view(view: BoardView) -> None:
    assert read_view(sent_by(form_of_view(view, ENGINES, 3.0))) == view


def test_settings_in_use_are_not_folded_away() -> None:
    assert not form_of_view(BoardView(q="six", wear_mm=None), ENGINES, 3.0).more_open
    assert not form_of_view(BoardView(verdicts=("holds",)), ENGINES, 3.0).more_open
    for view in (
        BoardView(wear_mm=0.4),
        BoardView(mounting="geared"),
        BoardView(heavy_above=2.0),
    ):
        assert form_of_view(view, ENGINES, 3.0).more_open


def test_what_was_typed_comes_back_as_typed() -> None:
    pairs = [
        ("wear", "new"),
        ("wear", "0,4 furlong"),
        ("speed_rpm", " 6k "),
        ("q", "six"),
        ("engine", "e1"),
        ("verdict", "holds"),
    ]
    form = form_as_sent(
        pairs, [Problem("wear", "Write it."), Problem("speed_rpm", "Write.")], ENGINES, 3.0
    )
    assert form.raw["wear_mm"] == "0,4 furlong"
    assert form.raw["speed_rpm"] == " 6k "
    assert form.ticked == {"engine": ("e1",), "verdict": ("holds",)}
    assert form.message_for("wear_mm") == "Write it."
    assert form.message_for("q") is None
    assert form.more_open


def test_the_word_for_a_stated_wear_is_there_only_while_it_is_in_use() -> None:
    assert [k for k, _ in form_of_view(BoardView(), ENGINES, 3.0).wears] == ["new", "worn"]
    stated = form_of_view(BoardView(wear_mm=0.4), ENGINES, 3.0)
    assert [k for k, _ in stated.wears] == ["new", "worn", "stated"]
