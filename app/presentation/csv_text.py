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

import numpy as np
from pydantic_core import to_json

from app.mechanics.traced import Array
from app.presentation.csv_guard import BOM, Variant, guarded
from app.presentation.csv_reading import CsvLimits, CsvTable, parse_csv, read_csv

__all__ = [
    "CsvLimits",
    "CsvTable",
    "attachment_headers",
    "csv_blocks",
    "csv_line",
    "csv_text",
    "number_lines",
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
    block = [BOM + csv_line(columns, variant) + "\r\n"]
    wanted = min(FIRST_ROWS, rows_per_block)
    for row in rows:
        if len(row) != len(columns):
            raise ValueError(f"{len(row)} cells in a row for {len(columns)} columns")
        block.append(csv_line(row, variant) + "\r\n")
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


def csv_line(cells: Iterable[object], variant: Variant = "comma") -> str:
    """Some cells side by side, without the end of the line.

    >>> csv_line(["one", 1.5, None, 2])
    '"one",1.5,,2'
    """
    return _SEPARATORS[variant].join([_cell(cell, variant) for cell in cells])


def number_lines(figures: Array, variant: Variant = "comma") -> list[str]:
    """Many lines of numbers, each the text that `csv_line` gives, six times as fast.

    Both write the shortest digits that read back as the same number; from 0.0001 up to 10¹⁶ JSON
    writes them as Python does. Lines with another number, or one that is not known, go one by one.

    Args:
        figures: shape (lines, numbers in a line), at least one number in a line.
        variant: ``comma``, or ``semicolon`` with decimal commas.
    """
    if not figures.size:
        return []
    size = np.abs(figures)
    alike = (((size >= 1e-4) & (size < 1e16)) | (size == 0.0)).all(axis=1)
    numbers = figures.tolist()
    lines = to_json(numbers).decode()[2:-2].split("],[")
    if variant == "semicolon":
        lines = [line.replace(",", ";").replace(".", ",") for line in lines]
    for place in np.flatnonzero(~alike).tolist():
        lines[place] = csv_line(numbers[place], variant)
    return lines


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
