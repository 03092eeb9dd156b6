"""The units that each kind of quantity takes, with their factors and spellings.

Factors follow NIST Special Publication 811 (2008 edition), Appendix B, built from the exact
definitions (1 in = 25.4 mm, 1 lb = 0.453 592 37 kg, standard gravity 9.806 65 m/s²) instead of the
rounded figures printed there. Each is a fraction, so no digit is lost before the last step.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

_INCH = Fraction("25.4")  # mm
_FOOT = 12 * _INCH  # mm
_POUND = Fraction("0.45359237")  # kg
_GRAVITY = Fraction("9.80665")  # N per kgf
_LBF = _POUND * _GRAVITY  # N
_PSI = _LBF / _INCH**2  # MPa
_TURN = Fraction(2 * math.pi)  # rad


@dataclass(frozen=True)
class Unit:
    """A unit of a dimension: canonical figure = number × factor + offset."""

    label: str
    factor: Fraction
    offset: Fraction = Fraction(0)
    spellings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Dimension:
    """A kind of quantity.

    Attributes:
        name: its key, such as ``length``.
        noun: the word for it in a sentence.
        canonical: label of the unit in which the program keeps it.
        units: the units it takes by label, the canonical one first.
        aliases: every accepted spelling, tidied by ``tidy_unit``.
        questions: spellings that could mean two things, with the question to ask.
        example: a typed example for messages.
        whole: whether only whole numbers are taken.
    """

    name: str
    noun: str
    canonical: str
    units: Mapping[str, Unit]
    aliases: Mapping[str, Unit]
    questions: Mapping[str, str]
    example: str
    whole: bool = False


def tidy_unit(text: str) -> str:
    """Bring the spellings of a unit together: ``N m``, ``N*m``, ``N-m`` and ``N.m`` become ``N·m``.

    >>> tidy_unit("N * m"), tidy_unit("kg m^2")
    ('N·m', 'kg·m2')
    """
    powers = text.strip().replace("²", "2").replace("³", "3").replace("^", "").replace("µ", "μ")
    return re.sub(r"\s*[·⋅•∙*.\-\s]\s*", "·", re.sub(r"\s*/\s*", "/", powers))


def _dimension(
    name: str,
    noun: str,
    example: str,
    *units: Unit,
    ask: Mapping[str, str] | None = None,
    canonical: str | None = None,
    whole: bool = False,
) -> Dimension:
    """Build a dimension; with ``canonical`` the same units are kept in another of them."""
    base = next((unit for unit in units if unit.label == canonical), units[0])
    ordered = (base, *(unit for unit in units if unit is not base))
    scaled = {
        unit.label: Unit(
            unit.label,
            unit.factor / base.factor,
            (unit.offset - base.offset) / base.factor,
            unit.spellings,
        )
        for unit in ordered
    }
    aliases = {
        tidy_unit(spelling): unit
        for unit in scaled.values()
        for spelling in (unit.label, *unit.spellings)
    }
    return Dimension(
        name=name,
        noun=noun,
        canonical=base.label,
        units=MappingProxyType(scaled),
        aliases=MappingProxyType(aliases),
        questions=MappingProxyType({tidy_unit(k): text for k, text in (ask or {}).items()}),
        example=example,
        whole=whole,
    )


_PLAIN = Unit("", Fraction(1))
_LENGTHS = (
    Unit("mm", Fraction(1), spellings=("MM",)),
    Unit("cm", Fraction(10)),
    Unit("m", Fraction(1000)),
    Unit("μm", Fraction(1, 1000), spellings=("um",)),
    Unit("in", _INCH, spellings=("inch", "inches", '"', "″", "”")),
    Unit("thou", _INCH / 1000),
)
_LENGTH_ASK = {"mil": "Write mm or thou: “mil” is used for both."}
_MASSES = (
    Unit("kg", Fraction(1)),
    Unit("g", Fraction(1, 1000)),
    Unit("lb", _POUND, spellings=("lbs", "lbm")),
    Unit("oz", _POUND / 16),
)
_PRESSURES = (
    Unit("MPa", Fraction(1), spellings=("N/mm2",)),
    Unit("kPa", Fraction(1, 1000)),
    Unit("GPa", Fraction(1000)),
    Unit("bar", Fraction(1, 10)),
    Unit("psi", _PSI, spellings=("lbf/in2",)),
    Unit("atm", Fraction("0.101325")),
)
_HP = "Write hp(mech) for 0.7457 kW or PS (metric hp) for 0.7355 kW: “{}” could be either."

_ALL = (
    _dimension("length", "length", "12.5 mm", *_LENGTHS, ask=_LENGTH_ASK),
    _dimension("length_m", "length", "0.5 m", *_LENGTHS, ask=_LENGTH_ASK, canonical="m"),
    _dimension(
        "force",
        "force",
        "250 N",
        Unit("N", Fraction(1)),
        Unit("kN", Fraction(1000)),
        Unit("lbf", _LBF),
        Unit("kgf", _GRAVITY, spellings=("kp",)),
        ask={
            "lb": "Write lbf if you mean pounds-force: lb is a mass.",
            "lbs": "Write lbf if you mean pounds-force: lbs is a mass.",
            "kg": "Write kgf if you mean kilograms-force: kg is a mass.",
        },
    ),
    _dimension(
        "torque",
        "torque",
        "12.5 N·m",
        Unit("N·m", Fraction(1), spellings=("Nm",)),
        Unit(
            "lbf·ft",
            _LBF * _FOOT / 1000,
            spellings=("lb·ft", "lbft", "lbfft", "ft·lbf", "ft·lb", "ftlb", "ftlbf", "ft·lbs"),
        ),
        Unit(
            "lbf·in",
            _LBF * _INCH / 1000,
            spellings=("lb·in", "lbin", "lbfin", "in·lbf", "in·lb", "inlb", "inlbf", "in·lbs"),
        ),
        Unit("kgf·m", _GRAVITY, spellings=("m·kgf", "kp·m", "m·kp")),
        Unit("kgf·cm", _GRAVITY / 100, spellings=("cm·kgf", "kp·cm")),
        ask={
            "kg·m": "Write kgf·m if you mean kilograms-force times metres.",
            "kgm": "Write kgf·m if you mean kilograms-force times metres.",
            "m·kg": "Write kgf·m if you mean kilograms-force times metres.",
            "kg·cm": "Write kgf·cm if you mean kilograms-force times centimetres.",
            "mN": "Write N·m for newton metres: mN is a thousandth of a newton.",
        },
    ),
    _dimension(
        "rate",
        "rate",
        "14.7 N/mm",
        Unit("N/mm", Fraction(1)),
        Unit("N/m", Fraction(1, 1000)),
        Unit("kN/m", Fraction(1)),
        Unit("lbf/in", _LBF / _INCH),
        Unit("kgf/mm", _GRAVITY, spellings=("kp/mm",)),
        ask={
            "lb/in": "Write lbf/in if you mean pounds-force for each inch.",
            "lbs/in": "Write lbf/in if you mean pounds-force for each inch.",
            "kg/mm": "Write kgf/mm if you mean kilograms-force for each millimetre.",
        },
    ),
    _dimension("pressure", "pressure", "0.25 MPa", *_PRESSURES),
    _dimension("pressure_kpa", "pressure", "850 kPa", *_PRESSURES, canonical="kPa"),
    _dimension("mass", "mass", "0.45 kg", *_MASSES),
    _dimension("mass_g", "mass", "12.5 g", *_MASSES, canonical="g"),
    _dimension(
        "displacement",
        "displacement",
        "125 cc",
        Unit("cc", Fraction(1), spellings=("cm3", "ccm", "ml", "mL")),
        Unit("L", Fraction(1000), spellings=("l", "dm3", "litre", "litres")),
        Unit("in³", _INCH**3 / 1000, spellings=("ci", "cu·in", "cuin", "cid")),
    ),
    _dimension(
        "speed",
        "speed",
        "8500 r/min",
        Unit("r/min", Fraction(1), spellings=("rpm", "1/min", "min⁻¹", "min·1", "rev/min")),
        Unit("r/s", Fraction(60), spellings=("rps", "1/s", "rev/s")),
        Unit("rad/s", 60 / _TURN),
        ask={"Hz": "Write r/s if you mean turns each second: Hz could count strokes too."},
    ),
    _dimension(
        "angle",
        "angle",
        "45°",
        Unit("°", Fraction(1), spellings=("deg", "degree", "degrees", "º")),
        Unit("rad", 360 / _TURN),
    ),
    _dimension(
        "power",
        "power",
        "12.5 kW",
        Unit("kW", Fraction(1)),
        Unit("W", Fraction(1, 1000)),
        Unit("hp(mech)", 550 * _LBF * _FOOT / 10**6, spellings=("hp (mech)",)),
        Unit("PS", 75 * _GRAVITY / 1000, spellings=("hp(metric)", "hp (metric)")),
        ask={name: _HP.format(name) for name in ("hp", "HP", "bhp", "BHP", "Hp")},
    ),
    _dimension(
        "inertia",
        "moment of inertia",
        "0.012 kg·m²",
        Unit("kg·m²", Fraction(1), spellings=("kgm2",)),
        Unit("kg·cm²", Fraction(1, 10**4), spellings=("kgcm2",)),
        Unit("kg·mm²", Fraction(1, 10**6), spellings=("kgmm2",)),
    ),
    _dimension(
        "temperature",
        "temperature",
        "60 °C",
        Unit("°C", Fraction(1), spellings=("C", "degC", "ºC")),
        Unit("K", Fraction(1), Fraction("-273.15")),
        Unit("°F", Fraction(5, 9), Fraction(-160, 9), spellings=("F", "degF", "ºF")),
    ),
    _dimension(
        "temperature_rise",
        "temperature rise",
        "80 K",
        Unit("K", Fraction(1), spellings=("°C", "C", "ºC")),
    ),
    _dimension(
        "time",
        "time",
        "2.5 s",
        Unit("s", Fraction(1), spellings=("sec",)),
        Unit("min", Fraction(60)),
        Unit("ms", Fraction(1, 1000)),
    ),
    _dimension("fraction", "share", "0.12", _PLAIN, Unit("%", Fraction(1, 100))),
    _dimension("number", "number", "0.12", _PLAIN),
    _dimension("count", "count", "6", _PLAIN, whole=True),
    _dimension("ratio", "ratio", "3.35", Unit("", Fraction(1), spellings=(":1", ": 1"))),
)

DIMENSIONS: Mapping[str, Dimension] = MappingProxyType({kind.name: kind for kind in _ALL})
"""Every kind of quantity that can be typed, by its key."""
