"""Demand by displacement class, the largest class held, and sellers' claims."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from app.comparison.classes import (
    ClassRow,
    Demand,
    Held,
    class_of,
    classes_held,
    demand,
    held_of,
    judge_claim,
)

ROW = ClassRow(125.0, 4, 900.0, 1000.0, 3.0, 3.5, 1.5)


def test_demand_of_a_class() -> None:
    # 125 cm³ at 1000 kPa, four strokes: 9.947 N·m (recomputed from T = bmep V/(4π)).
    found = demand(ROW, "crankshaft")
    assert found.high_nm == pytest.approx(9.9471839 * 1.5, rel=1e-7)
    assert found.low_nm == pytest.approx(0.9 * 9.9471839 * 1.5, rel=1e-7)
    assert found.middle_nm == pytest.approx((found.low_nm + found.high_nm) / 2.0)
    geared = demand(ROW, "geared")
    assert geared.low_nm == pytest.approx(3.0 * found.low_nm)
    assert geared.high_nm == pytest.approx(3.5 * found.high_nm)


def test_a_two_stroke_fires_twice_as_often() -> None:
    two = demand(replace(ROW, strokes=2), "crankshaft")
    assert two.high_nm == pytest.approx(2.0 * demand(ROW, "crankshaft").high_nm)


@pytest.mark.parametrize(
    ("displacement", "bmep", "strokes", "torque"),
    [(250.0, 1050.0, 4, 20.8890861), (125.0, 900.0, 2, 17.9049311),
     (50.0, 550.0, 2, 4.3767609), (600.0, 1200.0, 4, 57.2957795)],
)
def test_torques_recomputed(displacement: float, bmep: float, strokes: Any, torque: float) -> None:
    row = ClassRow(displacement, strokes, bmep, bmep, 1.0, 1.0)
    assert demand(row, "geared").high_nm == pytest.approx(torque, rel=1e-8)


def largest_held(capacity: float, demands: list[Demand]) -> Held:
    whole, half = classes_held(np.array([capacity]), demands)
    return held_of(float(whole[0]), float(half[0]))


def classes(*sizes: float) -> list[Demand]:
    """Bands from 0.8 to 1.2 N·m a 10 cm³."""
    return [Demand(replace(ROW, displacement_cc=s), 0.08 * s, 0.1 * s, 0.12 * s) for s in sizes]


@pytest.mark.parametrize(
    ("capacity", "whole", "half"),
    [(5.0, None, 50.0), (6.0, 50.0, 50.0), (12.5, 100.0, 125.0), (15.0, 125.0, 125.0),
     (1.0, None, None), (100.0, 250.0, 250.0)],
)
def test_largest_class(capacity: float, whole: float | None, half: float | None) -> None:
    held = largest_held(capacity, classes(125.0, 50.0, 250.0, 100.0))
    assert (held.whole_cc, held.half_cc) == (whole, half)


def test_a_gap_is_not_passed_over() -> None:
    rows = classes(50.0, 100.0)
    rows.append(Demand(replace(ROW, displacement_cc=80.0), 1.0, 50.0, 60.0))
    assert largest_held(12.0, rows).whole_cc == 50.0
    # However many larger classes ask for less than the one in the gap.
    rows = classes(50.0, 100.0, 110.0, 120.0, 130.0)
    rows.append(Demand(replace(ROW, displacement_cc=80.0), 1.0, 50.0, 60.0))
    assert largest_held(20.0, rows).whole_cc == 50.0


@pytest.mark.parametrize("order", [1, -1])
def test_two_rows_of_one_size_must_both_be_held(order: int) -> None:
    rows = classes(50.0, 100.0)
    rows.append(Demand(replace(ROW, displacement_cc=100.0, strokes=2), 10.0, 14.0, 18.0))
    held = largest_held(13.0, rows[::order])
    assert (held.whole_cc, held.half_cc) == (50.0, 50.0)


def test_many_capacities_are_held_as_each_alone_and_an_unknown_one_holds_none() -> None:
    rows = classes(125.0, 50.0, 250.0, 100.0)
    capacities = np.array([1.0, 5.0, 6.0, 12.5, 15.0, 100.0, np.nan])
    whole, half = classes_held(capacities, rows)
    for i, capacity in enumerate(capacities[:-1]):
        held = largest_held(float(capacity), rows)
        assert held == Held(*(None if np.isnan(x[i]) else float(x[i]) for x in (whole, half)))
    assert np.isnan(whole[-1])
    assert np.isnan(half[-1])


@pytest.mark.parametrize(
    ("displacement", "size"),
    [(50.0, 50.0), (50.5, 100.0), (10.0, 50.0), (250.0, 250.0), (251.0, None)],
)
def test_a_displacement_belongs_to_the_smallest_class_not_below_it(
    displacement: float, size: float | None
) -> None:
    assert class_of(displacement, (250.0, 50.0, 100.0)) == size


SIZES = (200.0, 300.0, 400.0, 500.0)


@pytest.mark.parametrize(
    ("low", "high", "held", "claim"),
    [
        # 350 counts as 400, which is not held whole: what the table shows and the word agree.
        (200.0, 350.0, Held(300.0, 500.0), "partly"),
        (200.0, 350.0, Held(400.0, 500.0), "supported"),
        (200.0, 300.0, Held(300.0, 300.0), "supported"),
        (350.0, 200.0, Held(400.0, 400.0), "supported"),
        (250.0, 300.0, Held(None, 200.0), "not supported"),
        (250.0, 300.0, Held(None, 300.0), "partly"),
        (300.0, 300.0, Held(None, None), "not supported"),
        # An open claim goes to the end of the table.
        (None, 300.0, Held(300.0, 300.0), "supported"),
        (None, 300.0, Held(None, 200.0), "partly"),
        (300.0, None, Held(400.0, 500.0), "partly"),
        (300.0, None, Held(500.0, 500.0), "supported"),
        # Beyond the largest class nothing is known, so nothing is supported there.
        (300.0, 700.0, Held(500.0, 500.0), "partly"),
        (600.0, 700.0, Held(500.0, 500.0), "can't tell"),
        (600.0, None, Held(500.0, 500.0), "can't tell"),
        (600.0, 700.0, Held(300.0, 400.0), "not supported"),
        (None, None, Held(500.0, 500.0), "can't tell"),
        (200.0, 300.0, None, "can't tell"),
    ],
)
def test_claims(low: float | None, high: float | None, held: Held | None, claim: str) -> None:
    assert judge_claim(low, high, held, SIZES) == claim
    assert judge_claim(low, high, held, SIZES[::-1]) == claim
