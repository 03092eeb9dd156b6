"""Laws of the demand by class and of claims."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from app.comparison.classes import ClassRow, classes_held, demand, held_of, judge_claim
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
    found = classes_held(np.array([capacity, capacity + more]), demands)
    whole, half = (np.nan_to_num(figures, nan=-np.inf) for figures in found)
    assert whole[0] <= whole[1]
    assert half[0] <= half[1]
    # The whole band includes its lighter half.
    assert whole[0] <= half[0]


def judged(classes: list[ClassRow], low: float, high: float, capacity: float) -> str:
    demands = [demand(row, "geared") for row in classes]
    whole, half = classes_held(np.array([capacity]), demands)
    held = held_of(float(whole[0]), float(half[0]))
    return judge_claim(low, high, held, [row.displacement_cc for row in classes])


ORDER = ["not supported", "partly", "supported"]


@given(st.lists(rows(), min_size=1, max_size=8), st.data(), st.floats(0.0, 400.0))
def test_a_claim_within_the_classes_is_judged_by_what_is_held(
    classes: list[ClassRow], data: st.DataObject, capacity: float
) -> None:
    largest = max(row.displacement_cc for row in classes)
    one, other = (data.draw(st.floats(1.0, largest)) for _ in range(2))
    claim = judged(classes, one, other, capacity)
    assert claim == judged(classes, other, one, capacity)
    least = judged(classes, min(one, other), min(one, other), capacity)
    # A narrower claim is never judged worse, nor is a stronger pack.
    assert ORDER.index(least) >= ORDER.index(claim)
    assert ORDER.index(judged(classes, one, other, 1.5 * capacity)) >= ORDER.index(claim)
    # Supported is the same as: every class up to that of the largest claimed size is held whole.
    sizes = sorted({row.displacement_cc for row in classes})
    most = next(size for size in sizes if size >= max(one, other))
    asked = [demand(r, "geared").high_nm for r in classes if r.displacement_cc <= most]
    assert (claim == "supported") == (capacity >= max(asked))
