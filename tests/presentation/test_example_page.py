"""The worked example is worked out, and tells the story that its page tells."""

import math

import pytest

from app.presentation import example_shop as shop
from app.presentation.example_page import example_page
from app.presentation.numbers import NBSP

# By hand: 10 faces, 5 springs of 24.5 N/mm pressed by 7.8 mm, mean radius (108 + 86)/4 mm.
TORQUE_PER_MU = 10 * (5 * 24.5 * 7.8) * 48.5 / 1000


def test_the_torques_are_those_of_a_hand_calculation() -> None:
    view = example_page()
    _, available, required, _ = view.cell.readouts
    assert float(available.text) == pytest.approx(0.12 * TORQUE_PER_MU, abs=0.05)
    assert float(required.text) == pytest.approx(10.2 * 66 / 20 * 0.97 * 1.5, abs=0.05)
    assert [step.label for step in view.steps] == [
        "Working faces",
        "Effective radius",
        "Clamp load",
        "Available torque",
        "Torque at the clutch",
        "Required torque",
    ]


def test_the_friction_is_that_of_the_readings() -> None:
    view = example_page()
    torques = [nm for run in shop.READINGS_NM for nm in run]
    # With alike loads the proportional law's fit is the geometric mean.
    mu = math.exp(sum(map(math.log, torques)) / len(torques)) / TORQUE_PER_MU
    value, _, std = view.mu.partition(" ± ")
    assert float(value) == pytest.approx(mu, abs=1e-4)
    # The wrench's limit of 4 % alone is 2.3 % as a standard uncertainty.
    assert 0.023 < float(std) / mu < 0.04
    low, high = map(float, view.mu_span.split(" to "))
    assert low < mu < high


def test_the_pack_meant_for_the_engine_is_tight_until_it_is_tested() -> None:
    view = example_page()
    assert [line.verdict for line in view.board] == ["holds", "tight", "slips"]
    assert [line.name for line in view.board] == [engine.name for engine in shop.ENGINES]
    assert (view.cell.verdict, view.after.verdict) == ("tight", "holds")
    assert view.cell.measure_next.startswith("Friction coefficient")
    assert view.after.measure_next.startswith("Rate of one spring")
    assert view.board_after[0].verdict == view.board_after[1].verdict == "holds"


def test_the_plan_stays_within_the_wrench() -> None:
    view = example_page()
    chosen = [row for row in view.plan.cases if row.chosen]
    assert [row.springs for row in chosen] == ["5"]
    assert not chosen[0].over


def test_the_order_is_reckoned_from_the_offer() -> None:
    price = shop.OFFER.price or 0.0
    told = f"{shop.PIECES} × {price:.2f} EUR = {shop.PIECES * price:.2f} EUR"
    assert example_page().order.replace(NBSP, " ") == told


def test_every_figure_that_was_typed_shows_a_doubt_or_is_counted() -> None:
    view = example_page()
    for part in view.sheet:
        for line in part.lines:
            assert "±" in line.text or "not said" not in line.origin
