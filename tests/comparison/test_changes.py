"""Single changes that reach a wanted ratio, applied by hand and compared again."""

import math
from dataclasses import replace
from typing import Any

import pytest

from app.comparison.changes import Option, changes
from app.errors import BadInput
from app.mechanics.inputs import (
    CentrifugalClamp,
    CoilClamp,
    EngineInputs,
    LoadClamp,
    PackInputs,
    Quantity,
    SpringGroup,
    State,
)
from tests.comparison.applied import apply, ratio
from tests.mechanics import samples

NEW = State(speed_rpm=6000.0)
WORN = State(wear_mm=0.8, speed_rpm=6000.0)


def by_name(options: list[Option]) -> dict[str, Option]:
    assert len({o.change for o in options}) == len(options)
    return {o.change: o for o in options}


PACKS = {
    "coils": samples.coil_pack(), "two groups": samples.coil_pack(
        samples.POINT_SPRING, samples.GIVEN_SPRING, mounting="geared"),
    "load": samples.load_pack(), "disc": samples.disc_pack(), "table": samples.table_pack(),
    "weights": samples.weights_pack(), "weights on the crank": samples.weights_pack(
        mounting="crankshaft"),
}


@pytest.mark.parametrize("state", [NEW, WORN], ids=["new", "worn"])
@pytest.mark.parametrize("factor", [0.7, 0.95, 1.04, 1.6])
@pytest.mark.parametrize("name", sorted(PACKS))
def test_every_option_gives_what_it_promises(name: str, factor: float, state: State) -> None:
    pack, engine = PACKS[name], samples.measured_engine()
    target = factor * ratio(pack, engine, state)
    options = changes(pack, engine, state, target)
    assert {"friction_plates", "friction", "primary_ratio"} < {o.change for o in options}
    tried = 0
    for option in options:
        if option.by is None:
            assert option.result_ratio is None
            assert not option.possible
            assert option.why_not
            continue
        assert option.possible == (option.why_not is None)
        assert option.result_ratio is not None
        tried += 1
        done = ratio(*apply(option, pack, engine, state), state)
        assert done == pytest.approx(option.result_ratio, rel=1e-9)
        if option.change != "friction_plates":
            assert done == pytest.approx(target, rel=1e-9)
        else:
            assert done >= target * (1.0 - 1e-9)
    # A disc spring may reach its load at no deflection, and weights theirs with no return springs.
    assert tried >= 2


def geared(**changed: Any) -> EngineInputs:
    return EngineInputs(**{
        "torque": samples.MeasuredTorque(Quantity(10.0)), "primary_teeth": (20, 60), **changed})


def loaded(**changed: Any) -> PackInputs:
    """12 faces, μ 0.1, 1000 N, mean radius 50 mm: 60 N·m, for 30 N·m at the clutch."""
    return PackInputs(**{
        "friction_plates": 6, "facing_od_mm": Quantity(110.0), "facing_id_mm": Quantity(90.0),
        "mounting": "geared", "friction": {("oiled", "sliding"): Quantity(0.1)},
        "clamp": LoadClamp(Quantity(1000.0), Quantity(50.0)), **changed})


def test_the_figures_by_hand() -> None:
    found = by_name(changes(loaded(), geared(), State(), 2.5))
    assert found["force_n"].by == pytest.approx(250.0)
    assert found["force_n"].unit == "N"
    assert found["friction_plates"].by == 2.0  # 7.5 plates make 8
    assert found["friction_plates"].result_ratio == pytest.approx(2.0 * 8 / 6)
    assert found["friction"].by == pytest.approx(0.025)
    assert found["primary_ratio"].by == pytest.approx(3.0 * 2.0 / 2.5 - 3.0)


def test_whole_plates_that_fit_exactly_are_not_rounded_up() -> None:
    found = by_name(changes(loaded(), geared(), State(), 2.0 * 9 / 6))
    assert found["friction_plates"].by == 3.0


@pytest.mark.parametrize(
    ("surfaces", "target", "extra"),
    [(11, 1.925, 1.0), (11, 1.83, 0.0), (11, 2.5, 2.0), (11, 1.4, -1.0)],
)
def test_plates_with_a_stated_count_of_faces(
    surfaces: int, target: float, extra: float
) -> None:
    # 11 faces carry 55 N·m, a ratio of 1.8333; every plate adds or takes two faces.
    pack = loaded(surfaces=surfaces, surfaces_reason="one end plate is lined")
    option = by_name(changes(pack, geared(), State(), target))["friction_plates"]
    assert option.by == extra
    assert option.possible == (extra != 0.0)
    assert option.result_ratio is not None
    assert option.result_ratio >= target * (1.0 - 1e-9)


