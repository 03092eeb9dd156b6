"""The factors of the unit table against a general units library, by unit objects only."""

import math
from fractions import Fraction

import pint
import pytest

from app.unit_table import DIMENSIONS, tidy_unit

_REGISTRY = pint.UnitRegistry(cache_folder=None)
_U = _REGISTRY
_HORSEPOWER = 550 * _U.foot * _U.force_pound / _U.second
_METRIC_HORSEPOWER = 75 * _U.kilogram_force * _U.meter / _U.second
_TURNS_PER_MINUTE = _U.revolution / _U.minute

CONSTANTS = {
    "mm": _U.millimeter,
    "cm": _U.centimeter,
    "m": _U.meter,
    "μm": _U.micrometer,
    "in": _U.inch,
    "thou": _U.inch / 1000,
    "N": _U.newton,
    "kN": _U.kilonewton,
    "lbf": _U.force_pound,
    "kgf": _U.kilogram_force,
    "N·m": _U.newton * _U.meter,
    "lbf·ft": _U.force_pound * _U.foot,
    "lbf·in": _U.force_pound * _U.inch,
    "kgf·m": _U.kilogram_force * _U.meter,
    "kgf·cm": _U.kilogram_force * _U.centimeter,
    "N/mm": _U.newton / _U.millimeter,
    "N/m": _U.newton / _U.meter,
    "kN/m": _U.kilonewton / _U.meter,
    "lbf/in": _U.force_pound / _U.inch,
    "kgf/mm": _U.kilogram_force / _U.millimeter,
    "MPa": _U.megapascal,
    "kPa": _U.kilopascal,
    "GPa": _U.gigapascal,
    "bar": _U.bar,
    "psi": _U.force_pound / _U.inch**2,
    "atm": _U.standard_atmosphere,
    "kg": _U.kilogram,
    "g": _U.gram,
    "lb": _U.pound,
    "oz": _U.ounce,
    "cc": _U.centimeter**3,
    "L": _U.liter,
    "in³": _U.inch**3,
    "r/min": _TURNS_PER_MINUTE,
    "r/s": _U.revolution / _U.second,
    "rad/s": _U.radian / _U.second,
    "°": _U.degree,
    "rad": _U.radian,
    "kW": _U.kilowatt,
    "W": _U.watt,
    "hp(mech)": _HORSEPOWER,
    "PS": _METRIC_HORSEPOWER,
    "kg·m²": _U.kilogram * _U.meter**2,
    "kg·cm²": _U.kilogram * _U.centimeter**2,
    "kg·mm²": _U.kilogram * _U.millimeter**2,
    "s": _U.second,
    "min": _U.minute,
    "ms": _U.millisecond,
    "": _U.dimensionless,
    "%": _U.percent,
}
SCALES = {"°C": _U.degC, "K": _U.kelvin, "°F": _U.degF}

EVERY_UNIT = [
    (kind.name, label)
    for kind in DIMENSIONS.values()
    for label in kind.units
    if not kind.name.startswith("temperature")
]


@pytest.mark.parametrize(("dimension", "label"), EVERY_UNIT)
def test_factor_agrees_with_the_units_library(dimension: str, label: str) -> None:
    kind = DIMENSIONS[dimension]
    other = (1 * CONSTANTS[label]).to(CONSTANTS[kind.canonical]).magnitude
    assert float(kind.units[label].factor) == pytest.approx(other, rel=1e-14)
    assert kind.units[label].offset == 0


@pytest.mark.parametrize("label", list(DIMENSIONS["temperature"].units))
def test_temperature_scale_agrees_with_the_units_library(label: str) -> None:
    unit = DIMENSIONS["temperature"].units[label]
    for reading in (-40.0, 0.0, 37.5, 250.0):
        other = _REGISTRY.Quantity(reading, SCALES[label]).to(SCALES["°C"]).magnitude
        assert float(unit.factor * _exact(reading) + unit.offset) == pytest.approx(other, abs=1e-9)


def _exact(number: float) -> Fraction:

    return Fraction(number)


@pytest.mark.parametrize(
    ("dimension", "label", "factor"),
    [
        ("length", "in", 25.4),
        ("force", "lbf", 4.4482216152605),
        ("torque", "lbf·ft", 1.3558179483314004),
        ("torque", "lbf·in", 0.1129848290276167),
        ("rate", "lbf/in", 0.17512683524647636),
        ("pressure", "psi", 0.006894757293168361),
        ("force", "kgf", 9.80665),
        ("power", "hp(mech)", 0.74569987158227022),
        ("power", "PS", 0.73549875),
    ],
)
def test_factor_as_printed_in_sp_811(dimension: str, label: str, factor: float) -> None:
    """NIST SP 811 (2008), Appendix B.8 prints these to seven figures; the exact products follow."""
    assert float(DIMENSIONS[dimension].units[label].factor) == pytest.approx(factor, rel=1e-15)


def test_the_canonical_unit_counts_as_itself() -> None:
    for kind in DIMENSIONS.values():
        canonical = kind.units[kind.canonical]
        assert next(iter(kind.units)) == kind.canonical
        assert (canonical.factor, canonical.offset) == (1, 0)


def test_no_spelling_is_both_taken_and_asked_about() -> None:
    for kind in DIMENSIONS.values():
        assert not set(kind.aliases) & set(kind.questions)
        assert all(math.isfinite(float(unit.factor)) for unit in kind.units.values())


def test_spellings_with_every_kind_of_dot_come_together() -> None:
    spellings = ["N m", "N*m", "N.m", "N-m", "N·m", "N⋅m", "N · m", "N  m"]
    assert {tidy_unit(spelling) for spelling in spellings} == {"N·m"}
