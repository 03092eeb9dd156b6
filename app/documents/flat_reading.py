"""A row of a table back to a document, over what the record was before.

A column that the file does not have leaves its field as it was; a blank cell takes it out. A new
value drops the doubt, the words and the origin of the old one, unless the row gives its own.
"""

import copy
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from app.documents.base import Document, read
from app.documents.flat import Column, heading_of, point_form, problem_heading
from app.errors import BadInput
from app.units import UnitError, parse

D = TypeVar("D", bound=Document)

_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?", re.ASCII)
_WHOLE = re.compile(r"[+-]?[0-9]{1,15}", re.ASCII)
_FLAGS = {"true": True, "false": False, "yes": True, "no": False}
_LONGEST_SHOWN = 60


@dataclass(frozen=True, slots=True)
class CellProblem:
    """One cell that cannot be read: its heading, what stands in it, and what would be right."""

    heading: str
    found: str
    expected: str


@dataclass(frozen=True, slots=True)
class RowRead(Generic[D]):
    """What a row says: a document, or what is wrong with it."""

    document: D | None
    problems: tuple[CellProblem, ...] = ()


@dataclass(frozen=True, slots=True)
class _Place:
    """A field with the file's columns of it, and where it stands."""

    parts: tuple[str, ...]
    heading: str
    columns: tuple[Column, ...]


class FileColumns:
    """The columns of a file, sorted by field once for all its rows."""

    def __init__(self, columns: Sequence[Column]) -> None:
        self.columns = tuple(columns)
        self.names = frozenset(column.name for column in columns)
        by_path: dict[str, list[Column]] = {}
        for column in columns:
            by_path.setdefault(column.path, []).append(column)
        self.groups = _groups_in(by_path)
        self.places = tuple(
            _Place(tuple(path.split(".")), heading_of(path), tuple(own))
            for path, own in by_path.items()
        )
        self._of_column = {
            column.name: place for place in self.places for column in place.columns
        }

    def filled(self, values: Mapping[str, Any]) -> Iterable[_Place]:
        """The fields of which some column is filled in, each once."""
        return {id(place): place for place in map(self._of_column.__getitem__, values)}.values()


def read_row(
    model: type[D],
    columns: FileColumns,
    cells: Mapping[str, str],
    standing: Mapping[str, Any] | None,
) -> RowRead[D]:
    """The document that a row of cells makes.

    Args:
        model: what it must be.
        columns: of the file.
        cells: texts by heading.
        standing: the record's written form, None for a new one.
    """
    problems: list[CellProblem] = []
    values = {}
    for column in columns.columns:
        text = cells[column.name].strip()
        if not text:
            continue
        try:
            values[column.name] = _value(column, text)
        except _Unread as told:
            problems.append(CellProblem(column.name, _shown(text), str(told)))
    if problems:
        return RowRead(None, tuple(problems))
    raw = _merged(columns, values, standing)
    try:
        found = read(model, raw)
    except BadInput as refusal:
        return RowRead(
            None,
            tuple(
                CellProblem(heading, _shown(cells.get(heading, "").strip()), problem.message)
                for problem in refusal.problems
                for heading in [problem_heading(model, problem.field)]
            ),
        )
    lost = [
        CellProblem(name, _shown(cells.get(name, "")), _UNUSED)
        for path in found.unknown
        for name in _headings_under(columns.columns, path, values)
    ]
    return RowRead(None, tuple(lost)) if lost else RowRead(found.document)


_UNUSED = "This column does not belong to the kind that the row names. Leave it blank."


class _Unread(Exception):
    """A text that is not what its column holds; says what would be right."""


def _value(column: Column, text: str) -> Any:
    if column.kind in ("figure", "number"):
        return _number(text)
    if column.kind == "count":
        if _WHOLE.fullmatch(text):
            return int(text)
        if _NUMBER.fullmatch(text) and float(text).is_integer():
            return int(float(text))  # a spreadsheet writes 6.0
        raise _Unread("Write a whole number, like 6.")
    if column.kind == "flag":
        if text.casefold() in _FLAGS:
            return _FLAGS[text.casefold()]
        raise _Unread("Write yes or no.")
    if column.kind == "points":
        return _points(column, text)
    return text


def _number(text: str) -> float:
    if _NUMBER.fullmatch(text):
        return float(text)
    try:
        return parse(text, "number").value
    except UnitError as told:
        raise _Unread(told.message) from told


def _points(column: Column, text: str) -> list[Any]:
    form = point_form(column.path)
    found = []
    for pair in text.split(";"):
        numbers = pair.split()
        if not numbers:
            continue
        if len(numbers) != 2 or not all(_NUMBER.fullmatch(number) for number in numbers):
            raise _Unread("Write pairs of numbers with “;” between them, like 2 40.5; 4 81.")
        found.append(form([float(number) for number in numbers]))
    return found


