"""The catalogue holds together: names, units, bounds, doubts and help of every figure."""

import re

import pytest

from app.fields import CATALOGUE, KINDS, Field, field
from app.mechanics import inputs
from app.units import DIMENSIONS

EVERY = [
    pytest.param(group, one, id=f"{group}.{one.name}")
    for group, fields in CATALOGUE.items()
    for one in fields.values()
]
ENDINGS = {
    "_mm": "mm",
    "_n": "N",
    "_nm": "N·m",
    "_n_per_mm": "N/mm",
    "_mpa": "MPa",
    "_kpa": "kPa",
    "_kg": "kg",
    "_g": "g",
    "_cc": "cc",
    "_rpm": "r/min",
    "_deg": "°",
    "_kw": "kW",
    "_kg_m2": "kg·m²",
    "_m": "m",
    "_k": "K",
    "_c": "°C",
}


@pytest.mark.parametrize(("group", "one"), EVERY)
def test_every_figure_is_fully_described(group: str, one: Field) -> None:
    assert CATALOGUE[group][one.name] is one
    assert one.dimension in DIMENSIONS
    assert one.doubt_kind in KINDS
    assert one.label
    assert one.help.endswith(".")
    assert len(re.findall(r"[.?!](?:\s|$)", one.help)) <= 2


@pytest.mark.parametrize(("group", "one"), EVERY)
def test_the_unit_is_the_one_that_the_name_ends_with(group: str, one: Field) -> None:
    ending = max((e for e in ENDINGS if one.name.endswith(e)), key=len, default=None)
    expected = ENDINGS[ending] if ending else {"seconds": "s"}.get(one.name, "")
    assert one.unit == expected


@pytest.mark.parametrize(("group", "one"), EVERY)
def test_what_is_usual_is_possible(group: str, one: Field) -> None:
    if one.usual is None:
        return
    low, high = one.usual
    assert low < high
    assert one.problem((low + high) / 2) is None or one.whole
    assert one.problem(high) is None
    assert one.problem(low) is None


@pytest.mark.parametrize(
    ("group", "kind"),
    [
        ("pack", inputs.PackInputs),
        ("spring", inputs.SpringGroup),
        ("load_point", inputs.LoadPoint),
        ("load", inputs.LoadClamp),
        ("disc", inputs.DiscClamp),
        ("disc_table", inputs.DiscTableClamp),
        ("centrifugal", inputs.CentrifugalClamp),
        ("engine", inputs.EngineInputs),
        ("engine", inputs.PowerTorque),
        ("engine", inputs.BmepTorque),
        ("engine", inputs.MeasuredTorque),
        ("engine", inputs.CurveTorque),
    ],
)
def test_every_figure_that_the_mechanics_take_is_in_the_catalogue(group: str, kind: type) -> None:
    """By its unit ending; a limit drawn from a table of facings is no figure of the record."""
    names = set(kind.__annotations__) - {"pressure_limit_mpa"}
    assert {n for n in names if any(n.endswith(e) for e in ENDINGS)} <= set(CATALOGUE[group])


def test_one_figure_by_group_and_name() -> None:
    assert field("load", "force_n").label == "Clamp load"
    assert field("load_point", "force_n").label != "Clamp load"
    with pytest.raises(KeyError):
        field("pack", "wire_mm")
