"""A view and its address say the same."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.comparison.board_query import CELL_NAMES, read_view
from app.comparison.board_view import BoardView, Order
from app.mechanics.inputs import State

IDS = st.text("23456789abcdefghjkmnpqrstuvwxyz", min_size=10, max_size=10)
SEARCHES = st.text(min_size=1, max_size=40).map(lambda t: " ".join(t.split()))
VIEWS = st.builds(
    BoardView,
    lubrication=st.sampled_from(["oiled", "dry"]),
    friction=st.sampled_from(["sliding", "static"]),
    wear_mm=st.one_of(st.none(), st.just(0.0), st.floats(1e-6, 50.0).map(lambda x: round(x, 6))),
    radius=st.sampled_from(["uniform_wear", "uniform_pressure"]),
    speed_rpm=st.one_of(st.none(), st.integers(1, 20000).map(float)),
    q=st.one_of(st.just(""), SEARCHES),
    mounting=st.sampled_from([None, "crankshaft", "geared"]),
    packs=st.lists(IDS, max_size=3, unique=True).map(tuple),
    engines=st.lists(IDS, max_size=3, unique=True).map(tuple),
    verdicts=st.lists(
        st.sampled_from(["holds", "tight", "slips", "unknown"]), max_size=4, unique=True
    ).map(tuple),
    order=st.one_of(
        st.none(),
        st.builds(Order, st.sampled_from(["name", "capacity"]), st.none(), st.booleans()),
        st.builds(Order, st.just("margin"), IDS, st.booleans()),
    ),
    unit=st.sampled_from(["nm", "lbf_ft"]),
    heavy_above=st.one_of(st.none(), st.integers(1, 50).map(lambda n: n / 4)),
    page=st.one_of(st.none(), st.integers(2, 500)),
    per=st.sampled_from([10, 50, 200]),
    chart=st.one_of(st.none(), st.tuples(st.sampled_from(["engine", "pack"]), IDS)),
)


@given(VIEWS)
def test_the_address_of_a_view_asks_for_that_view(view: BoardView) -> None:
    assert read_view(view.pairs()) == view


@given(VIEWS)
def test_a_cell_is_asked_for_in_the_view_s_own_state(view: BoardView) -> None:
    asked = read_view(view.state_pairs(), CELL_NAMES)
    assert asked.state == view.state
    assert (asked.unit, asked.heavy_above) == (view.unit, view.heavy_above)


def test_the_usual_view_has_no_query() -> None:
    assert BoardView().address() == "/"
    assert BoardView().cell_address("p1", "e1") == "/cell/p1/e1"
    assert BoardView(wear_mm=None).cell_address("p1", "e1") == "/cell/p1/e1?wear=worn"


@pytest.mark.parametrize(
    ("change", "page"),
    [
        ({"order": Order("capacity")}, None),
        ({"q": "six"}, None),
        ({"unit": "lbf_ft"}, 4),
        ({"chart": ("engine", "e1")}, 4),
        ({"page": 2}, 2),
    ],
)
def test_other_packs_are_shown_from_page_one(change: dict[str, Any], page: int | None) -> None:
    assert BoardView(page=4).but(**change).page == page


def test_the_state_is_the_one_asked_for() -> None:
    view = BoardView("dry", "static", None, "uniform_pressure", 6000.0)
    assert view.state == State("dry", "static", None, "uniform_pressure", 6000.0)
    assert BoardView(wear_mm=0.4).wear == "0.4"


def test_a_view_in_one_state_varies_nothing() -> None:
    view = BoardView(worst=("lubrication", "wear"), radius="uniform_pressure", unit="lbf_ft")
    one = view.in_state(view.states[-1])
    assert one == BoardView("dry", wear_mm=None, radius="uniform_pressure", unit="lbf_ft")
    assert one.states == (one.state,)
    # A cell has one state, so what is varied stays out of its address.
    assert "worst" not in view.cell_query
