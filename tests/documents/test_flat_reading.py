"""What a document becomes as a row, the row makes again; over a record it changes what it says."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.documents import Document, Engine, Pack
from app.documents.flat import column_of, flattened, usual_columns
from app.documents.flat_reading import FileColumns, RowRead, read_row
from tests.factories import make_engine_document, make_pack, spring_group
from tests.properties.random_documents import engine_documents, pack_documents


def cell(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def row_of(document: Document) -> tuple[list[Any], dict[str, str]]:
    flat, model = flattened(document), type(document)
    columns = list(
        dict.fromkeys([*(column_of(model, name) for name in flat), *usual_columns(model)])
    )
    return columns, {c.name: cell(flat[c.name]) if c.name in flat else "" for c in columns}


def read(standing: Document, **cells: str) -> RowRead[Any]:
    model = type(standing)
    texts = {name.replace("__", "."): text for name, text in cells.items()}
    columns = [column_of(model, name) for name in texts]
    return read_row(model, FileColumns(columns), texts, standing.written())


@given(st.one_of(pack_documents(), engine_documents()))
def test_a_row_makes_the_document_it_was_made_of(document: Document) -> None:
    columns, cells = row_of(document)
    for standing in (None, document.written()):
        found = read_row(type(document), FileColumns(columns), cells, standing)
        assert found.problems == ()
        assert found.document == document


def test_a_column_that_is_not_there_leaves_its_field() -> None:
    found = read(make_pack(), lift_mm="2").document
    assert found == make_pack(lift_mm=2)


def test_a_blank_cell_takes_the_field_out() -> None:
    found = read(make_pack(), lift_mm="", friction_plates=" ", mounting="").document
    assert (found.lift_mm, found.friction_plates, found.mounting) == (None, None, None)


def test_a_new_value_drops_doubt_words_and_origin_of_the_old() -> None:
    pack = make_pack(facing_od_mm={
        "value": 110, "plus_minus": 0.2, "how": "measured", "typed": "110,0", "by": "Ann",
    })  # fmt: skip
    assert read(pack, facing_od_mm="110").document == pack
    figure = read(pack, facing_od_mm="111").document.facing_od_mm
    assert figure.written() if hasattr(figure, "written") else figure.model_dump() == 111


def test_a_new_doubt_drops_the_old_one_of_either_kind_and_its_words() -> None:
    pack = make_pack(lift_mm={
        "value": 1.2, "std": 0.1, "typed": "1,2", "typed_doubt": "0,1", "how": "listed",
    })  # fmt: skip
    figure = read(pack, lift_mm="1.2", lift_mm_plus_minus="0.3").document.lift_mm
    assert (figure.plus_minus, figure.std, figure.typed_doubt) == (0.3, None, None)
    assert (figure.typed, figure.how) == ("1,2", "listed")


def test_another_kind_of_clamp_takes_the_place_of_the_old_one() -> None:
    found = read(make_pack(), clamp__kind="load", clamp__force_n="900").document
    assert found.clamp.kind == "load"
    assert found.clamp.force_n.value == 900


def test_a_group_whose_cells_are_blank_goes_and_others_stay() -> None:
    clamp = {"kind": "coil", "springs": [spring_group(count=3), spring_group(count=4)]}
    names = ("count", "free_length_mm", "installed_length_mm", "shim_mm", "rate_n_per_mm",
             "wire_mm", "outside_mm", "total_coils", "ends")  # fmt: skip
    blank = {f"clamp__springs__0__{name}": "" for name in names}
    found = read(make_pack(clamp=clamp), **blank).document
    assert [group.count for group in found.clamp.springs] == [4]


def test_a_third_group_is_added_behind() -> None:
    found = read(make_pack(), clamp__springs__1__count="2").document
    assert [group.count for group in found.clamp.springs] == [6, 2]


def test_teeth_are_a_pair() -> None:
    found = read(make_engine_document(), primary_teeth__0="20").document
    assert found.primary_teeth == (20, 64)
    problems = read(make_engine_document(), primary_teeth__0="").problems
    assert problems
    both = read(make_engine_document(), primary_teeth__0="", primary_teeth__1="").document
    assert both.primary_teeth is None


@pytest.mark.parametrize(
    ("cells", "heading", "words"),
    [
        ({"lift_mm": "wide"}, "lift_mm", "Write a number"),
        ({"lift_mm": "9**9"}, "lift_mm", "Write"),
        ({"lift_mm": "1e400"}, "lift_mm", "Write a number between"),
        ({"friction_plates": "2.5"}, "friction_plates", "Write a whole number"),
        ({"lift_mm": "1", "lift_mm_how": "guessed"}, "lift_mm_how", "measured"),
        ({"lift_mm": "1", "lift_mm_default_doubt": "maybe"}, "lift_mm_default_doubt", "yes or"),
        ({"clamp.springs.0.load_points_mm_n": "1 2 3"}, "clamp.springs.0.load_points_mm_n",
         "pairs"),
        ({"lift_mm": "", "lift_mm_how": "listed"}, "lift_mm", "Add value"),
        ({"clamp.kind": "load", "clamp.weights": "3"}, "clamp.weights", "does not belong"),
        ({"clamp.kind": "glue"}, "clamp.kind", "Write one of"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_names_its_column_and_what_would_be_right(
    cells: dict[str, str], heading: str, words: str
) -> None:
    columns = [column_of(Pack, name) for name in cells]
    found = read_row(Pack, FileColumns(columns), cells, make_pack().written())
    assert found.document is None
    assert [p.heading for p in found.problems] == [heading]
    assert words in found.problems[0].expected
    assert found.problems[0].found == cells.get(heading, "").strip()


def test_a_spreadsheet_s_ways_are_understood() -> None:
    found = read(make_pack(), friction_plates="6.0", lift_mm="1,5").document
    assert (found.friction_plates, found.lift_mm.value) == (6, 1.5)
    flag = read(make_pack(), lift_mm="1", lift_mm_plus_minus="0.1", lift_mm_default_doubt="TRUE")
    assert flag.document.lift_mm.default_doubt


def test_a_long_cell_is_shown_in_part() -> None:
    found = read(make_pack(), lift_mm="x" * 500)
    assert len(found.problems[0].found) < 70


def test_an_engine_by_its_curve() -> None:
    text = "3000 10.5; 5000 12;"
    cells = {"name": "A", "torque.kind": "curve", "torque.points_rpm_nm": text}
    columns = FileColumns([column_of(Engine, n) for n in cells])
    found = read_row(Engine, columns, cells, None).document
    assert found.torque.points == [(3000.0, 10.5), (5000.0, 12.0)]


def test_springs_measured_one_by_one_come_back_as_a_list() -> None:
    group = spring_group(free_length_mm=None, free_lengths_mm=[31.0, 31.4, 31.2], positions=6)
    pack = make_pack(clamp={"kind": "coil", "springs": [group]})
    columns, cells = row_of(pack)
    found = read_row(Pack, FileColumns(columns), cells, None)
    assert found.problems == ()
    assert found.document == pack
