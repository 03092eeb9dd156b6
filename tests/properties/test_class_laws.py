"""Laws of the demand by class and of claims."""

import math
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from app.comparison.classes import ClassRow, demand, judge_claim, largest_held
from app.mechanics.inputs import Mounting

sizes = st.floats(20.0, 1000.0)
mountings: st.SearchStrategy[Mounting] = st.sampled_from(["crankshaft", "geared"])


@st.composite
def rows(draw: st.DrawFn) -> ClassRow:
    low = draw(st.floats(300.0, 1500.0))
    ratio = draw(st.floats(1.0, 4.0))
    return ClassRow(
        draw(sizes), draw(st.sampled_from([2, 4])), low, low * draw(st.floats(1.0, 1.6)),
        ratio, ratio * draw(st.floats(1.0, 1.6)), draw(st.floats(1.0, 2.0)))


@given(rows(), mountings)
def test_a_band_is_in_order(row: ClassRow, mounting: Mounting) -> None:
    found = demand(row, mounting)
    assert 0.0 < found.low_nm <= found.middle_nm <= found.high_nm


@given(st.lists(rows(), min_size=1, max_size=12), mountings, st.floats(0.0, 400.0),
       st.floats(0.0, 400.0))
def test_more_capacity_never_holds_less(
    classes: list[ClassRow], mounting: Mounting, capacity: float, more: float
) -> None:
    demands = [demand(row, mounting) for row in classes]
    less, larger = largest_held(capacity, demands), largest_held(capacity + more, demands)

    def known(figure: float | None) -> float:
        return -math.inf if figure is None else figure

    assert known(less.whole_cc) <= known(larger.whole_cc)
    assert known(less.half_cc) <= known(larger.half_cc)
    # The whole band includes its lighter half.
    assert known(less.whole_cc) <= known(less.half_cc)


@given(rows(), mountings, sizes, sizes, st.floats(0.0, 400.0))
def test_a_supported_claim_is_at_least_partly_supported(
    row: ClassRow, mounting: Mounting, one: float, other: float, capacity: float
) -> None:
    claim = judge_claim(one, other, capacity, row, mounting)
    assert claim == judge_claim(other, one, capacity, row, mounting)
    least = judge_claim(min(one, other), min(one, other), capacity, row, mounting)
    if claim == "supported":
        assert least == "supported"
    if claim == "partly":
        assert least in ("partly", "supported")
    if claim == "not supported":
        assert least == "not supported"
    order = ["not supported", "partly", "supported"]
    assert order.index(judge_claim(one, other, 1.5 * capacity, row, mounting)) >= order.index(claim)


@given(rows(), mountings, sizes, sizes)
def test_the_ends_of_the_bands_decide(
    row: ClassRow, mounting: Mounting, one: float, other: float
) -> None:
    low, high = (demand(replace(row, displacement_cc=f(one, other)), mounting)
                 for f in (min, max))

    def judged(capacity: float) -> str:
        return judge_claim(one, other, capacity, row, mounting)

    assert judged(1.0001 * high.high_nm) == "supported"
    assert judged(0.9999 * high.high_nm) != "supported"
    assert judged(0.9999 * low.middle_nm) == "not supported"
    assert judged(1.0001 * low.middle_nm) != "not supported"
