"""Documents as one row of a table: a column for each field, named by its path in the document.

`clamp.springs.0.free_length_mm` is a figure's value; its doubt and origin stand in columns of the
same name with an ending: `_plus_minus`, `_std`, `_how`, `_typed`, `_typed_doubt`, `_by`, `_at`,
`_with_what`, `_default_doubt`. A list of points is one cell, "3000 12.1; 4000 13.4".
"""

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from app.documents.base import Document
from app.documents.clamp import LoadPoint
from app.documents.quantities import Q

ColumnKind = Literal["figure", "number", "count", "flag", "text", "points"]

PARTS = (
    "plus_minus",
    "std",
    "how",
    "typed",
    "typed_doubt",
    "by",
    "at",
    "with_what",
    "default_doubt",
)
"""Parts of a figure besides its value, each with a column of its own."""

USUAL_PARTS = ("plus_minus", "how")
"""Parts that an empty table offers."""

_PART_KINDS: Mapping[str, ColumnKind] = {
    "plus_minus": "number",
    "std": "number",
    "default_doubt": "flag",
}
_POINTS = {"load_points": "mm_n", "clamp.points": "mm_n", "torque.points": "rpm_nm"}
"""Ending of the heading of a list of points, by the end of its path."""

MOST_GROUPS = 50


@dataclass(frozen=True, slots=True)
class Column:
    """One column of such a table.

    Attributes:
        name: its heading.
        path: of the field in the document.
        part: of a figure, "" for its value and for what is no figure.
        kind: what its cells hold.
        figure: whether the field is a figure with its doubt.
        order: where it stands among the others.
        help: what the field is, in a sentence.
    """

    name: str
    path: str
    part: str
    kind: ColumnKind
    figure: bool
    order: tuple[int, ...]
    help: str = ""


@dataclass(frozen=True, slots=True)
class _Leaf:
    """A field as it is found by its path."""

    annotation: Any
    order: tuple[int, ...]
    help: str


@lru_cache(maxsize=4096)
def column_of(model: type[Document], heading: str) -> Column | None:
    """The column that a heading names, None where the document has no such field."""
    if (found := _resolved(model, heading, "")) is not None:
        return found
    for part in PARTS:
        if heading.endswith(f"_{part}"):
            found = _resolved(model, heading.removesuffix(f"_{part}"), part)
            if found is not None:
                return found
    return None


def _resolved(model: type[Document], name: str, part: str) -> Column | None:
    path = _without_points_ending(name)
    leaf = _leaf(model, path.split("."))
    kind = None if leaf is None else _kind(leaf.annotation)
    if leaf is None or kind is None:
        return None
    if (part and kind != "figure") or (kind == "points" and heading_of(path) != name):
        return None
    own: ColumnKind = _PART_KINDS.get(part, "text") if part else kind
    place = PARTS.index(part) + 1 if part else 0
    text = f"{_PART_HELP[part]} {leaf.help}" if part else leaf.help
    name = f"{name}_{part}" if part else name
    return Column(name, path, part, own, kind == "figure", (*leaf.order, place), text)


_PART_HELP = {
    "plus_minus": "Limit of error, ±, of:",
    "std": "Standard uncertainty, in the place of a limit, of:",
    "how": "measured, listed, estimated or assumed:",
    "typed": "As it was typed:",
    "typed_doubt": "The doubt as it was typed:",
    "by": "Who took it:",
    "at": "When, as year-month-day:",
    "with_what": "With what, or from which page:",
    "default_doubt": "true where the doubt is the usual one of its kind:",
}


def heading_of(path: str) -> str:
    """The heading of a field's own column.

    >>> heading_of("torque.points"), heading_of("lift_mm")
    ('torque.points_rpm_nm', 'lift_mm')
    """
    for end, unit in _POINTS.items():
        if path == end or path.endswith(f".{end}"):
            return f"{path}_{unit}"
    return path


def _without_points_ending(heading: str) -> str:
    for end, unit in _POINTS.items():
        whole = f"{end}_{unit}"
        if heading == whole or heading.endswith(f".{whole}"):
            return heading.removesuffix(f"_{unit}")
    return heading


def problem_heading(model: type[Document], path: str) -> str:
    """The heading of the column that a problem's path is about; the path itself where none is."""
    if column_of(model, heading_of(path)) is not None:
        return heading_of(path)
    figure, _, part = path.rpartition(".")
    if part in (*PARTS, "value") and column_of(model, figure) is not None:
        return figure if part == "value" else f"{figure}_{part}"
    if column_of(model, f"{path}.kind") is not None:
        return f"{path}.kind"
    while path:
        path = path.rpartition(".")[0]
        if column_of(model, heading_of(path)) is not None:
            return heading_of(path)
    return ""


