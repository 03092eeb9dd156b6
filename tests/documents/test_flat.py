import json

import pytest

from app.documents import Engine, Offer, Pack
from app.documents.doubts import with_defaults
from app.documents.flat import (
    column_of,
    flattened,
    heading_of,
    points_text,
    problem_heading,
    usual_columns,
)
from app.settings import PROJECT_ROOT
from tests.factories import make_engine_document, make_pack, spring_group

DEMO = PROJECT_ROOT / "seed_data" / "demo"


def test_a_document_is_one_row_named_by_its_paths() -> None:
    points = [{"deflection_mm": 2, "force_n": 40.5}, {"deflection_mm": 4, "force_n": 81}]
    clamp = {"kind": "coil", "springs": [spring_group(), spring_group(load_points=points)]}
    cells = flattened(make_pack(clamp=clamp))
    assert cells["name"] == "Tern 4"
    assert cells["facing_od_mm"] == 110.0
    assert (cells["facing_od_mm_by"], cells["facing_id_mm_with_what"]) == ("Ann", "calliper")
    assert cells["friction.oiled.sliding_plus_minus"] == 0.01
    assert cells["clamp.kind"] == "coil"
    assert cells["clamp.springs.1.load_points_mm_n"] == "2.0 40.5; 4.0 81.0"
    assert "clamp.springs.0.load_points_mm_n" not in cells
    assert None not in cells.values()


def test_teeth_and_curves_have_their_columns() -> None:
    curve = {"kind": "curve", "points": [[3000, 10], [5000, 12.5]], "at": "wheel"}
    cells = flattened(make_engine_document(torque=curve))
    assert (cells["primary_teeth.0"], cells["primary_teeth.1"]) == (19, 64)
    assert cells["torque.points_rpm_nm"] == "3000.0 10.0; 5000.0 12.5"


@pytest.mark.parametrize(("model", "file"), [(Pack, "packs"), (Engine, "engines")])
def test_every_cell_of_the_made_up_shop_has_a_known_column(model: type[Pack], file: str) -> None:
    for raw in json.loads((DEMO / f"{file}.json").read_text(encoding="utf-8")):
        document = with_defaults(model.model_validate(raw))
        assert [name for name in flattened(document) if column_of(model, name) is None] == []


@pytest.mark.parametrize("model", [Pack, Engine, Offer])
def test_an_empty_table_has_each_column_once_and_all_are_known(model: type[Pack]) -> None:
    names = [column.name for column in usual_columns(model)]
    assert len(set(names)) == len(names)
    assert names[0] == "name"
    assert all(column_of(model, name) is not None for name in names)
    assert all(column.help for column in usual_columns(model) if column.path != "clamp.kind")


@pytest.mark.parametrize(
    ("model", "heading", "path", "kind"),
    [
        (Pack, "lift_mm", "lift_mm", "figure"),
        (Pack, "lift_mm_std", "lift_mm", "number"),
        (Pack, "lift_mm_default_doubt", "lift_mm", "flag"),
        (Pack, "lift_mm_typed_doubt", "lift_mm", "text"),
        (Pack, "clamp.springs.49.wire_mm", "clamp.springs.49.wire_mm", "figure"),
        (Pack, "clamp.points_mm_n", "clamp.points", "points"),
        (Engine, "torque.at", "torque.at", "text"),
        (Engine, "torque.relative_doubt", "torque.relative_doubt", "number"),
        (Engine, "strokes", "strokes", "count"),
        (Offer, "price", "price", "number"),
        (Pack, "checked.by", "checked.by", "text"),
    ],
)
def test_a_heading_names_a_column(model: type[Pack], heading: str, path: str, kind: str) -> None:
    column = column_of(model, heading)
    assert column is not None
    assert (column.path, column.kind, column.name) == (path, kind, heading)


@pytest.mark.parametrize(
    "heading",
    ["lift_in", "name_how", "clamp", "clamp.springs", "clamp.springs.50.wire_mm", "friction_std",
     "torque.points", "clamp.springs.x.wire_mm", "", ".", "primary_teeth.2", "lift_mm_how_how"],
)  # fmt: skip
@pytest.mark.parametrize("model", [Pack, Engine])
def test_other_headings_name_none(model: type[Pack], heading: str) -> None:
    assert column_of(model, heading) is None


def test_columns_of_a_figure_stand_side_by_side() -> None:
    names = ["lift_mm_by", "lift_mm", "clamp.springs.1.wire_mm", "lift_mm_plus_minus", "name"]
    columns = [column_of(Pack, name) for name in names]
    ordered = sorted((c for c in columns if c is not None), key=lambda column: column.order)
    assert [c.name for c in ordered] == [
        "name", "clamp.springs.1.wire_mm", "lift_mm", "lift_mm_plus_minus", "lift_mm_by",
    ]  # fmt: skip


def test_points_are_written_to_the_last_digit() -> None:
    assert points_text([[1 / 3, 0.1 + 0.2]]) == f"{1 / 3!r} {0.1 + 0.2!r}"
    assert heading_of("clamp.springs.2.load_points") == "clamp.springs.2.load_points_mm_n"


@pytest.mark.parametrize(
    ("path", "heading"),
    [
        ("lift_mm", "lift_mm"),
        ("lift_mm.value", "lift_mm"),
        ("lift_mm.plus_minus", "lift_mm_plus_minus"),
        ("clamp", "clamp.kind"),
        ("clamp.springs.0.load_points.1.force_n", "clamp.springs.0.load_points_mm_n"),
        ("nothing.at.all", ""),
    ],
)
def test_a_problem_finds_its_column(path: str, heading: str) -> None:
    assert problem_heading(Pack, path) == heading
