"""Failed checks of many cells at once are those of the single cell."""

from dataclasses import replace

from app.comparison.checks import checks
from app.comparison.failed_checks import NAMES, failed_checks
from app.comparison.run import compare
from app.mechanics.inputs import (
    CentrifugalClamp,
    CoilClamp,
    EngineInputs,
    MeasuredTorque,
    PackInputs,
    Quantity,
    State,
)
from tests.comparison.test_checks import SPRING, pack_of
from tests.shop import shop

STATE = State()


def failed(packs, engines, state=STATE):
    return failed_checks(packs, engines, state, compare(packs, engines, state).capacity)


def one_by_one(pack: PackInputs, engine: EngineInputs, state: State) -> tuple[str, ...]:
    names = [NAMES[c.name.split(",")[0]] for c in checks(pack, engine, state)
             if c.outcome == "fail"]
    return tuple(dict.fromkeys(names))


def test_the_whole_shop_fails_what_its_single_cells_fail() -> None:
    packs, engines = ([entry.inputs for entry in side] for side in shop())
    for state in (STATE, State("dry", "static", None)):
        found = failed(packs, engines, state)
        for i, pack in enumerate(packs):
            for j, engine in enumerate(engines):
                assert found.get((i, j), ()) == one_by_one(pack, engine, state), (pack.name, j)
        assert len(set(found.values())) > 2


def test_several_failures_stand_in_the_order_in_which_they_stop_a_job() -> None:
    # 32 − 24 + 2 = 10 mm pressed at full lift would leave 22 mm; solid is at 14 mm. With a lift of
    # 11 mm the springs go solid, and the wire is far beyond its strength.
    wrong = pack_of(replace(SPRING, shim_mm=Quantity(9.5)), lift_mm=Quantity(3.0),
                    envelope_height_mm=Quantity(40.0), facing="cork")
    engine = EngineInputs(envelope_height_mm=Quantity(30.0))
    (names,) = failed([wrong], [engine]).values()
    assert names[:2] == ("bolts_up", "can_release")
    assert names == one_by_one(wrong, engine, STATE)


def test_groups_of_springs_are_named_once() -> None:
    weak = replace(SPRING, wire_mm=Quantity(1.2), rate_n_per_mm=Quantity(60.0))
    found = failed([pack_of(weak, weak)], [EngineInputs()])
    assert found[0, 0].count("spring_stress") == 1


def test_weights_press_with_what_each_engine_s_speed_gives() -> None:
    clamp = CentrifugalClamp(
        6, Quantity(60.0), Quantity(40.0), Quantity(30.0), Quantity(100.0))
    pack = replace(pack_of(), clamp=clamp, facing="cork")
    slow, fast = (EngineInputs(torque=MeasuredTorque(Quantity(10.0), Quantity(n)))
                  for n in (800.0, 12_000.0))
    found = failed([pack], [slow, fast])
    assert found == {(0, 1): ("facing_pressure",)}


def test_nothing_asked_fails_nothing() -> None:
    assert failed([], [EngineInputs()]) == {}
    assert failed([pack_of()], []) == {}
    assert failed([PackInputs()], [EngineInputs()]) == {}
    assert failed([PackInputs(clamp=CoilClamp())], [EngineInputs()]) == {}


def test_a_start_that_is_too_hot_stands_last() -> None:
    engine = EngineInputs(
        torque=MeasuredTorque(Quantity(10.0)), vehicle_mass_kg=Quantity(180.0),
        wheel_radius_m=Quantity(0.3), clutch_to_wheel_ratio=Quantity(9.0))
    strong = replace(pack_of(), friction={("oiled", "sliding"): Quantity(60.0)})
    assert failed([strong], [engine])[0, 0] == one_by_one(strong, engine, STATE)
    assert failed([strong], [engine])[0, 0][-1] == "launch_heat"
