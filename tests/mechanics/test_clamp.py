"""The clamp load of every kind of clamp by hand, with wear, lift and speed."""

import math
from dataclasses import replace

import numpy as np
import pytest

from app.mechanics.clamp import centrifugal_load, clamp_load, coil_springs
from app.mechanics.disc_spring import disc_load, table_load
from app.mechanics.inputs import (
    CentrifugalClamp,
    CoilClamp,
    LoadClamp,
    PackInputs,
    Quantity,
    SpringGroup,
    State,
)
from app.mechanics.stack import stack_packs
from app.mechanics.traced import Traced
from tests.mechanics.samples import (
    DISC,
    DISC_TABLE,
    GIVEN_SPRING,
    POINT_SPRING,
    WEIGHTS,
    WIRE_SPRING,
    coil_pack,
    disc_pack,
    load_pack,
    q,
    table_pack,
    weights_pack,
)

STATE = State()


def load(pack, wear=0.0, lift=0.0, speed=None):
    sheet = stack_packs([pack], STATE)
    springs = coil_springs(sheet) if isinstance(pack.clamp, CoilClamp) else None
    shaft = None if speed is None else Traced(np.array([[speed]]))
    found = clamp_load(sheet, springs, Traced(np.array([[wear]])), Traced(np.array([[lift]])),
                       shaft)
    assert found.value.shape == (1, 1)
    return float(found.value[0, 0])


def springs_of(*groups):
    return coil_springs(stack_packs([coil_pack(*groups)], STATE))


def test_rate_is_given_before_measured_before_computed():
    every = replace(WIRE_SPRING, load_points=POINT_SPRING.load_points,
                    rate_n_per_mm=Quantity(11.0))
    points = replace(every, rate_n_per_mm=None)
    found = springs_of(every, points, WIRE_SPRING)
    wire = 79300.0 * 2.2**4 / (8.0 * 13.8**3 * 6.0)
    assert found.rate.value[0] == pytest.approx([11.0, 9.955, wire])
    assert found.from_wire.value[0] == pytest.approx([wire] * 3)
    assert np.array_equal(np.isnan(found.from_load_points.value[0]), [False, False, True])


@pytest.mark.parametrize("known", ["outside_mm", "inside_mm", "mean_mm"])
def test_mean_diameter_comes_from_whichever_diameter_is_known(known):
    value = {"outside_mm": 16.0, "inside_mm": 11.6, "mean_mm": 13.8}[known]
    group = replace(WIRE_SPRING, **{"outside_mm": None, known: q(value)})
    found = springs_of(group)
    assert found.mean.value[0, 0] == pytest.approx(13.8)
    assert found.active.value[0, 0] == 6.0
    assert found.solid.value[0, 0] == pytest.approx(2.2 * 8.0)
    assert found.compression.value[0, 0] == pytest.approx(12.5)


def test_nothing_known_of_a_spring_is_unknown():
    assert np.isnan(springs_of(SpringGroup()).rate.value).all()


@pytest.mark.parametrize("coils", [2.0, 1.5])
def test_coils_that_all_lie_in_the_ends_give_no_rate_instead_of_an_endless_one(coils):
    idle = replace(WIRE_SPRING, total_coils=q(coils))
    found = springs_of(idle, WIRE_SPRING, replace(idle, rate_n_per_mm=q(12.0)))
    assert np.array_equal(np.isnan(found.rate.value[0]), [True, False, False])
    assert found.rate.value[0, 2] == 12.0
    assert found.active.value[0, 0] == coils - 2.0
    assert math.isnan(load(coil_pack(idle)))


def test_coil_load_adds_the_groups_and_wear_lengthens_every_spring():
    pack = coil_pack(GIVEN_SPRING, replace(GIVEN_SPRING, count=4, shim_mm=q(1.0)))
    assert load(pack) == pytest.approx(3 * 12.0 * 8.0 + 4 * 12.0 * 9.0)
    assert load(pack, wear=0.5) == pytest.approx(load(pack) - 7 * 12.0 * 0.5)
    assert load(pack, lift=1.5) == pytest.approx(load(pack) + 7 * 12.0 * 1.5)


