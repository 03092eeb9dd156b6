"""Shims and stiffer springs with what follows from them."""

from dataclasses import replace
from typing import Any

import pytest

from app.comparison.change_step import Step
from app.comparison.coil_changes import Coils, coil_steps
from app.mechanics.inputs import CoilClamp, PackInputs, Quantity, SpringGroup, State

OILED = State()
# k = 80000 · 2⁴/(8 · 16³ · 5) = 7.8125 N/mm; solid at 14 mm; pressed by 8 mm and lifted by 2.
WIRE = SpringGroup(
    count=4, free_length_mm=Quantity(32.0), installed_length_mm=Quantity(25.0),
    shim_mm=Quantity(1.0), wire_mm=Quantity(2.0), mean_mm=Quantity(16.0),
    total_coils=Quantity(7.0), ends="closed_ground", shear_modulus_mpa=Quantity(80_000.0),
)
GIVEN = SpringGroup(
    count=3, free_length_mm=Quantity(30.0), installed_length_mm=Quantity(28.0),
    rate_n_per_mm=Quantity(10.0, plus_minus=0.5),
)


def pack_of(*groups: SpringGroup, **changed: Any) -> PackInputs:
    return PackInputs(**{
        "friction_plates": 5, "facing_od_mm": Quantity(100.0), "facing_id_mm": Quantity(80.0),
        "friction": {("oiled", "sliding"): Quantity(0.1)}, "lift_mm": Quantity(2.0),
        "clamp": CoilClamp(groups), **changed})


def steps_of(pack: PackInputs, needed: float, state: State = OILED) -> tuple[Step, Step]:
    assert isinstance(pack.clamp, CoilClamp)
    shim, rate = coil_steps(pack, pack.clamp, state, needed)
    assert (shim.change, rate.change) == ("shim_mm", "rate_n_per_mm")
    return shim, rate


def test_groups_in_a_state() -> None:
    coils = Coils.of(pack_of(WIRE, GIVEN), State(wear_mm=0.5))
    assert coils.rates == pytest.approx((7.8125, 10.0))
    assert coils.stiffness == pytest.approx((31.25, 30.0))
    assert coils.compression == pytest.approx((7.5, 1.5))
    assert coils.load == pytest.approx(31.25 * 7.5 + 30.0 * 1.5)
    assert Coils.of(pack_of(WIRE, clamp=None), OILED).load == 0.0


@pytest.mark.parametrize(
    ("compressions", "needed", "shim"),
    [
        ((8.0, 2.0), 170.0, 0.75),  # both press: 10 · 8.75 + 30 · 2.75
        ((8.0, -3.0), 100.0, 2.0),  # the second stays slack
        ((8.0, -3.0), 110.0, 3.0),  # it just touches
        ((8.0, -3.0), 150.0, 4.0),  # it presses with the last millimetre
        ((8.0, 2.0), 30.0, -5.0),  # downwards until the second is slack
        ((-2.0, -5.0), 10.0, 3.0),  # from a pack that does not press at all
    ],
)
def test_shim_over_groups_that_go_slack(
    compressions: tuple[float, float], needed: float, shim: float
) -> None:
    coils = Coils((10.0, 30.0), compressions, (10.0, 10.0), (16.0, 16.0))
    assert coils.shim_for(needed) == pytest.approx(shim)


def test_more_shim_tells_load_room_stress_and_lever_effort() -> None:
    shim, _ = steps_of(pack_of(WIRE), 31.25 * 9.0)
    assert shim.by == pytest.approx(1.0)
    # At full lift 21 of 32 mm are pressed out to 11; 7 mm are left: 7/11.
    assert shim.consequences == (
        "1 mm of shim more under every spring",
        "clamp load 281 N instead of 250 N",
        "clash allowance 64 % of the working deflection (keep 15 % or more)",
        "spring stress at full lift 518 MPa instead of 471 MPa",
        "lever effort 1.10 times the present one",
    )
    assert shim.why_not is None


def test_a_shim_that_makes_the_springs_solid_is_not_possible() -> None:
    # 14 mm solid: 32 − 14 − 2 of lift leave 16 mm of compression.
    for compression, bound in ((15.9, False), (16.0, True), (16.5, True)):
        shim, _ = steps_of(pack_of(WIRE), 31.25 * compression)
        assert (shim.why_not == "the springs would go solid before full lift") is bound