def _merged(
    columns: FileColumns, values: Mapping[str, Any], standing: Mapping[str, Any] | None
) -> dict[str, Any]:
    """What stood, with the file's columns written over it."""
    raw: dict[str, Any] = copy.deepcopy(dict(standing or {}))
    for kind in ("clamp", "torque"):
        chosen = values.get(f"{kind}.kind")
        if f"{kind}.kind" in columns.names and chosen != raw.get(kind, {}).get("kind"):
            raw.pop(kind, None)
    _spread(raw, columns.groups)
    # A blank cell takes out what stood; of a new record nothing stood.
    for place in columns.places if raw else columns.filled(values):
        parts = place.parts
        if place.columns[0].figure:
            _put(raw, parts, _figure(place.columns, values, _at(raw, parts)))
        else:
            _put(raw, parts, values.get(place.heading))
    _gather(raw, columns.groups, values)
    return _pruned(raw)


def _figure(own: Sequence[Column], values: Mapping[str, Any], standing: Any) -> Any:
    """A figure in its written form; with a part but no value, so that reading it says so."""
    given = {column.part or "value": values.get(column.name) for column in own}
    new = {part: value for part, value in given.items() if value is not None}
    if not new:
        return None
    was = standing if isinstance(standing, Mapping) else {"value": standing}
    if new.get("value") == was.get("value"):
        doubt = ("plus_minus", "std")
        other = any(p in given and given[p] != was.get(p) for p in doubt)
        dropped = {"typed_doubt", "default_doubt"} if other else set()
        dropped |= set(doubt) if any(p in new for p in doubt) else set()
        kept = {p: v for p, v in was.items() if p not in given and p not in dropped}
        new = kept | new
    return new["value"] if list(new) == ["value"] else new


def _at(raw: Any, parts: Sequence[str]) -> Any:
    here = raw
    for part in parts:
        if not isinstance(here, Mapping):
            return _index(here, part)
        here = here.get(part)
    return here


def _index(here: Any, part: str) -> Any:
    """What stands at a place of a pair; None where nothing does."""
    if isinstance(here, list | tuple) and part.isdigit() and int(part) < len(here):
        return here[int(part)]
    return None


def _put(raw: dict[str, Any], parts: Sequence[str], value: Any) -> None:
    here = raw
    for part in parts[:-1]:
        inner = here.get(part)
        if isinstance(inner, list):  # a pair, written as one
            inner = {str(i): one for i, one in enumerate(inner)}
        if not isinstance(inner, dict):
            if value is None:
                return
            inner = {}
        here[part] = inner
        here = inner
    if value is None:
        here.pop(parts[-1], None)
    else:
        here[parts[-1]] = value


def _groups_in(present: Mapping[str, object]) -> set[str]:
    """The numbers of the groups of springs that the file has columns for."""
    head = "clamp.springs."
    return {path.removeprefix(head).split(".")[0] for path in present if path.startswith(head)}


def _spread(raw: dict[str, Any], groups: set[str]) -> None:
    """Groups of springs by number, so that each column finds its own."""
    clamp = raw.get("clamp")
    if isinstance(clamp, dict) and isinstance(clamp.get("springs"), list):
        clamp["springs"] = {str(i): group for i, group in enumerate(clamp["springs"])}
    if not groups and isinstance(clamp, dict) and clamp.get("springs") == {}:
        del clamp["springs"]


def _gather(raw: dict[str, Any], groups: set[str], values: Mapping[str, Any]) -> None:
    """The groups as a list again, without those whose cells are all blank."""
    clamp = raw.get("clamp")
    if not isinstance(clamp, dict) or not isinstance(clamp.get("springs"), dict):
        return
    blank = {
        number
        for number in groups
        if not any(name.startswith(f"clamp.springs.{number}.") for name in values)
    }
    springs = clamp["springs"]
    kept = [springs[number] for number in sorted(springs, key=int) if number not in blank]
    if kept or clamp.get("kind") == "coil":
        clamp["springs"] = kept
    else:
        del clamp["springs"]


def _pruned(raw: dict[str, Any]) -> dict[str, Any]:
    """The same without parts in which nothing stands, and with pairs as lists."""
    found: dict[str, Any] = {}
    for name, value in raw.items():
        if isinstance(value, dict):
            inner = _pruned(value)
            if not inner:
                continue
            if all(key.isdigit() for key in inner):
                size = max(int(key) for key in inner) + 1
                found[name] = [inner.get(str(i)) for i in range(size)]
            else:
                found[name] = inner
        elif isinstance(value, list):
            found[name] = [_pruned(one) if isinstance(one, dict) else one for one in value]
        else:
            found[name] = value
    return found


def _headings_under(columns: Sequence[Column], path: str, values: Mapping[str, Any]) -> list[str]:
    return [
        column.name
        for column in columns
        if (column.path == path or column.path.startswith(f"{path}.")) and column.name in values
    ]


def _shown(text: str) -> str:
    return text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}…"
