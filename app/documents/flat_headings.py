"""The headings of a file of records: which columns they are, and what is wrong with those left."""

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.documents.base import Document
from app.documents.flat import PARTS, Column, column_of, usual_columns
from app.errors import BadInput, Problem
from app.units import DIMENSIONS

ID, VERSION = "id", "version"
FIRST = (ID, VERSION)
"""Columns that say which record a row is; both blank for a new one."""

ADDED = ("problem", "how_to_fix")
"""Columns that a file of problems has besides; they are passed over when it comes back."""

UNITS = (
    "n_per_mm",
    "w_mm2",
    "mm",
    "rpm",
    "nm",
    "mpa",
    "kpa",
    "deg",
    "kw",
    "kg",
    "cc",
    "n",
    "g",
)
"""Endings that name a unit, the longer first."""


@dataclass(frozen=True, slots=True)
class Headings:
    """A file's columns, in its order, without those that say which record a row is."""

    columns: tuple[Column, ...]


def read_headings(model: type[Document], headings: Sequence[str]) -> Headings:
    """The columns that the headings name.

    Raises:
        BadInput: one is missing or unknown, or names another unit; each with what would be right.
    """
    problems = [
        Problem(name, f"The column “{name}” is missing. Add it; leave it blank for new records.")
        for name in FIRST
        if name not in headings
    ]
    if "name" not in headings:
        problems.append(Problem("name", "The column “name” is missing. Each record needs one."))
    columns = []
    for heading in headings:
        if heading in FIRST or heading in ADDED:
            continue
        column = column_of(model, heading)
        if column is None:
            problems.append(Problem(heading, _told(model, heading)))
        else:
            columns.append(column)
    present = {column.name for column in columns}
    for column in columns:
        if column.part and column.path not in present:
            told = (
                f"The column “{column.path}” is missing, to which “{column.name}” belongs. Add it."
            )
            problems.append(Problem(column.path, told))
    unique = {problem.field: problem for problem in problems}
    if unique:
        raise BadInput(unique.values())
    return Headings(tuple(columns))


def known_share(model: type[Document], headings: Iterable[str]) -> float:
    """The share of headings that are columns of this kind of record."""
    asked = [h for h in headings if h not in FIRST and h not in ADDED]
    return sum(column_of(model, h) is not None for h in asked) / max(1, len(asked))


def _told(model: type[Document], heading: str) -> str:
    column = _same_but_unit(model, heading)
    if column is not None:
        unit = _unit(_last(column.path))
        return (
            f"The heading “{heading}” does not say {_words(unit)}. This column is {column.name}, "
            f"in {_words(unit)}: convert the figures and name it so."
        )
    known = [column.name for column in usual_columns(model)]
    near = difflib.get_close_matches(heading, known, 1, 0.6)
    did = f" Is it {near[0]}?" if near else ""
    return f"There is no column “{heading}”.{did} Name it as in the empty table, or take it out."


def _same_but_unit(model: type[Document], heading: str) -> Column | None:
    """The column that a heading would name with the right unit at its end."""
    bare, part = heading, ""
    for name in PARTS:
        if heading.endswith(f"_{name}"):
            bare, part = heading.removesuffix(f"_{name}"), f"_{name}"
            break
    above, _, last = bare.rpartition(".")
    stems = {last} | {last.rsplit("_", n)[0] for n in (1, 2, 3)}
    for stem in sorted(stems, key=len, reverse=True):
        for unit in UNITS:
            name = f"{above}.{stem}_{unit}" if above else f"{stem}_{unit}"
            column = column_of(model, f"{name}{part}")
            if column is not None and name != bare:
                return column
    return None


def _unit(name: str) -> str:
    return next((unit for unit in UNITS if name.endswith(f"_{unit}")), "")


def _last(path: str) -> str:
    return path.rpartition(".")[2]


def _words(unit: str) -> str:
    """A unit as it is written.

    >>> _words("n_per_mm"), _words("nm")
    ('N/mm', 'N·m')
    """
    special = {"n_per_mm": "N/mm", "w_mm2": "W/mm²", "nm": "N·m", "rpm": "r/min", "deg": "°"}
    if unit in special:
        return special[unit]
    symbols = {symbol for about in DIMENSIONS.values() for symbol in about.units}
    return next((symbol for symbol in symbols if symbol.lower() == unit), unit)
