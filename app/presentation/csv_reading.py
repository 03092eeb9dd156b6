"""Reading CSV back: what ``app.presentation.csv_text`` writes, and what a spreadsheet makes of it.

Each way in which a file can be broken is told by its own sentence, with the row or line.
"""

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from app.errors import BadInput, Problem
from app.presentation.csv_guard import BOM, Variant, unguarded

_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+(?:[eE][+-]?[0-9]+)?")
_BARE = {",": re.compile(r'[^",\r\n]*'), ";": re.compile(r'[^";\r\n]*')}
_LINE_END = re.compile(r"\r\n|\r|\n")
_QUOTED = r'"[^"]*(?:""[^"]*)*"'
_WHOLE_LINE = re.compile(rf'(?:{_QUOTED}|[^",]*)(?:,(?:{_QUOTED}|[^",]*))*')
_CELLS = re.compile(rf'(?:^|,)({_QUOTED}|[^",]*)')


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


class _Record(NamedTuple):
    """The cells of one record, and the places of those that were quoted."""

    texts: list[str]
    quoted: Collection[int]


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
        dict(zip(columns, _plain(record, separator), strict=True))
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


def _records(text: str, separator: str, limits: CsvLimits) -> Iterator[_Record]:
    """Part the text into records; a quoted cell may hold separators and line ends."""
    place = 0
    while True:
        read = _whole_line(text, place, separator, limits)
        record, place = read or _marked_record(text, place, separator, limits)
        yield record
        if place >= len(text):
            return


def _whole_line(
    text: str, place: int, separator: str, limits: CsvLimits
) -> tuple[_Record, int] | None:
    """A line that is a record as it stands, within the limits; where the next begins.

    What ``_marked_record`` reads of it, a dozen times as quickly; None where that has to look.
    """
    end = _LINE_END.search(text, place)
    stop, after = end.span() if end else (len(text), len(text))
    line = text[place:stop]
    if len(line) > limits.cell:
        return None
    if '"' not in line:
        texts = line.split(separator)
    elif separator == "," and _WHOLE_LINE.fullmatch(line):
        # Which cells were quoted matters to a decimal comma only, and here there is none.
        texts = [
            cell[1:-1].replace('""', '"') if cell.startswith('"') else cell
            for cell in _CELLS.findall(line)
        ]
    else:
        return None
    return (_Record(texts, ()), after) if len(texts) <= limits.columns else None


def _marked_record(
    text: str, place: int, separator: str, limits: CsvLimits
) -> tuple[_Record, int]:
    """The record that begins at ``place``, cell by cell; where the next begins."""
    texts: list[str] = []
    quoted: set[int] = set()
    while True:
        if text[place : place + 1] == '"':
            quoted.add(len(texts))
        cell, place = _next_cell(text, place, separator, limits)
        texts.append(cell)
        if len(texts) > limits.columns:
            line = _line_of(text, place)
            raise _file_problem(f"Line {line} has more than {limits.columns} columns.")
        if text[place : place + 1] != separator:
            end = _LINE_END.match(text, place)
            return _Record(texts, quoted), end.end() if end else place
        place += 1


def _next_cell(text: str, place: int, separator: str, limits: CsvLimits) -> tuple[str, int]:
    """Read the cell that begins at ``place``; give its text and the place after it."""
    if text[place : place + 1] != '"':
        match = _BARE[separator].match(text, place)
        end = match.end() if match else place
        if text[end : end + 1] == '"':
            raise _file_problem(
                f"Line {_line_of(text, place)} has a quotation mark inside a cell that does not "
                "begin with one. Quote the whole cell and double the mark inside it."
            )
        cell = text[place:end]
    else:
        end = text.find('"', place + 1)
        while end != -1 and text[end + 1 : end + 2] == '"':
            end = text.find('"', end + 2)
        if end == -1:
            raise _file_problem(
                f"The quotation mark that opens in line {_line_of(text, place)} is never closed."
            )
        cell = text[place + 1 : end].replace('""', '"')
        end += 1
        if end < len(text) and text[end] not in f"{separator}\r\n":
            raise _file_problem(
                f"Line {_line_of(text, end)} goes on after a closing quotation mark. "
                "Double a mark that belongs to the text."
            )
    if len(cell) > limits.cell:
        raise _file_problem(
            f"A cell in line {_line_of(text, place)} has more than {limits.cell} characters."
        )
    return cell, end


def _line_of(text: str, place: int) -> int:
    return len(_LINE_END.findall(text, 0, place)) + 1


def _header(record: _Record) -> tuple[str, ...]:
    headings = tuple(unguarded(text.strip()) for text in record.texts)
    for number, heading in enumerate(headings, start=1):
        if not heading:
            raise _file_problem(f"Column {number} has no heading. Name it or take it out.")
    twice = sorted({heading for heading in headings if headings.count(heading) > 1})
    if twice:
        raise _file_problem(f"The heading “{twice[0]}” stands twice. Keep one of the two columns.")
    return headings


def _even(records: Iterator[_Record], width: int, limits: CsvLimits) -> Iterator[_Record]:
    """Pass the records on if each has a cell for each heading; an empty line may only end them."""
    problems: list[Problem] = []
    empty_row = 0
    for row, record in enumerate(records, start=2):
        cells = len(record.texts)
        if width > 1 and cells == 1 and not record.texts[0].strip():
            empty_row = empty_row or row
            continue
        if row > limits.rows + 1:
            raise _file_problem(f"The file has more than {limits.rows} rows. Split it in two.")
        if empty_row:
            problems.append(Problem(f"row {empty_row}", f"Row {empty_row} is empty. Take it out."))
            empty_row = 0
        if cells != width:
            problems.append(
                Problem(
                    f"row {row}",
                    f"Row {row} has {cells} cells, the header has {width}. "
                    "Give it one cell for each heading, and quote text that holds a separator.",
                )
            )
            continue
        yield record
    if problems:
        raise BadInput(problems)


def _plain(record: _Record, separator: str) -> list[str]:
    """Undo what writing did to the cells: decimal comma, apostrophe before a formula sign."""
    texts = record.texts
    if separator == ";":
        texts = [
            text.replace(",", ".")
            if "," in text and place not in record.quoted and _DECIMAL_COMMA.fullmatch(text)
            else text
            for place, text in enumerate(texts)
        ]
    return [unguarded(text) if text else text for text in texts]
