"""A launch with what the pack's record adds."""

import math
from typing import Any

import pytest

from app.comparison.launch import Driven, Driver, Vehicle, launch
from app.errors import BadInput
from app.mechanics.inputs import PackInputs, Quantity
from tests.mechanics import samples

# 12 faces of π (55² − 45²) · 0.9 = 2827.4 mm².
PACK = PackInputs(
    friction_plates=6, facing_od_mm=Quantity(110.0), facing_id_mm=Quantity(90.0),
    grooved_fraction=Quantity(0.1), facing="paper", plate_mass_kg=Quantity(0.8),
)
AREA = 12 * math.pi * (55.0**2 - 45.0**2) * 0.9


def test_a_launch_of_a_vehicle() -> None:
    # 180 kg on 0.3 m wheels at 12 : 1 is 0.1125 kg·m²; 4000 r/min held.
    vehicle = Vehicle(180.0, 0.3, 12.0)
    found = launch(40.0, Driver(4000.0), Driven(vehicle=vehicle), pack=PACK)
    energy = 0.5 * 0.1125 * (4000.0 * math.pi / 30.0) ** 2
    assert found.energy_j == pytest.approx(energy)
    assert found.energy_per_area_j_mm2 == pytest.approx(energy / AREA)
    assert found.temperature_rise_k == pytest.approx(energy / (0.8 * 460.0))
    assert found.model == "held_driver"
    assert "no cooling" in found.words[-1]
    same = launch(40.0, Driver(4000.0), Driven(inertia_kg_m2=0.1125), pack=PACK)
    assert same.energy_j == pytest.approx(energy)
    assert same.words == found.words


def test_a_stated_mass_wins_and_launches_add_up() -> None:
    driven = Driven(inertia_kg_m2=0.2)
    once = launch(40.0, Driver(3000.0, 0.1), driven, plate_mass_kg=0.5)
    assert once.energy_j is not None
    assert once.temperature_rise_k == pytest.approx(once.energy_j / 230.0)
    assert once.energy_per_area_j_mm2 is None
    five = launch(40.0, Driver(3000.0, 0.1), driven, pack=PACK, plate_mass_kg=0.5, launches=5)
    assert five.temperature_rise_k == pytest.approx(5.0 * once.temperature_rise_k)
    assert five.energy_j == once.energy_j


@pytest.mark.parametrize(
    "pack", [None, PackInputs(), PackInputs(facing_od_mm=Quantity(110.0)),
             PackInputs(facing_od_mm=Quantity(110.0), facing_id_mm=Quantity(90.0))],
)
def test_what_the_pack_does_not_tell_stays_unknown(pack: PackInputs | None) -> None:
    found = launch(40.0, Driver(3000.0), Driven(inertia_kg_m2=0.2), pack=pack)
    assert found.energy_j is not None
    assert found.energy_per_area_j_mm2 is None
    assert found.temperature_rise_k is None


def test_a_launch_that_never_locks_has_no_figures() -> None:
    found = launch(10.0, Driver(3000.0), Driven(inertia_kg_m2=0.2), load_torque_nm=11.0, pack=PACK)
    assert (found.energy_j, found.slip_time_s, found.common_speed_rpm) == (None, None, None)
    assert (found.energy_per_area_j_mm2, found.temperature_rise_k) == (None, None)
    assert any("never locks" in words for words in found.words)


@pytest.mark.parametrize(
    "driven", [Driven(), Driven(inertia_kg_m2=0.2, vehicle=Vehicle(180.0, 0.3, 12.0))]
)
def test_one_inertia_is_needed(driven: Driven) -> None:
    with pytest.raises(BadInput) as refused:
        launch(40.0, Driver(3000.0), driven)
    assert refused.value.problems[0].field == "driven"


@pytest.mark.parametrize("vehicle", [(1e9, 1e9, 1e-300), (180.0, 1e-170, 12.0)])
def test_a_vehicle_beyond_all_size_is_refused(vehicle: Any) -> None:
    with pytest.raises(BadInput) as refused:
        launch(40.0, Driver(3000.0), Driven(vehicle=Vehicle(*vehicle)))
    assert refused.value.problems[0].field == "driven.vehicle"


def test_figures_that_overflow_are_left_out() -> None:
    slow = launch(1e-300, Driver(1e9), Driven(inertia_kg_m2=1e9))
    assert slow.slip_time_s is None
    assert "worked out" in slow.words[-1]
    thin = launch(40.0, Driver(3000.0), Driven(inertia_kg_m2=0.2), plate_mass_kg=1e-320)
    assert thin.energy_j is not None
    assert thin.temperature_rise_k is None


@pytest.mark.parametrize(("torque", "beyond"), [(100.0, False), (300.0, True)])
def test_slip_power_is_held_against_what_the_facing_stands(torque: float, beyond: bool) -> None:
    # 4000 r/min: 1.23 and 3.70 W/mm²; paper in oil stands 2.3 (The Tribology Handbook, B7).
    found = launch(torque, Driver(4000.0), Driven(inertia_kg_m2=0.2), pack=PACK)
    power = torque * 4000.0 * math.pi / 30.0 / AREA
    told = next(words for words in found.words if "W/mm²" in words)
    assert told.startswith(f"At the start {power:.2g} W/mm² turn to heat")
    assert "paper, oiled, stands 2.3 W/mm²" in told
    assert ("too much" in told) is beyond


def test_a_facing_without_a_printed_power_says_nothing() -> None:
    for facing in (None, "cork", "felt"):
        pack = PackInputs(friction_plates=6, facing_od_mm=Quantity(110.0),
                          facing_id_mm=Quantity(90.0), facing=facing)
        found = launch(40.0, Driver(4000.0), Driven(inertia_kg_m2=0.2), pack=pack)
        assert not any("W/mm²" in words for words in found.words)


def test_the_energy_over_the_faces_is_held_against_an_indication_from_memory() -> None:
    pack = samples.load_pack(facing="paper")
    body = Driven(vehicle=Vehicle(180.0, 0.3, 9.0))
    words = launch(60.0, Driver(1500.0), body, pack=pack).words
    told = next(text for text in words if "J/mm²" in text)
    assert "0.5 to 2 J/mm²" in told
    assert "from memory" in told
    assert "too much" not in told
    hot = launch(60.0, Driver(9000.0), body, pack=pack).words
    assert any("too much (VDI 2241" in text for text in hot)