def test_at_least_one_plate_stays() -> None:
    option = by_name(changes(loaded(), geared(), State(), 0.01))["friction_plates"]
    assert option.by == -5.0
    assert option.result_ratio == pytest.approx(2.0 / 6.0)
    one = by_name(changes(loaded(friction_plates=1), geared(), State(), 0.01))["friction_plates"]
    assert not one.possible
    assert one.why_not is not None
    assert "no whole plate" in one.why_not


@pytest.mark.parametrize(("target", "extra", "possible"), [(4.0, 6.0, True), (4.4, 8.0, False)])
def test_more_than_double_the_plates_is_no_advice(
    target: float, extra: float, possible: bool
) -> None:
    # 6 plates give a ratio of 2: 12 give 4, and 4.4 asks for 13.2 of them, so 14.
    option = by_name(changes(loaded(), geared(), State(), target))["friction_plates"]
    assert (option.by, option.possible) == (extra, possible)
    if not possible:
        assert option.why_not == (
            "it would need 8 more pairs of plates, more than double what the pack has")


def test_a_gear_that_nobody_builds_is_no_advice() -> None:
    # 3 · 2/7 = 0.857 to 1: the clutch would turn faster than the crank.
    option = by_name(changes(loaded(), geared(), State(), 7.0))["primary_ratio"]
    assert not option.possible
    assert "a primary ratio of 0.857" in (option.why_not or "")
    assert by_name(changes(loaded(), geared(), State(), 5.9))["primary_ratio"].possible


def test_no_pack_holds_a_thousand_plates() -> None:
    option = by_name(changes(loaded(), geared(), State(), 1e6))["friction_plates"]
    assert (option.by, option.possible) == (None, False)


def test_more_plates_need_room() -> None:
    tall = {"friction_plate_mm": Quantity(3.0), "plain_plate_mm": Quantity(1.6),
            "envelope_height_mm": Quantity(40.0), "lift_mm": Quantity(1.2)}
    for room, possible in ((50.0, True), (48.0, False)):
        option = by_name(changes(
            loaded(**tall), geared(envelope_height_mm=Quantity(room)), State(), 2.5,
        ))["friction_plates"]
        assert "the stack grows by 9.20 mm" in option.consequences
        assert "lift of 0.075 mm a face (keep 0.1 mm or more)" in option.consequences
        assert option.possible is possible
        assert (option.why_not is None) is possible
    assert option.why_not is not None
    assert "1.20 mm too large" in option.why_not


def test_facings_of_the_table_are_named_by_what_they_stand() -> None:
    # 1000 N on 110/90 mm press with 0.32 MPa, too much for cork (0.095 MPa).
    found = by_name(changes(loaded(), geared(), State(), 2.6))["friction"]
    assert found.consequences == (
        "μ 0.13 oiled, sliding, instead of 0.1", "the published table has wood",
        "the clamp presses too hard for cork")
    assert found.possible
    high = by_name(changes(loaded(), geared(), State(), 3.5))["friction"]
    assert not high.possible
    assert high.why_not is not None
    assert "presses too hard" in high.why_not
    none = by_name(changes(loaded(), geared(), State(), 9.0))["friction"]
    assert none.why_not == "no facing of the published table has as much"
    lower = by_name(changes(loaded(), geared(), State(), 1.5))["friction"]
    assert lower.possible
    # Between μ 0.075 and 0.1, neither the better nor the far worse ones.
    assert lower.consequences[1] == "the published table has moulded, woven"


def test_friction_of_the_table_is_used_where_the_pack_has_none() -> None:
    pack = loaded(friction={}, facing="paper")
    # 0.12 of the table.
    found = by_name(changes(pack, geared(), State(), 2.6))["friction"]
    assert found.by == pytest.approx(0.13 - 0.12)


def test_gears_keep_the_sum_of_their_teeth() -> None:
    option = by_name(changes(loaded(), geared(), State(), 2.2))["primary_ratio"]
    # 3/1.1 = 2.727 of 80 teeth: 21 on 59 is 2.81, 22 on 58 is 2.64; 21.46 rounds to 21.
    assert any("21 on 59 teeth" in words and "2.81" in words for words in option.consequences)
    assert any("turns faster" in words for words in option.consequences)
    assert not any("are usual" in words for words in option.consequences)


