"""Other springs in the present seats, by hand and against the single cell."""

from dataclasses import replace

import pytest

from app.comparison.run import compare
from app.comparison.spring_swap import LONGER_MOST, ROOM_MM, SHOWN, outside, pocket, swaps
from app.mechanics.inputs import CoilClamp, Quantity, SpringGroup, State
from tests.mechanics import samples

STATE = State()
SEAT = SpringGroup(
    count=6, free_length_mm=Quantity(36.0), installed_length_mm=Quantity(26.0),
    shim_mm=Quantity(1.0), rate_n_per_mm=Quantity(20.0, plus_minus=0.5),
    outside_mm=Quantity(16.0),
)
PACK = samples.coil_pack(SEAT, mounting="geared")
ENGINE = samples.measured_engine()
PRESENT = float(compare([PACK], [ENGINE], STATE).ratio[0, 0])


def other(rate: float, **changed: object) -> SpringGroup:
    # Their own seat and shim, which must not count.
    own = replace(SEAT, count=8, installed_length_mm=Quantity(20.0), shim_mm=Quantity(4.0),
                  rate_n_per_mm=Quantity(rate, plus_minus=0.5))
    return replace(own, **changed)


def test_the_room_is_judged_by_the_springs_that_sit_there() -> None:
    room = pocket(PACK)
    assert room is not None
    assert room.outside_most == 16.0 + ROOM_MM
    assert room.free_least == 25.0
    assert room.free_most == 36.0 * LONGER_MOST
    assert pocket(samples.load_pack()) is None
    assert pocket(samples.coil_pack(SEAT, SEAT)) is None
    assert pocket(samples.coil_pack(replace(SEAT, outside_mm=None))) is None


@pytest.mark.parametrize(("given", "wide"), [
    ({"mean_mm": Quantity(14.0), "wire_mm": Quantity(2.0)}, 16.0),
    ({"inside_mm": Quantity(12.0), "wire_mm": Quantity(2.0)}, 16.0),
    ({"inside_mm": Quantity(12.0)}, None), ({"wire_mm": Quantity(2.0)}, None),
])
def test_any_diameter_tells_the_outside(given: dict[str, Quantity], wide: float | None) -> None:
    assert outside(SpringGroup(**given)) == wide


def test_a_stiffer_set_raises_the_ratio_as_its_rate_does() -> None:
    (found,) = swaps(PACK, [other(30.0), other(22.0)], ENGINE, STATE, 1.4 * PRESENT)
    assert found.place == 0
    # The same compression of 11 mm and 6 springs: the ratio goes with the rate.
    assert found.ratio == pytest.approx(PRESENT * 30.0 / 20.0, rel=1e-12)
    assert found.low < found.ratio


@pytest.mark.parametrize("changed", [
    {"outside_mm": Quantity(16.3)}, {"outside_mm": None}, {"free_length_mm": Quantity(24.9)},
    {"free_length_mm": Quantity(45.1)}, {"free_length_mm": None}, {"count": 5},
])
def test_what_does_not_fit_is_left_out(changed: dict[str, object]) -> None:
    assert swaps(PACK, [other(60.0, **changed)], ENGINE, STATE, 1.4 * PRESENT) == []


def test_a_set_that_goes_solid_is_left_out() -> None:
    # 12 coils of 2.4 mm wire, closed and ground, are solid at 28.8 mm: longer than the seat.
    solid = other(40.0, wire_mm=Quantity(2.4), total_coils=Quantity(12.0), ends="closed_ground")
    assert swaps(PACK, [solid], ENGINE, STATE, 1.4 * PRESENT) == []
    free = replace(solid, total_coils=Quantity(7.0))
    assert len(swaps(PACK, [free], ENGINE, STATE, 1.4 * PRESENT)) == 1


def test_where_the_pack_has_more_than_is_wanted_weaker_sets_are_told() -> None:
    offered = [other(rate) for rate in (10.0, 14.0, 18.0, 25.0)]
    found = swaps(PACK, offered, ENGINE, STATE, 0.6 * PRESENT)
    assert [swap.place for swap in found] == [1, 2]


def test_the_nearest_come_first_and_not_too_many() -> None:
    offered = [other(30.0 + n) for n in range(20, 0, -1)]
    found = swaps(PACK, offered, ENGINE, STATE, 1.4 * PRESENT)
    assert len(found) == SHOWN
    assert [swap.ratio for swap in found] == sorted(swap.ratio for swap in found)
    assert swaps(PACK, [], ENGINE, STATE, 1.0) == []
    assert swaps(replace(PACK, clamp=CoilClamp()), offered, ENGINE, STATE, 1.0) == []
