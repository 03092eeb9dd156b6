"""The load of a disc spring over its deflection, and the points where it works."""

import numpy as np
import pytest

from app.comparison.checks import checks
from app.comparison.disc_curve import disc_curve
from app.mechanics.disc_spring import disc_load
from app.mechanics.inputs import (
    CoilClamp,
    DiscClamp,
    DiscTableClamp,
    LoadPoint,
    PackInputs,
    Quantity,
    State,
)

DISC = DiscClamp(
    Quantity(100.0), Quantity(60.0), Quantity(2.0), Quantity(3.4), Quantity(2.6), in_parallel=2,
)


def pack(clamp, lift=0.6, wear=1.0):
    return PackInputs(name="d", clamp=clamp, lift_mm=Quantity(lift),
                      stack_wear_limit_mm=Quantity(wear))


def test_the_curve_is_the_formula_from_nothing_to_flat():
    curve = disc_curve(pack(DISC), 35)
    assert curve.deflection[0] == 0.0
    assert curve.deflection[-1] == 3.4
    expected = [2 * disc_load(s, 100.0, 60.0, 2.0, 3.4, 206000.0, 0.3) for s in curve.deflection]
    assert curve.load == pytest.approx(expected, rel=1e-12)


def test_working_points_lie_at_new_worn_and_lifted():
    found = {p.name: p for p in disc_curve(pack(DISC)).points}
    assert found["new"].deflection_mm == 2.6
    assert found["worn"].deflection_mm == pytest.approx(1.6)
    assert found["lifted"].deflection_mm == pytest.approx(3.2)


def test_a_clamp_past_its_top_rises_with_wear():
    # With h0/t above √2 the load has a top before flat; past it less deflection means more load.
    soft = DiscClamp(Quantity(100.0), Quantity(60.0), Quantity(1.6), Quantity(3.4), Quantity(3.0))
    curve = disc_curve(pack(soft, lift=0.2))
    loads = {p.name: p.load_n for p in curve.points}
    assert loads["worn"] > loads["new"]
    assert curve.rises_with_wear
    stiff = DiscClamp(Quantity(100.0), Quantity(60.0), Quantity(3.0), Quantity(2.0), Quantity(1.5))
    assert not disc_curve(pack(stiff, lift=0.2)).rises_with_wear


def test_past_flat_there_is_no_point_and_the_release_fails():
    pressed = pack(DISC, lift=2.0)
    assert "lifted" not in {p.name for p in disc_curve(pressed).points}
    outcome = {c.name: c.outcome for c in checks(pressed, None, State())}
    assert outcome["can release"] == "fail"
    assert {c.name: c.outcome for c in checks(pack(DISC), None, State())}["can release"] == "pass"
    unknown = PackInputs(name="d", clamp=DISC)
    assert {c.name: c.outcome for c in checks(unknown, None, State())}["can release"] == "not known"


def test_a_measured_table_keeps_to_its_range():
    table = DiscTableClamp(
        tuple(LoadPoint(s, f) for s, f in ((0, 0), (1, 800), (2, 1300), (3, 1200))), Quantity(1.2))
    curve = disc_curve(pack(table, lift=1.0))
    assert (curve.deflection[0], curve.deflection[-1]) == (0.0, 3.0)
    assert np.interp(2.0, curve.deflection, curve.load) == pytest.approx(1300.0, rel=1e-3)
    assert "lifted" not in {p.name for p in disc_curve(pack(table, lift=2.5)).points}


def test_without_measures_or_discs_there_is_no_curve():
    assert disc_curve(pack(CoilClamp())) is None
    assert disc_curve(pack(DiscClamp())) is None
    assert disc_curve(pack(DiscTableClamp((LoadPoint(1.0, 5.0),), Quantity(1.0)))) is None
