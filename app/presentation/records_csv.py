"""Records as CSV, in the columns that the import reads: what goes out comes back unchanged."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from app.documents import Document
from app.documents.flat import Column, column_of, flattened, usual_columns
from app.documents.flat_headings import ADDED, FIRST, ID, VERSION

_FIRST_HELP = {
    ID: "Id of the record; blank for a new one.",
    VERSION: "Version of the record as it was exported; blank for a new one.",
}
_TYPES = {
    "figure": "double",
    "number": "double",
    "count": "integer",
    "flag": "boolean",
    "text": "string",
    "points": "string",
}


@dataclass(frozen=True)
class Sheet:
    """A table: headings, and cells in their order."""

    headings: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]


def record_sheet(model: type[Document], records: Iterable[tuple[str, int, Document]]) -> Sheet:
    """Records as a table.

    Args:
        model: their kind.
        records: id, version and document of each.
    """
    flat = [(key, version, flattened(document)) for key, version, document in records]
    used = dict.fromkeys(name for _, _, cells in flat for name in cells)
    columns = all_columns(model, used)
    names = [column.name for column in columns]
    return Sheet(
        (*FIRST, *names),
        tuple((key, version, *map(cells.get, names)) for key, version, cells in flat),
    )


def all_columns(model: type[Document], used: Iterable[str] = ()) -> list[Column]:
    """The usual columns and those that are used besides, each figure's side by side."""
    found = {column.name: column for column in usual_columns(model)}
    for name in used:
        if name not in found:
            column = column_of(model, name)
            if column is None:
                raise ValueError(f"{model.__name__} has no column {name}")
            found[name] = column
    return sorted(found.values(), key=lambda column: column.order)


def problem_sheet(
    headings: Sequence[str],
    rows: Iterable[tuple[dict[str, str], Sequence[Sequence[str]]]],
) -> Sheet:
    """The rows that could not be read, with what is wrong and how to put it right.

    Args:
        headings: of the file.
        rows: cells as they came, and the problems (heading, found, expected) of each row.
    """
    own = [heading for heading in headings if heading not in ADDED]
    return Sheet(
        (*own, *ADDED),
        tuple(
            (
                *(cells.get(heading, "") for heading in own),
                "; ".join(_found(heading, found) for heading, found, _ in problems),
                " ".join(expected for _, _, expected in problems),
            )
            for cells, problems in rows
        ),
    )


def _found(heading: str, found: str) -> str:
    return f"{heading or 'row'}: {found}" if found else f"{heading or 'row'}: blank"


def columns_help(model: type[Document]) -> tuple[tuple[str, str], ...]:
    """Each usual column with what it holds."""
    first = [(name, _FIRST_HELP[name]) for name in FIRST]
    return (*first, *((column.name, column.help) for column in usual_columns(model)))


def csv_metadata(model: type[Document], url: str, headings: Sequence[str]) -> dict[str, Any]:
    """What the columns of an export are, as CSV on the Web metadata describes a table.

    Source: W3C, Metadata Vocabulary for Tabular Data, 2015.
    """
    columns = []
    for name in headings:
        column = column_of(model, name)
        kind = "string" if column is None else _TYPES[column.kind]
        told = _FIRST_HELP.get(name, "") if column is None else column.help
        columns.append(
            {
                "name": name.replace(".", "_"),
                "titles": name,
                "dc:description": told,
                "datatype": "integer" if name == VERSION else kind,
                "required": name == "name",
            }
        )
    return {
        "@context": ["http://www.w3.org/ns/csvw", {"@language": "en"}],
        "url": url,
        "dialect": {"encoding": "utf-8", "delimiter": ",", "header": True},
        "tableSchema": {"columns": columns, "primaryKey": ID},
    }
