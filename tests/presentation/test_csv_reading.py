"""CSV in: each way of being broken has its own sentence, and nothing brings the reader down."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import BadInput
from app.presentation.csv_reading import (
    CsvLimits,
    _marked_record,
    _whole_line,
    parse_csv,
    read_csv,
)

SMALL = CsvLimits(bytes=200, rows=3, columns=4, cell=20)


def problems(data: bytes, limits: CsvLimits | None = None) -> list[tuple[str, str]]:
    with pytest.raises(BadInput) as caught:
        parse_csv(data, limits)
    return [(problem.field, problem.message) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b"\xef\xbb\xbf", "is empty"),
        (b" \r\n\r\n", "is empty"),
        (b"id,name\r\n", "holds only its header"),
        (b"id,name", "holds only its header"),
        (b"id,name\r\n\r\n\r\n", "holds only its header"),
        (b"id,name\r\n1,caf\xe9\r\n", "Line 2 holds the byte 0xe9, which is not UTF-8"),
        ("id,name\r\n1,x\r\n".encode("utf-16"), "is in UTF-16"),
        (b"id,name\r\n1,x\0y\r\n", "Line 2 holds a NUL character"),
        (b'id,name\r\n1,"open\r\n2,x\r\n', "opens in line 2 is never closed"),
        (b'id,name\r\n1,"a" b\r\n', "Line 2 goes on after a closing quotation mark"),
        (b'id,name\r\n1,3" pipe\r\n', "Line 2 has a quotation mark inside a cell"),
        (b"id,name,id\r\n1,2,3\r\n", "“id” stands twice"),
        (b"id,,name\r\n1,2,3\r\n", "Column 2 has no heading"),
        (b"\r\nid,name\r\n1,2\r\n", "Column 1 has no heading"),
        (b"id\tname\r\n1\tx\r\n", "parted by tabs"),
    ],
)
def test_a_broken_file_is_told_what_is_wrong(data: bytes, words: str) -> None:
    found = problems(data)
    assert len(found) == 1
    assert found[0][0] == "file"
    assert words in found[0][1]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"id,name\r\n" + b"1,x\r\n" * 50, "has 259 bytes. Send at most 200"),
        (b"id,name\r\n" + b"1,x\r\n" * 4, "more than 3 rows"),
        (b"a,b,c,d,e\r\n1,2,3,4,5\r\n", "Line 1 has more than 4 columns"),
        (b"id,name\r\n1," + b"x" * 21 + b"\r\n", "cell in line 2 has more than 20 characters"),
        (b'id,name\r\n1,"' + b"x" * 21 + b'"\r\n', "cell in line 2 has more than 20 characters"),
    ],
)
def test_a_file_over_a_limit_is_told_which(data: bytes, words: str) -> None:
    assert words in problems(data, SMALL)[0][1]


def test_limits_themselves_are_taken() -> None:
    rows = parse_csv(b"id,name\r\n" + b"1," + b"x" * 20 + b"\r\n" + b"1,x\r\n" * 2, SMALL)
    assert len(rows) == 3


def test_every_ragged_row_is_named_with_its_number() -> None:
    found = problems(b"id,name\r\n1,x\r\n2\r\n\r\n3,y,z\r\n4,w\r\n")
    assert [field for field, _ in found] == ["row 3", "row 4", "row 5"]
    assert "Row 3 has 1 cells, the header has 2" in found[0][1]
    assert "Row 4 is empty" in found[1][1]
    assert "Row 5 has 3 cells" in found[2][1]


def test_a_quoted_cell_holds_separators_and_line_ends() -> None:
    rows = parse_csv(b'id,note\r\n1,"a, ""b""\r\nc"\r\n2,d\r\n')
    assert rows == [{"id": "1", "note": 'a, "b"\r\nc'}, {"id": "2", "note": "d"}]


@pytest.mark.parametrize("end", [b"\r\n", b"\n", b"\r"])
@pytest.mark.parametrize("start", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("blank", [0, 2])
def test_line_ends_and_byte_order_mark_of_other_programs(
    end: bytes, start: bytes, blank: int
) -> None:
    data = start + end.join([b"id,name", b"1,x", b"2,"]) + end * (1 + blank)
    assert parse_csv(data) == [{"id": "1", "name": "x"}, {"id": "2", "name": ""}]
    assert parse_csv(data.rstrip(b"\r\n")) == parse_csv(data)


def test_the_semicolon_variant_is_known_by_its_header() -> None:
    table = read_csv(b'id;od_mm;note\r\n1;12,5;"12,5"\r\n2;-1,5e-3;\'=a\r\n3;7;a,b\r\n')
    assert table.variant == "semicolon"
    assert table.columns == ("id", "od_mm", "note")
    assert [row["od_mm"] for row in table.rows] == ["12.5", "-1.5e-3", "7"]
    assert [row["note"] for row in table.rows] == ["12,5", "=a", "a,b"]


def test_a_semicolon_inside_a_quoted_heading_is_no_separator() -> None:
    assert read_csv(b'"a;b",c\r\n1,2\r\n').columns == ("a;b", "c")
    assert read_csv(b'"a;b"\r\n1\r\n').columns == ("a;b",)


def test_one_column_may_have_empty_cells() -> None:
    assert parse_csv(b"name\r\nx\r\n\r\ny\r\n") == [{"name": "x"}, {"name": ""}, {"name": "y"}]


@given(st.binary(max_size=300) | st.text('"a1,;\r\n\t\0', max_size=40).map(str.encode))
def test_whatever_comes_is_read_or_refused(data: bytes) -> None:
    try:
        rows = parse_csv(data)
    except BadInput as error:
        found = error.problems
        rows = []
    else:
        found = []
    assert bool(rows) != bool(found)
    assert all(problem.message.endswith(".") for problem in found)
    assert len({tuple(row) for row in rows}) <= 1


@given(st.text('ab ",;\'=\r\n1', max_size=40), st.sampled_from([",", ";"]))
def test_a_line_taken_whole_is_what_its_cells_are_one_by_one(text: str, separator: str) -> None:
    limits = CsvLimits()
    for place in range(len(text)):
        whole = _whole_line(text, place, separator, limits)
        if whole is not None:
            record, after = _marked_record(text, place, separator, limits)
            assert (whole[0].texts, whole[1]) == (record.texts, after)
            assert separator == "," or set(whole[0].quoted) == set(record.quoted)
