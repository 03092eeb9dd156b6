import dataclasses
from typing import Any

import pytest

from app.documents import Pack
from app.documents.pack import STATES
from app.fields import default_doubt
from app.mechanics.friction_source import OWN, table_friction
from app.mechanics.inputs import Quantity
from app.mechanics.tables import friction_rows
from app.records.pack_rows import (
    PackParts,
    facing_friction,
    friction_values,
    load_point_values,
    pack_document,
    pack_inputs,
    pack_values,
    spring_values,
)
from app.records.source_rows import facing_friction_values
from app.services.seeding import published_facings
from tests.factories import make_pack, spring_group

CLAMPS: list[dict[str, Any] | None] = [
    None,
    {"kind": "coil", "springs": []},
    {
        "kind": "coil",
        "springs": [
            spring_group(name="outer", load_points=[{"deflection_mm": 2, "force_n": 41}]),
            spring_group(positions=8, free_lengths_mm=[31.0, 31.4]),
            spring_group(name="inner", count=None, ends=None, wire_material="music wire"),
        ],
    },
    {"kind": "load", "force_n": {"value": 900, "std": 20}, "rate_n_per_mm": 120},
    {"kind": "load"},
    {
        "kind": "disc",
        "outside_mm": 80,
        "inside_mm": 40,
        "thickness_mm": {"value": 2, "plus_minus": 0.01, "how": "measured"},
        "cone_height_mm": 3,
        "installed_deflection_mm": 0,
        "in_parallel": 2,
        "in_series": 3,
        "modulus_mpa": 200000,
        "poisson": 0.29,
    },
    {"kind": "disc"},
    {
        "kind": "disc_table",
        "points": [{"deflection_mm": 1, "force_n": 500}, {"deflection_mm": 2, "force_n": 700}],
        "installed_deflection_mm": 1.5,
    },
    {
        "kind": "centrifugal",
        "weights": 6,
        "weight_mass_g": 30,
        "radius_mm": {"value": 40, "plus_minus": 0.5},
        "ramp_angle_deg": 30,
        "return_force_n": 200,
    },
]


def kept(document: Pack) -> PackParts:
    """The rows that a document would have in a database."""
    groups = getattr(document.clamp, "springs", [])
    springs = [{"id": i, **spring_values(group, i)} for i, group in enumerate(groups)]
    return PackParts(
        row=pack_values(document, None),
        springs=springs,
        load_points={i: load_point_values(group) for i, group in enumerate(groups)},
        friction=friction_values(document),
        facing=document.facing,
    )


@pytest.mark.parametrize("clamp", CLAMPS, ids=lambda clamp: str(clamp and clamp["kind"]))
def test_rows_give_back_the_document_and_what_the_mechanics_take(clamp: Any) -> None:
    document = make_pack(
        clamp=clamp,
        surfaces=7,
        spline_count=14,
        gear_teeth=64,
        lever_ratio=20,
        friction_plate_mm=2.8,
        plain_plate_mm=1.2,
        surfaces_reason="one face bare",
        facing="paper",
        friction={"dry": {"static": 0.3}, "oiled": {"static": 0.14, "sliding": {"value": 0.1}}},
        notes="a\nb",
        checked={"by": "Bo", "at": "2026-11-25"},
    )
    assert pack_document(kept(document)) == document
    exact = document.model_copy(update={"facing_od_mm": None, "facing_id_mm": None})
    exact = Pack.model_validate(without_open_doubts(exact.written()))
    assert pack_inputs(kept(exact)) == exact.to_inputs()


def without_open_doubts(raw: Any) -> Any:
    """The same with no figure that says how it is known but not how well."""
    if isinstance(raw, dict):
        if "how" in raw and "plus_minus" not in raw and "std" not in raw:
            return raw["value"]
        return {key: without_open_doubts(value) for key, value in raw.items()}
    return [without_open_doubts(v) for v in raw] if isinstance(raw, list) else raw


def test_an_empty_pack_comes_back_empty() -> None:
    document = Pack(name="x")
    assert pack_document(kept(document)) == document
    assert pack_inputs(kept(document)) == document.to_inputs()


def test_the_facing_s_friction_stands_in_only_where_the_pack_has_none() -> None:
    paper = next(f for f in published_facings() if f.name == "paper")
    parts = dataclasses.replace(
        kept(make_pack(facing="paper")), facing_friction=facing_friction_values(paper)
    )
    made = pack_inputs(parts)
    assert made.friction["oiled", "sliding"] == Quantity(0.11, plus_minus=0.01)
    assert made.friction_source["oiled", "sliding"] == OWN
    bare = pack_inputs(dataclasses.replace(parts, friction=()))
    assert "Juvinall" in bare.friction_source["oiled", "sliding"]


def test_the_stored_table_gives_the_same_friction_as_the_published_one() -> None:
    """The same rule is applied to the file by the mechanics and to the rows here."""
    published = {f.name.replace(" ", "_"): f for f in published_facings()}
    for facing in {row.facing for row in friction_rows()}:
        rows = facing_friction_values(published[facing])
        for state in STATES:
            assert facing_friction(rows, *state) == table_friction(facing, *state), (facing, state)


def test_a_row_with_one_figure_gets_the_usual_doubt_of_a_listed_one() -> None:
    row = {"lubrication": "dry", "kind": "both", "friction": 0.3, "low": None, "high": None}
    found = facing_friction([row | {"source": None}], "dry", "static")
    limit = default_doubt("friction", "listed", 0.3)
    assert found == (Quantity(0.3, plus_minus=limit, how="listed"), "the table of facings")


def test_the_least_cautious_pressure_of_the_facing_is_the_limit() -> None:
    rows = [
        {"p_max_low_mpa": None, "source": "a"},
        {"p_max_low_mpa": 1.0, "source": "b"},
        {"p_max_low_mpa": 0.4, "source": "c"},
    ]
    full = [
        {"lubrication": "dry", "kind": "static", "friction": 0.3, "low": None, "high": None} | r
        for r in rows
    ]
    made = pack_inputs(dataclasses.replace(kept(make_pack()), facing_friction=full))
    assert (made.pressure_limit_mpa, made.pressure_limit_source) == (0.4, "c")
