"""T. H. Wentzell, Machine Design."""

import pytest

from app.mechanics.coil_spring import rate_from_wire
from app.mechanics.disc_friction import radius_uniform_wear, torque_capacity
from app.mechanics.engine_torque import power_from_torque

MM_PER_IN = 25.4
MPA_PER_PSI = 0.006894757293168
N_PER_LBF = 4.4482216152605
KW_PER_HP = 0.7456998715822702
NM_PER_LBF_IN = N_PER_LBF * MM_PER_IN / 1000.0


def test_example_16_1_plate_clutch() -> None:
    # Example 16.1, page 358: f 0.3, 120 lb, radii 12 and 9 in, 2000 r/min.
    # Published: 378 lb·in and 12 hp.
    radius = radius_uniform_wear(12.0 * MM_PER_IN, 9.0 * MM_PER_IN)
    torque = torque_capacity(0.3, 1, 120.0 * N_PER_LBF, radius)
    power = power_from_torque(torque, 2000.0) / KW_PER_HP
    assert torque / NM_PER_LBF_IN == pytest.approx(378.0, rel=1e-9)
    assert power == pytest.approx(12.0, rel=5e-4)  # two digits
    assert power == pytest.approx(11.99517195007, rel=1e-9)


def test_example_8_2_coils_of_a_spring() -> None:
    # Example 8.2, page 163: d 0.105, mean diameter 0.620 in, 35 lb at 0.5 in, G 11.85 Mpsi.
    # Published: 70 lb/in and 12.79 coils, two of them dead.
    wanted = 70.0 * N_PER_LBF / MM_PER_IN
    one_coil = rate_from_wire(11.85e6 * MPA_PER_PSI, 0.105 * MM_PER_IN, 0.620 * MM_PER_IN, 1.0)
    assert one_coil / wanted + 2.0 == pytest.approx(12.79, rel=4e-4)  # four digits
    assert one_coil / wanted + 2.0 == pytest.approx(12.79226128225, rel=1e-9)
