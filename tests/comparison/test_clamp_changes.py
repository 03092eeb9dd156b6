"""Changes of each kind of clamp, and the wear that lets a clamp fall to a given load."""

import math
from dataclasses import replace

import pytest

from app.comparison.change_step import Step
from app.comparison.clamp_changes import clearing_wear, steps, unit_clamp
from app.mechanics.disc_spring import disc_load
from app.mechanics.inputs import (
    CoilClamp,
    DiscClamp,
    DiscTableClamp,
    EngineInputs,
    LoadClamp,
    LoadPoint,
    MeasuredTorque,
    PackInputs,
    Quantity,
    State,
)
from app.mechanics.sides import engine_side, pack_side
from app.mechanics.stack import stack_engines, stack_packs
from tests.mechanics import samples

ENGINE = EngineInputs(torque=MeasuredTorque(Quantity(20.0), Quantity(6000.0)))
NEW, WORN = State(), State(wear_mm=0.6)
# 6 measured points of a disc that is stiff at first and then nearly flat.
TABLE = DiscTableClamp(
    tuple(LoadPoint(s, f) for s, f in ((0.5, 420.0), (1.0, 700.0), (1.5, 890.0), (2.0, 1000.0),
                                       (3.0, 1100.0), (4.0, 1060.0))), Quantity(2.0))
# With h0/t of 1.9 the load falls from h0 − t √((1.9² − 2)/3), 1.75 mm, to as far behind flat.
DISC = DiscClamp(Quantity(100.0), Quantity(60.0), Quantity(1.5), Quantity(2.85), Quantity(2.8))


def load(pack: PackInputs, state: State) -> float:
    speed = engine_side(stack_engines([ENGINE])).clutch_speed[0]
    return float(pack_side(stack_packs([pack], state), state, speed).clamp.value[0, 0])


def the_steps(pack: PackInputs, state: State, needed: float) -> dict[str, Step]:
    return {s.change: s for s in steps(pack, ENGINE, state, needed)}


def test_a_clamp_of_one_newton() -> None:
    for wear in (0.0, 3.0):
        pack = replace(samples.load_pack(), clamp=unit_clamp())
        assert load(pack, State(wear_mm=wear)) == 1.0


def test_each_kind_has_its_own_changes() -> None:
    kinds = {
        "shim_mm": samples.coil_pack(), "force_n": samples.load_pack(),
        "installed_deflection_mm": samples.disc_pack(clamp=DISC),
        "weight_mass_g": samples.weights_pack(mounting="crankshaft"),
    }
    assert [list(the_steps(p, NEW, 500.0)) for p in kinds.values()] == [
        ["shim_mm", "rate_n_per_mm"], ["force_n"], ["installed_deflection_mm"],
        ["weight_mass_g", "return_force_n"]]
    assert the_steps(samples.load_pack(clamp=None), NEW, 500.0) == {}


@pytest.mark.parametrize("state", [NEW, WORN], ids=["new", "worn"])
@pytest.mark.parametrize("factor", [0.8, 1.03])
@pytest.mark.parametrize(
    "pack",
    [samples.coil_pack(), samples.load_pack(), samples.disc_pack(clamp=DISC),
     samples.table_pack(clamp=TABLE), samples.weights_pack(mounting="crankshaft")],
    ids=["coil", "load", "disc", "table", "weights"],
)
def test_the_changed_clamp_presses_as_wanted(
    pack: PackInputs, factor: float, state: State
) -> None:
    needed = factor * load(pack, state)
    found = the_steps(pack, state, needed)
    assert found
    for step in found.values():
        assert step.clamp is not None
        assert load(replace(pack, clamp=step.clamp), state) == pytest.approx(needed, rel=1e-9)


def test_a_measured_load_is_stated_unworn() -> None:
    # 900 N at 60 N/mm, worn by 0.6 mm: 1000 N there are 1036 N new, 2.27 mm more compression.
    step = the_steps(samples.load_pack(), WORN, 1000.0)["force_n"]
    assert step.by == pytest.approx(136.0)
    assert step.consequences == (
        "clamp load 1036 N instead of 900 N, unworn",
        "2.27 mm more compression gives it at the recorded rate")


def test_the_nearest_of_two_deflections_is_taken() -> None:
    # The same load stands before and behind the top of the curve.
    step = the_steps(samples.disc_pack(clamp=DISC), NEW, load(samples.disc_pack(clamp=DISC), NEW))
    assert step["installed_deflection_mm"].by == pytest.approx(0.0, abs=1e-9)
    falling = the_steps(samples.disc_pack(clamp=DISC), NEW, 1.02 * load(
        samples.disc_pack(clamp=DISC), NEW))["installed_deflection_mm"]
    # Behind the top, less deflection presses harder.
    assert falling.by is not None
    assert -0.5 < falling.by < 0.0
    assert "less under the spring" in falling.consequences[0]