def test_a_slack_group_pushes_with_nothing_and_does_not_pull_on_its_neighbour():
    slack = replace(GIVEN_SPRING, installed_length_mm=q(36.0))
    assert load(coil_pack(slack)) == 0.0
    assert load(coil_pack(GIVEN_SPRING, slack)) == load(coil_pack(GIVEN_SPRING))


def test_one_unknown_group_makes_the_whole_load_unknown():
    assert math.isnan(load(coil_pack(GIVEN_SPRING, replace(GIVEN_SPRING, count=None))))


def test_measured_load_moves_with_its_rate_and_needs_none_unmoved():
    assert load(load_pack()) == 900.0
    assert load(load_pack(), wear=0.5) == pytest.approx(870.0)
    assert load(load_pack(), lift=0.5) == pytest.approx(930.0)
    bare = load_pack(clamp=LoadClamp(q(900.0)))
    assert load(bare) == 900.0
    assert math.isnan(load(bare, wear=0.5))
    assert load(load_pack(), wear=50.0) == 0.0


def disc(deflection, clamp=DISC):
    names = ("outside_mm", "inside_mm", "thickness_mm", "cone_height_mm", "modulus_mpa", "poisson")
    return disc_load(deflection, **{n: getattr(clamp, n).value for n in names})


def test_discs_in_parallel_multiply_the_force_and_in_series_share_the_deflection():
    assert load(disc_pack()) == pytest.approx(2.0 * disc(1.5))
    assert load(disc_pack(), wear=0.4, lift=0.1) == pytest.approx(2.0 * disc(1.35))
    single = replace(DISC, in_parallel=1, in_series=1, installed_deflection_mm=q(1.5))
    assert load(disc_pack(clamp=single)) == pytest.approx(disc(1.5))


def test_wear_may_raise_the_load_of_a_disc_spring():
    """Past its largest load a high cone presses harder as the facings wear."""
    high = replace(DISC, in_parallel=1, in_series=1, thickness_mm=q(1.4),
                   installed_deflection_mm=q(2.3))
    assert load(disc_pack(clamp=high), wear=0.5) > load(disc_pack(clamp=high))


def test_table_is_read_at_the_worn_deflection():
    expected = table_load([DISC_TABLE.points], Traced(np.array([[2.2]]))).value[0, 0]
    assert load(table_pack(), wear=0.3) == pytest.approx(expected)
    assert math.isnan(load(table_pack(), lift=2.0))


def test_weights_press_with_their_centrifugal_force_over_the_ramp():
    omega = 4000.0 * 2.0 * math.pi / 60.0
    pull = 6 * 0.020 * 0.045 * omega**2 / math.tan(math.radians(35.0))
    assert load(weights_pack(), speed=4000.0) == pytest.approx(pull - 150.0)
    assert centrifugal_load(6, 20.0, 45.0, math.tan(math.radians(35.0)), 4000.0, 150.0) == (
        pytest.approx(pull - 150.0))


def test_weights_move_out_as_the_facings_wear():
    moved = replace(WEIGHTS, radius_mm=q(45.0 + 1.0 / math.tan(math.radians(35.0))))
    assert load(weights_pack(), wear=1.0, speed=4000.0) == pytest.approx(
        load(weights_pack(clamp=moved), speed=4000.0))


def test_weights_do_not_engage_below_their_speed_and_are_unknown_without_one():
    assert load(weights_pack(), speed=500.0) == 0.0
    assert math.isnan(load(weights_pack()))
    assert math.isnan(load(weights_pack(clamp=CentrifugalClamp()), speed=4000.0))


def test_no_clamp_is_unknown():
    assert math.isnan(load(PackInputs()))
