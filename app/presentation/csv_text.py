"""CSV as the program writes and reads it: inert in a spreadsheet, and unchanged on the way back.

UTF-8 with a byte order mark, CRLF, comma, point decimals. The header comes first and names the
units. Text is always quoted; numbers stand bare at full precision; what is missing is empty. Text
that a spreadsheet would take for a formula gets one leading apostrophe, and reading takes exactly
that one off again (``csv_reading``, given here too). Negative numbers come from numbers, not from
text, and stay as they are.
"""

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from functools import lru_cache
from numbers import Integral, Real

from app.presentation.csv_guard import BOM, Variant, guarded
from app.presentation.csv_reading import CsvLimits, CsvTable, parse_csv, read_csv

__all__ = [
    "CsvLimits",
    "CsvTable",
    "attachment_headers",
    "csv_blocks",
    "csv_text",
    "parse_csv",
    "read_csv",
]

_SEPARATORS: dict[Variant, str] = {"comma": ",", "semicolon": ";"}

FIRST_ROWS = 50
"""The first block is small: whoever waits sees at once that something comes."""


def csv_text(
    columns: Sequence[str], rows: Iterable[Sequence[object]], *, variant: Variant = "comma"
) -> str:
    """Write a whole table.

    Args:
        columns: headings, with units in the names.
        rows: cells in the order of the columns: text, numbers, dates, truth values or None.
        variant: ``comma``, or the named variant ``semicolon``.

    Raises:
        ValueError: a row has more or fewer cells than there are columns.
    """
    return "".join(csv_blocks(columns, rows, variant=variant))


def csv_blocks(
    columns: Sequence[str],
    rows: Iterable[Sequence[object]],
    *,
    variant: Variant = "comma",
    rows_per_block: int = 500,
) -> Iterator[str]:
    """Write a table in blocks, for an answer that is sent as it is made.

    The rows should be at hand before the first block goes out: nothing can be taken back then.
    """
    block = [BOM + _line(columns, variant)]
    wanted = min(FIRST_ROWS, rows_per_block)
    for row in rows:
        if len(row) != len(columns):
            raise ValueError(f"{len(row)} cells in a row for {len(columns)} columns")
        block.append(_line(row, variant))
        if len(block) >= wanted:
            yield "".join(block)
            block.clear()
            wanted = rows_per_block
    if block:
        yield "".join(block)


def attachment_headers(stem: str, when: date) -> dict[str, str]:
    """Give the headers of a CSV answer; the file name is made here, of ASCII, with the date.

    >>> attachment_headers("board", date(2026, 3, 1))["Content-Disposition"]
    'attachment; filename="gripledger-board-2026-03-01.csv"'
    """
    plain = re.sub(r"[^a-z0-9]+", "-", stem.lower()).strip("-") or "table"
    name = f"gripledger-{plain[:60]}-{when:%Y-%m-%d}.csv"
    return {
        "Content-Type": "text/csv; charset=utf-8",
        "Content-Disposition": f'attachment; filename="{name}"',
        "X-Content-Type-Options": "nosniff",
        "Cache-Control": "no-store",
    }


def _line(cells: Sequence[object], variant: Variant) -> str:
    return _SEPARATORS[variant].join([_cell(cell, variant) for cell in cells]) + "\r\n"


def _cell(value: object, variant: Variant) -> str:
    if value is None:
        return ""
    # Plain text and plain numbers first: a large board has millions of them.
    if type(value) is str:
        return _text(value)
    if type(value) is float:
        return _number(value, variant)
    if type(value) is int:
        return str(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Integral):
        return str(int(value))
    if isinstance(value, Real):
        return _number(float(value), variant)
    if isinstance(value, datetime | date):
        return f'"{value.isoformat()}"'
    if isinstance(value, str):
        return _text(value)
    raise TypeError(f"a CSV cell holds text, a number, a date or nothing, not {type(value)}")


@lru_cache(maxsize=8192)  # names, ids and words come again in row after row
def _text(value: str) -> str:
    return '"' + guarded(value).replace('"', '""') + '"'


def _number(value: float, variant: Variant) -> str:
    if not math.isfinite(value):
        return ""  # not known
    text = repr(value)
    return text.replace(".", ",") if variant == "semicolon" else text