def test_a_load_above_the_top_of_the_curve_is_out_of_reach() -> None:
    step = the_steps(samples.disc_pack(clamp=DISC), NEW, 1e5)["installed_deflection_mm"]
    assert (step.by, step.clamp) == (None, None)
    assert step.why_not is not None
    beyond = the_steps(samples.table_pack(clamp=TABLE), NEW, 1101.0)["installed_deflection_mm"]
    assert beyond.clamp is None


def test_a_disc_that_new_is_pressed_past_flat_says_so() -> None:
    # Flat at 2 mm; with 1 mm of wear to make up for, the new pack is pressed beyond.
    stiff = replace(DISC, cone_height_mm=Quantity(2.0), installed_deflection_mm=Quantity(1.9))
    pack = samples.disc_pack(clamp=stiff)
    worn = State(wear_mm=1.0)
    flat = float(disc_load(1.5, 100.0, 60.0, 1.5, 2.0, 206000.0, 0.3))
    step = the_steps(pack, worn, flat)["installed_deflection_mm"]
    assert step.by == pytest.approx(0.6)
    assert any("past flat" in words for words in step.consequences)
    calm = the_steps(pack, worn, 0.9 * load(pack, worn))["installed_deflection_mm"]
    assert not any("past flat" in words for words in calm.consequences)


def test_weights_tell_where_they_bite() -> None:
    pack = samples.weights_pack(mounting="crankshaft")
    # F = 6 · 20 g · 45 mm · ω²/tan 35° at 6000 r/min.
    pull = 6 * 0.020 * 0.045 * (200 * math.pi) ** 2 / math.tan(math.radians(35.0))
    found = the_steps(pack, NEW, pull - 300.0)
    mass, springs = found["weight_mass_g"], found["return_force_n"]
    assert mass.by == pytest.approx(20.0 * (pull - 150.0) / pull - 20.0)
    assert springs.by == pytest.approx(150.0)
    before, after = (6000.0 * math.sqrt(back / pull) for back in (150.0, 300.0))
    assert f"from {after:.0f} r/min of its shaft on instead of {before:.0f} r/min" in (
        springs.consequences[1])
    weak = the_steps(pack, NEW, 1.01 * pull)["return_force_n"]
    assert weak.clamp is None
    assert weak.why_not is not None


@pytest.mark.parametrize(
    ("pack", "ratio", "wear"),
    [
        (samples.load_pack(), 1.2, 900.0 / 6.0 / 60.0),
        (samples.load_pack(clamp=LoadClamp(Quantity(900.0))), 1.2, None),
        (samples.table_pack(clamp=TABLE), 1000.0 / 890.0, 0.5),  # down to the point at 1.5 mm
        (samples.table_pack(clamp=TABLE), 3.0, None),  # below the lowest point
        (samples.weights_pack(), 1.2, None),
        (samples.load_pack(clamp=CoilClamp((replace(
            samples.GIVEN_SPRING, rate_n_per_mm=Quantity(10.0)),))), 2.0, 4.0),
    ],
    ids=["load", "no rate", "table", "below the table", "weights", "coils"],
)
def test_wear_that_clears_the_margin(pack: PackInputs, ratio: float, wear: float | None) -> None:
    found = clearing_wear(pack, NEW, ratio)
    assert found == (None if wear is None else pytest.approx(wear, rel=1e-9))


def test_a_disc_spring_gains_before_it_loses() -> None:
    # At 2.8 mm, behind the top of the curve, wear first raises the load.
    pack = samples.disc_pack(clamp=DISC)
    found = clearing_wear(pack, NEW, 1.05)
    assert found is not None
    fresh = load(pack, NEW)
    assert load(pack, State(wear_mm=0.3)) > fresh
    assert load(pack, State(wear_mm=found)) == pytest.approx(fresh / 1.05, rel=1e-9)
    walk = [load(pack, State(wear_mm=found * i / 200.0)) for i in range(200)]
    assert min(walk) >= fresh / 1.05


def test_a_disc_pressed_past_flat_loses_on_the_way_back() -> None:
    # Past flat the load rises again; from there the first fall lies before flat is reached.
    pack = samples.disc_pack(clamp=replace(DISC, installed_deflection_mm=Quantity(5.5)))
    found = clearing_wear(pack, NEW, 1.1)
    assert found is not None
    assert 5.5 - found > 2.85
    assert load(pack, State(wear_mm=found)) == pytest.approx(load(pack, NEW) / 1.1, rel=1e-9)
