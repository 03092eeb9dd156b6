"""CSV out: the form of the file, and every cell unchanged when it is read again."""

import csv
import io
import math
from datetime import UTC, date, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.presentation.csv_text import attachment_headers, csv_blocks, csv_text, parse_csv, read_csv

COLUMNS = ("id", "name", "od_mm")


def test_the_form_of_a_file_byte_for_byte() -> None:
    rows = [
        (7, 'The "old" one, dry', 115.25),
        (8, "=SUM(A1)", -0.1),
        (9, None, None),
    ]
    assert csv_text(COLUMNS, rows).encode() == (
        b"\xef\xbb\xbf"
        b'"id","name","od_mm"\r\n'
        b'7,"The ""old"" one, dry",115.25\r\n'
        b'8,"\'=SUM(A1)",-0.1\r\n'
        b"9,,\r\n"
    )


def test_the_semicolon_variant_has_decimal_commas() -> None:
    text = csv_text(COLUMNS, [(7, "12,5; or so", 1.5e-7)], variant="semicolon")
    assert text == '\ufeff"id";"name";"od_mm"\r\n7;"12,5; or so";1,5e-07\r\n'


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        (True, "true"),
        (False, "false"),
        (np.float64(0.1), "0.1"),
        (np.int64(3), "3"),
        (math.nan, ""),
        (math.inf, ""),
        (date(2026, 3, 1), '"2026-03-01"'),
        (datetime(2026, 3, 1, 12, 30, tzinfo=UTC), '"2026-03-01T12:30:00+00:00"'),
        ("", '""'),
        ("-5", '"\'-5"'),
        (-5, "-5"),
    ],
)
def test_cells(value: object, cell: str) -> None:
    assert csv_text(("a",), [(value,)]).splitlines()[1] == cell


def test_headings_are_guarded_too() -> None:
    assert csv_text(("=cmd",), []).startswith('\ufeff"\'=cmd"')


def test_a_cell_of_no_known_kind_is_an_error_of_ours() -> None:
    with pytest.raises(TypeError):
        csv_text(("a",), [(object(),)])
    with pytest.raises(ValueError, match="2 cells in a row for 1 columns"):
        csv_text(("a",), [(1, 2)])


def test_blocks_put_together_are_the_whole_text() -> None:
    rows = [(n, f"pack {n}", n / 7) for n in range(25)]
    blocks = list(csv_blocks(COLUMNS, rows, rows_per_block=10))
    assert len(blocks) == 3
    assert "".join(blocks) == csv_text(COLUMNS, rows)
    assert all(block.endswith("\r\n") for block in blocks)


_NUMBERS = st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**9), 10**9)
_TEXTS = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=20)
_ROWS = st.lists(
    st.tuples(st.none() | _TEXTS, st.none() | _NUMBERS, _TEXTS), min_size=1, max_size=6
)


@pytest.mark.parametrize("variant", ["comma", "semicolon"])
@given(rows=_ROWS)
def test_every_text_and_every_number_comes_back_the_same(variant: str, rows: list) -> None:
    text = csv_text(COLUMNS, rows, variant=variant)  # type: ignore[arg-type]  # from the list above
    table = read_csv(text.encode())
    assert table.variant == variant
    assert table.columns == COLUMNS
    for row, back in zip(rows, table.rows, strict=True):
        assert back["id"] == (row[0] or "")
        assert back["od_mm"] == row[2]
        if row[1] is None:
            assert back["name"] == ""
        else:
            assert float(back["name"]) == row[1]


@given(_ROWS)
def test_the_standard_reader_sees_the_same_cells(rows: list) -> None:
    text = csv_text(COLUMNS, rows).removeprefix("\ufeff")
    ours = parse_csv(text.encode())
    theirs = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    for row, other in zip(ours, theirs, strict=True):
        assert row["name"] == other["name"]
        assert other["od_mm"] in (row["od_mm"], "'" + row["od_mm"])


def test_headers_of_the_answer() -> None:
    headers = attachment_headers("Brett & Söhne/../x\r\n", date(2026, 3, 1))
    assert headers == {
        "Content-Type": "text/csv; charset=utf-8",
        "Content-Disposition": 'attachment; filename="gripledger-brett-s-hne-x-2026-03-01.csv"',
        "X-Content-Type-Options": "nosniff",
        "Cache-Control": "no-store",
    }
    assert (
        "gripledger-table-2026" in attachment_headers("†", date(2026, 3, 1))["Content-Disposition"]
    )