def usual_columns(model: type[Document]) -> list[Column]:
    """The columns of an empty table: every field once, one group of springs, the usual parts."""
    found = []
    for path in _paths(model, ""):
        column = column_of(model, heading_of(path))
        if column is None:
            continue
        found.append(column)
        if column.figure:
            parts = (column_of(model, f"{column.name}_{part}") for part in USUAL_PARTS)
            found += [part for part in parts if part is not None]
    return list(dict.fromkeys(found))


def flattened(document: Document) -> dict[str, Any]:
    """A document's cells by heading: numbers, texts, truth values; what is not known is left out.

    >>> from app.documents import Engine
    >>> flattened(Engine(name="A", bore_mm={"value": 52.5, "how": "listed"}))["bore_mm_how"]
    'listed'
    """
    return dict(_flat(document.written(), ""))


def _flat(value: Any, path: str) -> Iterator[tuple[str, Any]]:
    if isinstance(value, Mapping) and "value" in value and "kind" not in value:
        yield path, value["value"]
        for part in PARTS:
            if part in value:
                yield f"{path}_{part}", value[part]
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _flat(inner, f"{path}.{name}" if path else name)
    elif heading_of(path) != path:
        if value:
            yield heading_of(path), points_text(value)
    elif isinstance(value, list | tuple):
        for i, inner in enumerate(value):
            yield from _flat(inner, f"{path}.{i}")
    else:
        yield path, value


def points_text(points: Any) -> str:
    """Points as one cell, each number at full precision."""
    pairs = (one.values() if isinstance(one, Mapping) else one for one in points)
    return "; ".join(" ".join(repr(float(number)) for number in pair) for pair in pairs)


def point_form(path: str) -> Any:
    """How a pair of numbers is written in a document at this path."""
    return list if path.endswith("torque.points") else _load_point


def _load_point(pair: list[float]) -> dict[str, float]:
    return {"deflection_mm": pair[0], "force_n": pair[1]}


def _plain(annotation: Any) -> Any:
    """An annotation without None, and without what is said beside it."""
    while get_origin(annotation) is Annotated:
        annotation = get_args(annotation)[0]
    if get_origin(annotation) in (Union, types.UnionType):
        options = [a for a in get_args(annotation) if a is not type(None)]
        if len(options) == 1:
            return _plain(options[0])
    return annotation


def _members(annotation: Any) -> list[type[BaseModel]]:
    """The documents that a field may hold: one, or one of each kind."""
    plain = _plain(annotation)
    if isinstance(plain, type) and issubclass(plain, BaseModel) and plain is not Q:
        return [plain]
    if get_origin(plain) in (Union, types.UnionType):
        return [m for option in get_args(plain) for m in _members(option)]
    return []


def _item(annotation: Any, place: int) -> Any:
    """What stands at a place of a list or of a pair; None where nothing can."""
    plain = _plain(annotation)
    if get_origin(plain) is list and 0 <= place < MOST_GROUPS:
        return get_args(plain)[0]
    if get_origin(plain) is tuple and place < len(get_args(plain)):
        return get_args(plain)[place]
    return None


def _leaf(model: type[BaseModel], parts: list[str]) -> _Leaf | None:
    here = _Leaf(model, (), "")
    for part in parts:
        if part.isascii() and part.isdigit():
            whole = len(part) > 3 or _kind(here.annotation) == "points"
            item = None if whole else _item(here.annotation, int(part))
            if item is None:
                return None
            here = _Leaf(item, (*here.order, int(part)), here.help)
            continue
        for number, member in enumerate(_members(here.annotation)):
            about = member.model_fields.get(part)
            if about is not None:
                place = (
                    0 if part == "kind" else 100 * number + list(member.model_fields).index(part)
                )
                annotation: Any = about.annotation
                here = _Leaf(annotation, (*here.order, place), about.description or here.help)
                break
        else:
            return None
    return here


def _kind(annotation: Any) -> ColumnKind | None:
    plain = _plain(annotation)
    if plain is Q:
        return "figure"
    if get_origin(plain) is list and (
        _members(get_args(plain)[0]) == [LoadPoint] or get_origin(get_args(plain)[0]) is tuple
    ):
        return "points"
    if get_origin(plain) is Literal:
        return "count" if isinstance(get_args(plain)[0], int) else "text"
    kinds: Mapping[Any, ColumnKind] = {bool: "flag", int: "count", float: "number", str: "text"}
    return kinds.get(plain)


def _paths(annotation: Any, at: str) -> Iterator[str]:
    """Paths of all fields, those of each kind of clamp and torque among them, springs once."""
    plain = _plain(annotation)
    if _kind(annotation) is not None:
        yield at
    elif get_origin(plain) is list:
        yield from _paths(get_args(plain)[0], f"{at}.0")
    elif get_origin(plain) is tuple:
        for i, item in enumerate(get_args(plain)):
            yield from _paths(item, f"{at}.{i}")
    for member in _members(annotation):
        for name, about in member.model_fields.items():
            yield from _paths(about.annotation, f"{at}.{name}" if at else name)
