"""Reads the CSV files of seed_data/tables into frozen rows; says what is wrong with a bad cell."""

import csv
import types
from collections.abc import Callable, Iterable
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from app.errors import BadInput, Problem

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

RowT = TypeVar("RowT", bound="DataclassInstance")

# Read in the source; quoted by another; from memory, not confirmed; common practice, no source.
Evidence = Literal["read", "secondary", "memory", "practice"]

# The centre may not import the settings, so it finds the folder beside the package by itself.
TABLES = Path(__file__).resolve().parents[2] / "seed_data" / "tables"

_PLAIN: dict[object, Callable[[str], object]] = {str: str, float: float, int: int}


def load_rows(name: str, row_type: type[RowT], folder: Path = TABLES) -> tuple[RowT, ...]:
    """The rows of one table as `row_type`, a dataclass with a field for every column.

    Args:
        name: file name without .csv.
        row_type: dataclass whose annotations say how a cell is read: str, float, int, a Literal of
            words, any of them or None for a cell that may be blank.
        folder: where the file lies.

    Errors: BadInput naming file, line and column when a heading is missing or unknown, or a cell
    does not fit.
    """
    path = folder / f"{name}.csv"
    hints = get_type_hints(row_type)
    names = [f.name for f in fields(row_type)]
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file, strict=True)
        headings = reader.fieldnames or []
        if sorted(headings) != sorted(names):
            raise _fault(path.name, f"{path.name} needs the headings {', '.join(names)}.")
        return tuple(
            row_type(**{key: _cell(line[key], hints[key], path, number, key) for key in names})
            for number, line in enumerate(reader, start=2)
        )


def normalised(name: str) -> str:
    """A name as it is compared: small letters; hyphens and underscores count as spaces."""
    return " ".join(name.lower().replace("-", " ").replace("_", " ").split())


def unknown_name(field: str, typed: str, there: Iterable[str]) -> BadInput:
    """The error for a name that a table does not have, with the names that it has."""
    names = ", ".join(dict.fromkeys(there))
    return _fault(field, f"“{typed}” is not in the table. Use one of: {names}.")


def _cell(text: str | None, hint: Any, path: Path, line: int, column: str) -> object:
    try:
        return _convert((text or "").strip(), hint)
    except ValueError as error:
        raise _fault(f"{path.name}, line {line}, {column}", str(error)) from error


def _fault(where: str, text: str) -> BadInput:
    return BadInput([Problem(where, text)])


def _convert(text: str, hint: Any) -> object:
    if get_origin(hint) in (Union, types.UnionType):
        inner = [option for option in get_args(hint) if option is not type(None)]
        return None if text == "" else _convert(text, inner[0])
    if get_origin(hint) is Literal:
        words = get_args(hint)
        if text not in words:
            raise ValueError(f"Write one of {', '.join(words)}.")
        return text
    try:
        return _PLAIN[hint](text)
    except ValueError as error:
        raise ValueError(f"Write a number instead of “{text}”.") from error