def test_no_more_shim_can_be_taken_out_than_there_is() -> None:
    kept, _ = steps_of(pack_of(WIRE), 31.25 * 7.0)
    assert kept.by == pytest.approx(-1.0)
    assert kept.why_not is None
    gone, _ = steps_of(pack_of(WIRE), 31.25 * 6.9)
    assert gone.why_not is not None
    assert "only 1 mm of shim" in gone.why_not
    assert gone.clamp is not None


def test_a_group_of_unknown_wire_does_not_hide_one_that_goes_solid() -> None:
    for order in ((WIRE, GIVEN), (GIVEN, WIRE)):
        shim, _ = steps_of(pack_of(*order), 31.25 * 17.0 + 30.0 * 11.0)
        assert shim.by == pytest.approx(9.0)
        assert shim.why_not == "the springs would go solid before full lift"


def test_stiffer_springs_by_rate_and_wire() -> None:
    _, rate = steps_of(pack_of(WIRE), 2.0 * 250.0)
    assert rate.by == pytest.approx(7.8125)
    assert rate.unit == "N/mm"
    # d' = 2 · 2^¼ = 2.378 mm; solid at 16.65 mm, so 22 − 16.65 of 10 mm are left.
    assert rate.consequences[:4] == (
        "springs of the same lengths with 15.62 N/mm instead of 7.812",
        "clamp load 500 N instead of 250 N",
        "with the coil as it is that takes wire of 2.38 mm instead of 2 mm",
        "clash allowance 54 % of the working deflection (keep 15 % or more)",
    )
    assert rate.consequences[4].startswith("spring stress at full lift ")
    assert rate.consequences[5] == "lever effort 2.00 times the present one"


def test_the_same_coil_in_thicker_wire_may_go_solid() -> None:
    _, rate = steps_of(pack_of(WIRE), 12.0 * 250.0)
    assert any("would go solid" in words for words in rate.consequences)
    # Another spring of the same rate may still do it.
    assert rate.why_not is None


def test_several_groups_are_scaled_alike() -> None:
    _, rate = steps_of(pack_of(WIRE, GIVEN), 1.25 * (31.25 * 8.0 + 30.0 * 2.0))
    assert rate.by == pytest.approx(25.0)
    assert rate.unit == "%"
    assert isinstance(rate.clamp, CoilClamp)
    first, second = rate.clamp.springs
    assert first.rate_n_per_mm == Quantity(7.8125 * 1.25, how="assumed")
    assert second.rate_n_per_mm == Quantity(12.5, plus_minus=0.625)
    # The old wire says nothing of another spring.
    assert first.wire_mm is None
    assert first.load_points == ()


def test_without_wire_the_check_is_left_to_the_buyer() -> None:
    _, rate = steps_of(pack_of(GIVEN), 120.0)
    assert any("check them before ordering" in words for words in rate.consequences)


def test_slack_springs_stay_slack_however_stiff() -> None:
    slack = replace(GIVEN, installed_length_mm=Quantity(31.0))
    shim, rate = steps_of(pack_of(slack), 60.0)
    assert shim.by == pytest.approx(1.0 + 2.0)
    assert rate.clamp is None
    assert rate.why_not is not None
    assert "slack" in rate.why_not


def test_wire_that_would_be_overstressed_is_no_advice() -> None:
    # Music wire: 2060/d^0.163 MPa, of which it stands 60 % with set removed: 1104 MPa at 2 mm.
    music = replace(WIRE, wire_material="A228")
    _, mild = steps_of(pack_of(music), 300.0)
    assert mild.why_not is None
    now = Coils.of(pack_of(music), OILED).load
    # Twelve times the load takes 2 · 12^¼ = 3.72 mm wire, which stands 60 % of 1663 = 998 MPa.
    _, harsh = steps_of(pack_of(music), 12.0 * now)
    assert harsh.why_not is not None
    assert "in 3.72 mm wire" in harsh.why_not
    assert "its wire stands 998 MPa with set removed" in harsh.why_not
    assert harsh.by is not None
    # Where nobody said of what the wire is, its strength is not known.
    assert steps_of(pack_of(WIRE), 12.0 * now)[1].why_not is None
