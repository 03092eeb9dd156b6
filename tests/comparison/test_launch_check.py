"""Whether a facing stands a start from rest, by hand and for many at once."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from app.comparison.check import Check
from app.comparison.launch_check import launch_check, launch_fails
from app.mechanics.inputs import EngineInputs, PackInputs, Quantity, State

STATE = State()
# 12 faces of π (70² − 56²) = 5541.8 mm².
PACK = PackInputs(
    friction_plates=6, facing_od_mm=Quantity(140.0), facing_id_mm=Quantity(112.0),
    mounting="geared", facing="paper",
)
MOVED: dict[str, Any] = {
    "vehicle_mass_kg": Quantity(180.0), "wheel_radius_m": Quantity(0.3),
    "clutch_to_wheel_ratio": Quantity(9.0),
}
ENGINE = EngineInputs(primary_ratio=Quantity(2.5), **MOVED)
AREA = 12 * math.pi * (70.0**2 - 56.0**2)


def found(torque: float = 60.0, state: State = STATE, **changed: Any) -> Check:
    answer = launch_check(replace(PACK, **changed), ENGINE, state, torque)
    assert answer is not None
    return answer


def test_power_and_energy_by_hand() -> None:
    # 4000/2.5 = 1600 r/min = 167.55 rad/s; I = 180 · 0.3²/9² = 0.2 kg·m².
    omega = 4000.0 / 2.5 * math.pi / 30.0
    check = found()
    assert f"{60.0 * omega / AREA:.2g} W/mm² at first" in check.text
    assert f"{0.5 * 0.2 * omega**2 / AREA:.2g} J/mm² in all" in check.text
    assert check.outcome == "pass"
    assert "Neale" in check.source
    assert "from memory" in check.source


def test_more_power_than_the_facing_stands_fails() -> None:
    # 2.3 W/mm² over the faces at 167.55 rad/s is a torque of 913 N·m.
    limit = 2.3 * AREA / (4000.0 / 2.5 * math.pi / 30.0)
    assert found(0.999 * limit).outcome == "pass"
    assert found(1.001 * limit).outcome == "fail"


def test_an_energy_from_memory_is_a_caution_at_most() -> None:
    heavy = replace(ENGINE, vehicle_mass_kg=Quantity(180.0 * 60.0))
    check = launch_check(PACK, heavy, STATE, 60.0)
    assert check is not None
    assert check.outcome == "caution"


def test_the_state_may_name_the_speed() -> None:
    assert "a start at 6000 r/min" in found(state=State(speed_rpm=6000.0)).text


@pytest.mark.parametrize("gone", list(MOVED))
def test_an_engine_that_moves_nothing_known_is_not_asked(gone: str) -> None:
    assert launch_check(PACK, replace(ENGINE, **{gone: None}), STATE, 60.0) is None


@pytest.mark.parametrize("changed", [
    {"friction_plates": None}, {"facing_od_mm": None}, {"mounting": None}, {"facing": None},
    {"facing": "cork"},
])
def test_what_is_not_known_is_said(changed: dict[str, Any]) -> None:
    assert found(**changed).outcome == "not known"


def test_a_torque_that_is_not_known_leaves_it_open() -> None:
    assert found(math.nan).outcome == "not known"


def test_many_at_once_fail_where_each_fails_alone() -> None:
    packs = [PACK, replace(PACK, mounting="crankshaft"), replace(PACK, facing=None),
             replace(PACK, mounting=None), replace(PACK, friction_plates=1), PackInputs()]
    engines = [ENGINE, replace(ENGINE, primary_ratio=None), EngineInputs(),
               replace(ENGINE, primary_ratio=None, primary_teeth=(20, 30))]
    torques = np.array([[10.0, 300.0, 900.0, 2000.0]] * 5 + [[math.nan] * 4])
    many = launch_fails(packs, engines, STATE, torques)
    alone = [[(c := launch_check(p, e, STATE, float(torques[i, j]))) is not None
              and c.outcome == "fail" for j, e in enumerate(engines)]
             for i, p in enumerate(packs)]
    assert many.tolist() == alone
    assert many.any()
    assert not launch_fails(packs, [EngineInputs()], STATE, torques[:, :1]).any()