def test_no_gear_in_front_of_a_pack_on_the_crankshaft() -> None:
    option = by_name(changes(loaded(mounting="crankshaft"), geared(), State(), 7.0))[
        "primary_ratio"]
    assert (option.by, option.possible) == (None, False)
    assert "crankshaft" in (option.why_not or "")


def test_where_nothing_presses_only_the_clamp_can_help() -> None:
    slack = SpringGroup(count=6, free_length_mm=Quantity(30.0),
                        installed_length_mm=Quantity(31.0), rate_n_per_mm=Quantity(12.0))
    pack = loaded(clamp=CoilClamp((slack,)))
    found = by_name(changes(pack, geared(), State(), 1.2))
    assert found["shim_mm"].possible
    # 1.2 · 30 N·m needs 600 N: 1 mm to touch and 600/72 mm more.
    assert found["shim_mm"].by == pytest.approx(1.0 + 600.0 / 72.0)
    for name in ("rate_n_per_mm", "friction_plates", "friction", "primary_ratio"):
        assert not found[name].possible
        assert found[name].why_not


def test_weights_that_do_not_bite_are_brought_up_by_the_gear() -> None:
    lazy = CentrifugalClamp(6, Quantity(20.0), Quantity(45.0), Quantity(35.0), Quantity(1200.0))
    pack, state = loaded(clamp=lazy), State(speed_rpm=6000.0)
    assert ratio(pack, geared(), state) == 0.0
    option = by_name(changes(pack, geared(), state, 1.1))["primary_ratio"]
    assert ratio(*apply(option, pack, geared(), state), state) == pytest.approx(1.1, rel=1e-9)


def test_a_check_that_fails_makes_a_change_impossible() -> None:
    # Sintered facings stand 4.2 MPa in oil; paper 0.7 to 1.75.
    pack = loaded(facing="paper", clamp=LoadClamp(Quantity(2000.0)))
    mild = by_name(changes(pack, geared(), State(), 4.4))["force_n"]
    assert mild.possible
    assert any(w.startswith("facing pressure: 0.700") for w in mild.consequences)
    harsh = by_name(changes(pack, geared(), State(), 12.0))["force_n"]
    assert not harsh.possible
    assert (harsh.why_not or "").startswith("facing pressure: 1.910 MPa mean")


def test_an_unknown_ratio_has_no_options() -> None:
    assert changes(loaded(clamp=None), geared(), State(), 1.2) == []
    assert changes(loaded(mounting=None), geared(), State(), 1.2) == []
    assert changes(loaded(), EngineInputs(), State(), 1.2) == []


@pytest.mark.parametrize("target", [0.0, -1.0, math.nan])
def test_a_target_that_is_no_ratio_is_refused(target: float) -> None:
    with pytest.raises(BadInput) as refused:
        changes(loaded(), geared(), State(), target)
    assert refused.value.problems[0].field == "target_ratio"


def test_figures_beyond_any_pack_say_so() -> None:
    tiny = loaded(friction={("oiled", "sliding"): Quantity(1e-300)})
    options = by_name(changes(tiny, geared(), State(), 1e9))
    for option in options.values():
        assert option.by is None or math.isfinite(option.by)
        assert option.result_ratio is None or math.isfinite(option.result_ratio)
    assert options["friction_plates"].why_not == "it would take more plates than any pack holds"
    assert any("are usual" in words for words in options["primary_ratio"].consequences)
    assert changes(replace(tiny, facing_od_mm=Quantity(1e-200), facing_id_mm=Quantity(1e-201)),
                   geared(), State(), 1e9) == []


@pytest.mark.parametrize("factor", [1.1, 1.6])
def test_changes_make_up_for_the_loss_along_the_splines(factor: float) -> None:
    pack = samples.load_pack(spline_major_mm=Quantity(40.0), basket_spline_mm=Quantity(110.0))
    engine, state = samples.measured_engine(), State(spline_friction=0.15)
    target = factor * ratio(pack, engine, state)
    found = by_name(changes(pack, engine, state, target))
    plates = found["friction_plates"]
    assert plates.by is not None
    assert plates.result_ratio is not None
    assert plates.result_ratio >= target
    fewer = replace(plates, by=plates.by - 1.0)
    assert ratio(*apply(fewer, pack, engine, state), state) < target
    friction = found["friction"]
    assert friction.result_ratio == pytest.approx(target, rel=1e-6)
