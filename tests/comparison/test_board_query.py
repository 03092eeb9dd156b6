"""A query is read or refused, never guessed at."""

import pytest

from app.comparison.board_query import CELL_NAMES, read_view
from app.comparison.board_view import BoardView, Order
from app.errors import BadInput


def test_a_blank_query_is_the_usual_view() -> None:
    blank = [("q", " "), ("wear", ""), ("speed_rpm", ""), ("heavy_above", ""), ("mounting", "")]
    assert read_view(blank) == BoardView()


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("lubrication", "wet", "Write oiled or dry"),
        ("friction", "slide", "Write sliding or static"),
        ("radius", "mean", "uniform_wear or uniform_pressure"),
        ("mounting", "gear", "crankshaft or geared"),
        ("unit", "lb", "nm or lbf_ft"),
        ("wear", "old", "Write new, worn, or the wear"),
        ("wear", "-1", "0 mm or more"),
        ("wear", "stated", "in millimetres, such as 0.4"),
        ("speed_rpm", "fast", "Write a number in figures"),
        ("speed_rpm", "0", "above 0"),
        ("heavy_above", "-2", "above 0"),
        ("heavy_above", "1e999", "between -1e9 and 1e9"),
        ("page", "0", "whole number from 1"),
        ("page", "1.5", "whole number from 1"),
        ("per", "201", "from 1 to 200"),
        ("verdict", "maybe", "holds, tight, slips or unknown"),
        ("order", "margin", "name, capacity, price or margin"),
        ("order", "capacity:x", "name, capacity, price or margin"),
        ("order", "margin:<b>", "name, capacity, price or margin"),
        ("chart", "engine:", "engine:<id> or pack:<id>"),
        ("chart", "springs:x", "engine:<id> or pack:<id>"),
        ("pack", "../etc", "is not the id of a record"),
        ("engine", "A B", "is not the id of a record"),
        ("q", "x" * 201, "at most 200 characters"),
    ],
)
def test_what_cannot_be_read_is_named(name: str, text: str, told: str) -> None:
    with pytest.raises(BadInput) as refusal:
        read_view([(name, text)])
    (problem,) = refusal.value.problems
    assert problem.field == name
    assert told in problem.message


def test_a_setting_that_is_none_is_named_with_those_that_are() -> None:
    with pytest.raises(BadInput) as refusal:
        read_view([("colour", "red"), ("colour", "blue"), ("lubrication", "wet")])
    assert [p.field for p in refusal.value.problems] == ["", "lubrication"]
    assert "“colour” is no setting here" in refusal.value.problems[0].message
    assert "heavy_above" in refusal.value.problems[0].message


def test_a_cell_takes_the_state_only() -> None:
    with pytest.raises(BadInput, match="“q” is no setting here"):
        read_view([("q", "six")], CELL_NAMES)


def test_a_setting_given_twice_is_refused_but_not_one_that_may_repeat() -> None:
    with pytest.raises(BadInput, match="Give unit once"):
        read_view([("unit", "nm"), ("unit", "nm")])
    view = read_view([("pack", "a1"), ("pack", "a2"), ("pack", "a1"), ("verdict", "slips")])
    assert view.packs == ("a1", "a2")
    assert view.verdicts == ("slips",)


@pytest.mark.parametrize(
    ("pairs", "wear"),
    [
        ([("wear", "new")], 0.0),
        ([("wear", "worn")], None),
        ([("wear", "0,4")], 0.4),
        ([("wear", "0.02 in")], 0.508),
        ([("wear", "new"), ("wear", "")], 0.0),
        ([("wear", "worn"), ("wear", "0.4")], 0.4),
        ([("wear", "stated"), ("wear", "0.4")], 0.4),
    ],
)
def test_the_box_for_wear_goes_before_the_list(
    pairs: list[tuple[str, str]], wear: float | None
) -> None:
    assert read_view(pairs).wear_mm == wear


def test_two_wears_are_refused() -> None:
    with pytest.raises(BadInput, match="one wear of the stack"):
        read_view([("wear", "0.4"), ("wear", "0.5")])


@pytest.mark.parametrize(("texts", "worst"), [
    ((), ()), (("wear", "lubrication"), ("lubrication", "wear")),
    (("1",), ("lubrication", "friction", "wear")), (("wear", "wear"), ("wear",)),
])
def test_what_is_varied_has_one_order_and_one_address(
    texts: tuple[str, ...], worst: tuple[str, ...]
) -> None:
    view = read_view([("worst", text) for text in texts])
    assert view.worst == worst
    assert read_view(view.pairs()) == view
    assert len(view.states) == 2 ** len(worst)


def test_what_cannot_be_varied_is_refused() -> None:
    with pytest.raises(BadInput, match="Write lubrication, friction, wear, or 1"):
        read_view([("worst", "heat")])


def test_friction_along_the_splines_stays_with_the_cell() -> None:
    view = read_view([("spline_friction", "0,1")])
    assert view.state.spline_friction == 0.1
    assert view.cell_query == "?spline_friction=0.1"
    assert read_view(view.state_pairs(), CELL_NAMES).state == view.state
    with pytest.raises(BadInput, match="above 0"):
        read_view([("spline_friction", "0")])


def test_the_way_back_is_a_view_of_the_board_and_nothing_else() -> None:
    view = read_view([("wear", "worn"), ("from", "q=six&order=price&unit=nm")], CELL_NAMES)
    assert view.came_from == "q=six&order=price"
    assert view.cell_query == "?wear=worn&from=q%3Dsix%26order%3Dprice"
    for text in (
        "https://elsewhere.example/",
        "//elsewhere.example",
        "q=six&next=//elsewhere.example",
        "from=q%3Dsix",
        "wear=old",
        "q=" + "x" * 5000,
    ):
        assert read_view([("from", text)], CELL_NAMES).came_from == "", text


def test_only_a_cell_has_a_way_back() -> None:
    with pytest.raises(BadInput):
        read_view([("from", "q=six")])


def test_packs_can_be_ordered_by_price() -> None:
    assert read_view([("order", "price")]).order == Order("price")
    assert read_view([("order", "-price")]).order == Order("price", None, True)
