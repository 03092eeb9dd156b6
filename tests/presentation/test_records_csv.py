import pytest

from app.documents import Engine, Offer, Pack
from app.presentation.csv_text import csv_text, parse_csv
from app.presentation.records_csv import (
    all_columns,
    columns_help,
    csv_metadata,
    problem_sheet,
    record_sheet,
)
from tests.factories import make_pack


def test_id_and_version_come_first_then_every_usual_column() -> None:
    sheet = record_sheet(Pack, [("abc", 3, make_pack())])
    assert sheet.headings[:3] == ("id", "version", "name")
    (row,) = sheet.rows
    assert row[:3] == ("abc", 3, "Tern 4")
    assert "facing_od_mm_by" in sheet.headings
    assert sheet.headings.index("facing_od_mm_by") == sheet.headings.index("facing_od_mm_how") + 1


def test_an_empty_table_has_only_the_usual_columns() -> None:
    sheet = record_sheet(Pack, [])
    assert sheet.rows == ()
    assert "facing_od_mm_by" not in sheet.headings
    assert "clamp.springs.0.count" in sheet.headings
    with pytest.raises(ValueError, match="no column colour"):
        all_columns(Pack, ["colour"])


def test_text_that_a_spreadsheet_would_run_is_inert_and_comes_back() -> None:
    for text in ("=1+1", "+x", "-x", "@x", "'=1", "a;b,c", 'say "x"'):
        sheet = record_sheet(Offer, [("abc", 1, Offer(name=text))])
        written = csv_text(sheet.headings, sheet.rows)
        assert f',"{text}"' not in written or text[0] not in "=+-@"
        assert parse_csv(written.encode())[0]["name"] == text


def test_rows_with_problems_keep_their_cells() -> None:
    cells = {"id": "", "name": "A", "lift_mm": "much", "problem": "old", "how_to_fix": "old"}
    problems = [["lift_mm", "much", "Write a number."], ["", "", "Fill it in."]]
    sheet = problem_sheet(list(cells), [(cells, problems)])
    assert sheet.headings == ("id", "name", "lift_mm", "problem", "how_to_fix")
    assert sheet.rows == (
        ("", "A", "much", "lift_mm: much; row: blank", "Write a number. Fill it in."),
    )


def test_the_metadata_names_every_column_with_type_and_key() -> None:
    headings = record_sheet(Engine, []).headings
    written = csv_metadata(Engine, "engines.csv", headings)
    schema = written["tableSchema"]
    assert schema["primaryKey"] == "id"
    assert [column["titles"] for column in schema["columns"]] == list(headings)
    by_title = {column["titles"]: column for column in schema["columns"]}
    assert by_title["displacement_cc"]["datatype"] == "double"
    assert "cm³" in by_title["displacement_cc"]["dc:description"]
    assert by_title["version"]["datatype"] == "integer"
    assert len({column["name"] for column in schema["columns"]}) == len(headings)


def test_every_column_is_explained() -> None:
    for model in (Pack, Engine, Offer):
        told = dict(columns_help(model))
        assert "blank for a new one" in told["id"]
        assert [name for name, text in told.items() if not text and "kind" not in name] == []
