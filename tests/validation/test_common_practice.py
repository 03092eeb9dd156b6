"""Facts of the trade: common practice, no source. The figures are rounded as they are told."""

import pytest

from app.mechanics.coil_spring import rate_from_load_points, rate_from_wire
from app.mechanics.disc_friction import faces_working, radius_uniform_wear, torque_capacity
from app.mechanics.engine_torque import torque_at_clutch
from app.mechanics.inputs import (
    CoilClamp,
    EngineInputs,
    MeasuredTorque,
    PackInputs,
    Quantity,
    SpringGroup,
    State,
)
from app.mechanics.sides import engine_side, pack_side
from app.mechanics.stack import stack_engines, stack_packs

OILED = State(lubrication="oiled", friction="sliding")


def pack(springs: int, friction: float, plates: int = 6) -> PackInputs:
    """A pack of 50.1 mm mean radius, its springs of 14.3 N/mm pressed by 130.56 N each."""
    group = SpringGroup(
        count=springs,
        free_length_mm=Quantity(30.0),
        installed_length_mm=Quantity(30.0 - 130.56 / 14.3),
        rate_n_per_mm=Quantity(14.3),
    )
    return PackInputs(
        friction_plates=plates,
        facing_od_mm=Quantity(108.0),
        facing_id_mm=Quantity(92.4),
        clamp=CoilClamp((group,)),
        friction={("oiled", "sliding"): Quantity(friction)},
    )


def capacity(inputs: PackInputs) -> float:
    side = pack_side(stack_packs([inputs], OILED), OILED)
    return float(side.capacity.value[0, 0])


def test_mean_radius_of_a_96_by_72_facing() -> None:
    # Common practice, no source.
    assert radius_uniform_wear(96.0 / 2.0, 72.0 / 2.0) == 42.0


def test_three_lined_plates_make_six_faces_and_six_make_twelve() -> None:
    # Common practice, no source: each plate lined on both sides.
    assert faces_working(3) == 6
    assert faces_working(6) == 12
    assert faces_working(6, 1) == 6


def test_torque_of_six_faces_at_428_6_newton() -> None:
    # Common practice, no source: μ 0.1, mean radius 42 mm; 10.8 N·m is told to a tenth.
    assert torque_capacity(0.1, 6, 428.6, 42.0) == pytest.approx(10.8, abs=0.05)
    assert torque_capacity(0.1, 6, 428.6, 42.0) == pytest.approx(10.80072, rel=1e-9)


def test_friction_that_the_slip_torques_of_that_pack_imply() -> None:
    # Common practice, no source: the same pack slipped at about 11.5 N·m in fresh oil and about
    # 20 N·m dry, so μ is a little above 0.1 oiled and a little below 0.2 dry.
    per_unit = torque_capacity(1.0, 6, 428.6, 42.0)
    assert 11.5 / per_unit == pytest.approx(0.106, abs=5e-4)
    assert 20.0 / per_unit == pytest.approx(0.185, abs=5e-4)


def test_compression_of_a_spring_from_its_force() -> None:
    # Common practice, no source: 14.3 N/mm pressed by 130.56 N is shortened by 9.13 mm.
    fit = rate_from_load_points([9.13], [130.56], through_origin=True)
    assert fit.rate == pytest.approx(14.3, abs=5e-3)
    one = SpringGroup(
        count=1,
        free_length_mm=Quantity(30.0),
        installed_length_mm=Quantity(20.87),
        rate_n_per_mm=Quantity(14.3),
    )
    sheet = stack_packs([PackInputs(clamp=CoilClamp((one,)))], OILED)
    clamp = float(pack_side(sheet, OILED).clamp.value[0, 0])
    assert clamp == pytest.approx(130.56, abs=5e-3)


@pytest.mark.parametrize(
    ("springs", "torque", "recomputed"), [(2, 15.7, 15.6985344), (3, 23.5, 23.5478016)]
)
def test_torque_of_two_and_three_springs_on_twelve_faces(
    springs: int, torque: float, recomputed: float
) -> None:
    # Common practice, no source: μ 0.1, mean radius 50.1 mm; told to a tenth of a N·m.
    assert capacity(pack(springs, 0.1)) == pytest.approx(torque, abs=0.05)
    assert capacity(pack(springs, 0.1)) == pytest.approx(recomputed, rel=1e-9)


@pytest.mark.parametrize("springs", [2, 3])
def test_twice_the_friction_carries_twice_the_torque(springs: int) -> None:
    # Common practice, no source.
    doubled = capacity(pack(springs, 0.2))
    assert doubled == pytest.approx(2.0 * capacity(pack(springs, 0.1)), rel=1e-12)
    assert doubled == pytest.approx({2: 31.4, 3: 47.1}[springs], abs=0.05)


def test_a_clutch_on_the_crankshaft_has_a_ratio_of_one() -> None:
    # Common practice, no source: whatever the primary gear, which lies behind such a clutch.
    engine = EngineInputs(
        torque=MeasuredTorque(Quantity(20.0), Quantity(6000.0)),
        primary_ratio=Quantity(3.0),
        primary_efficiency=Quantity(0.97),
    )
    side = engine_side(stack_engines([engine]))
    on_crank, geared = (float(t.value[0, 0]) for t in side.required)
    assert on_crank == 20.0
    assert geared == pytest.approx(torque_at_clutch(20.0, 3.0, 0.97), rel=1e-12)
    assert float(side.clutch_speed[0].value[0, 0]) == 6000.0
    assert float(side.clutch_speed[1].value[0, 0]) == pytest.approx(2000.0)


def test_thicker_wire_stiffens_by_the_fourth_power() -> None:
    # Common practice, no source: 2.6 mm against 2.0 mm wire of the same coil and count, 2.86 times.
    thick = rate_from_wire(81000.0, 2.6, 16.0, 6.0)
    thin = rate_from_wire(81000.0, 2.0, 16.0, 6.0)
    assert thick / thin == pytest.approx(2.86, abs=5e-3)
    assert thick / thin == pytest.approx(2.8561, rel=1e-12)
