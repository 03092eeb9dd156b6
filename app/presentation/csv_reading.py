"""Reading CSV back: what ``app.presentation.csv_text`` writes, and what a spreadsheet makes of it.

Each way in which a file can be broken is told by its own sentence, with the row or line.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from app.errors import BadInput, Problem
from app.presentation.csv_guard import BOM, Variant, unguarded

_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+(?:[eE][+-]?[0-9]+)?")
_BARE = {",": re.compile(r'[^",\r\n]*'), ";": re.compile(r'[^";\r\n]*')}
_LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True)
class CsvLimits:
    """How large a file is taken: bytes, rows without the header, columns, characters of a cell."""

    bytes: int = 2 * 1024 * 1024
    rows: int = 5000
    columns: int = 200
    cell: int = 10_000


@dataclass(frozen=True)
class CsvTable:
    """A file that was read.

    Attributes:
        variant: how it was written, recognised from its header.
        columns: the headings in their order.
        rows: text of each cell by heading; "" where nothing stands. Row n of a spreadsheet is
            ``rows[n - 2]``.
    """

    variant: Variant
    columns: tuple[str, ...]
    rows: list[dict[str, str]]


@dataclass(frozen=True)
class _Cell:
    text: str
    quoted: bool


def parse_csv(data: bytes, limits: CsvLimits | None = None) -> list[dict[str, str]]:
    """Read a CSV file into rows by heading.

    Raises:
        BadInput: the file is not such a table; its problems name what is wrong and where.
    """
    return read_csv(data, limits).rows


def read_csv(data: bytes, limits: CsvLimits | None = None) -> CsvTable:
    """Read a CSV file with its headings and the variant it was written in.

    Raises:
        BadInput: the file is not such a table; its problems name what is wrong and where.
    """
    allowed = limits or CsvLimits()
    text = _decoded(data, allowed)
    separator = _separator(text)
    records = _records(text, separator, allowed)
    columns = _header(next(records))
    rows = [
        {heading: _plain(cell, separator) for heading, cell in zip(columns, record, strict=True)}
        for record in _even(records, len(columns), allowed)
    ]
    if not rows:
        raise _file_problem("The file holds only its header. Add a row for each record below it.")
    return CsvTable("semicolon" if separator == ";" else "comma", columns, rows)


def _file_problem(message: str) -> BadInput:
    return BadInput([Problem("file", message)])


def _decoded(data: bytes, limits: CsvLimits) -> str:
    if len(data) > limits.bytes:
        raise _file_problem(
            f"The file has {len(data)} bytes. Send at most {limits.bytes}: split it in two."
        )
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise _file_problem("The file is in UTF-16. Save it as CSV in UTF-8.")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _file_problem(
            f"Line {line} holds the byte {data[error.start]:#04x}, which is not UTF-8; the file "
            "may be in Windows-1252. Save it as CSV in UTF-8."
        ) from error
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise _file_problem(f"Line {line} holds a NUL character. Save the file as plain CSV text.")
    text = text.removeprefix(BOM)
    if not text.strip():
        raise _file_problem("The file is empty. Start it with a header line and a row below it.")
    return text


def _separator(text: str) -> str:
    """Recognise the variant from the header line, quoted headings left out."""
    first = re.split(r"[\r\n]", text.lstrip("\r\n"), maxsplit=1)[0]
    bare = re.sub(r'"[^"]*"', "", first)
    if "," not in bare and ";" in bare:
        return ";"
    if "," not in bare and "\t" in bare:
        raise _file_problem("The columns are parted by tabs. Part them by commas or semicolons.")
    return ","


def _records(text: str, separator: str, limits: CsvLimits) -> Iterator[list[_Cell]]:
    """Part the text into records; a quoted cell may hold separators and line ends."""
    place = 0
    record: list[_Cell] = []
    while True:
        cell, place = _next_cell(text, place, separator, limits)
        record.append(cell)
        if len(record) > limits.columns:
            line = _line_of(text, place)
            raise _file_problem(f"Line {line} has more than {limits.columns} columns.")
        if text[place : place + 1] == separator:
            place += 1
            continue
        yield record
        record = []
        end = _LINE_END.match(text, place)
        place = end.end() if end else place
        if place >= len(text):
            return


def _next_cell(text: str, place: int, separator: str, limits: CsvLimits) -> tuple[_Cell, int]:
    """Read the cell that begins at ``place``; give it and the place after it."""
    if text[place : place + 1] != '"':
        match = _BARE[separator].match(text, place)
        end = match.end() if match else place
        if text[end : end + 1] == '"':
            raise _file_problem(
                f"Line {_line_of(text, place)} has a quotation mark inside a cell that does not "
                "begin with one. Quote the whole cell and double the mark inside it."
            )
        cell = _Cell(text[place:end], quoted=False)
    else:
        end = text.find('"', place + 1)
        while end != -1 and text[end + 1 : end + 2] == '"':
            end = text.find('"', end + 2)
        if end == -1:
            raise _file_problem(
                f"The quotation mark that opens in line {_line_of(text, place)} is never closed."
            )
        cell = _Cell(text[place + 1 : end].replace('""', '"'), quoted=True)
        end += 1
        if end < len(text) and text[end] not in f"{separator}\r\n":
            raise _file_problem(
                f"Line {_line_of(text, end)} goes on after a closing quotation mark. "
                "Double a mark that belongs to the text."
            )
    if len(cell.text) > limits.cell:
        raise _file_problem(
            f"A cell in line {_line_of(text, place)} has more than {limits.cell} characters."
        )
    return cell, end


def _line_of(text: str, place: int) -> int:
    return len(_LINE_END.findall(text, 0, place)) + 1


def _header(record: list[_Cell]) -> tuple[str, ...]:
    headings = tuple(unguarded(cell.text.strip()) for cell in record)
    for number, heading in enumerate(headings, start=1):
        if not heading:
            raise _file_problem(f"Column {number} has no heading. Name it or take it out.")
    twice = sorted({heading for heading in headings if headings.count(heading) > 1})
    if twice:
        raise _file_problem(f"The heading “{twice[0]}” stands twice. Keep one of the two columns.")
    return headings


def _even(records: Iterator[list[_Cell]], width: int, limits: CsvLimits) -> Iterator[list[_Cell]]:
    """Pass the records on if each has a cell for each heading; an empty line may only end them."""
    problems: list[Problem] = []
    empty_row = 0
    for row, record in enumerate(records, start=2):
        if width > 1 and len(record) == 1 and not record[0].text.strip():
            empty_row = empty_row or row
            continue
        if row > limits.rows + 1:
            raise _file_problem(f"The file has more than {limits.rows} rows. Split it in two.")
        if empty_row:
            problems.append(Problem(f"row {empty_row}", f"Row {empty_row} is empty. Take it out."))
            empty_row = 0
        if len(record) != width:
            problems.append(
                Problem(
                    f"row {row}",
                    f"Row {row} has {len(record)} cells, the header has {width}. "
                    "Give it one cell for each heading, and quote text that holds a separator.",
                )
            )
            continue
        yield record
    if problems:
        raise BadInput(problems)


def _plain(cell: _Cell, separator: str) -> str:
    """Undo what writing did to the cell: decimal comma, apostrophe before a formula sign."""
    if separator == ";" and not cell.quoted and _DECIMAL_COMMA.fullmatch(cell.text):
        return cell.text.replace(",", ".")
    return unguarded(cell.text)
