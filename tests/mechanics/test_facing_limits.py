"""Which row of the published table limits a facing."""

import pytest

from app.mechanics.facing_limits import energy_row, energy_rows, power_row, pressure_row


@pytest.mark.parametrize(
    ("facing", "lubrication", "low", "high", "book"),
    [
        # The Tribology Handbook, Table 7.4; Juvinall's table in oil prints no pressures.
        ("paper", "oiled", 0.7, 1.75, "Neale"),
        ("Moulded", "oiled", 0.7, 1.75, "Neale"),
        # Juvinall & Marshek, Table 18.1, comes first in the dry.
        ("moulded", "dry", 1.03, 2.07, "Juvinall"),
        # Cork in oil has a friction coefficient in print, but its pressure only dry.
        ("cork", "oiled", 0.055, 0.095, "Juvinall"),
    ],
)
def test_pressure(facing: str, lubrication: str, low: float, high: float, book: str) -> None:
    row = pressure_row(facing, lubrication)  # type: ignore[arg-type]  # a parameter's word
    assert row is not None
    assert (row.p_max_low_mpa, row.p_max_high_mpa) == (low, high)
    assert row.source.startswith(book)


def test_a_facing_without_a_printed_pressure() -> None:
    assert pressure_row("polymeric", "oiled") is None
    assert pressure_row("felt", "dry") is None


@pytest.mark.parametrize(
    ("facing", "lubrication", "power"),
    [("paper", "oiled", 2.3), ("woven", "dry", 0.3), ("woven", "oiled", 1.8),
     ("sintered", "dry", 1.7)],
)
def test_slip_power(facing: str, lubrication: str, power: float) -> None:
    # The Tribology Handbook, Table 7.4, the lower end where it prints a band.
    row = power_row(facing, lubrication)  # type: ignore[arg-type]  # a parameter's word
    assert row is not None
    assert row.power_w_mm2 == power


def test_a_facing_without_a_printed_power() -> None:
    assert power_row("paper", "dry") is None
    assert power_row("cork", "oiled") is None


def test_energy_of_one_engagement_is_from_memory() -> None:
    row = energy_row("Paper", "oiled")
    assert row is not None
    # VDI 2241, from memory: 0.5 to 2 J/mm² for paper on steel in oil.
    assert (row.low_j_mm2, row.high_j_mm2, row.evidence) == (0.5, 2.0, "memory")
    assert energy_row("paper", "dry") is None
    assert energy_row("cork", "oiled") is None
    assert {row.evidence for row in energy_rows()} == {"memory"}
