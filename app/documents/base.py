"""What every document shares: how it is read, how a refusal is worded, what was not understood."""

import types
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, ClassVar, Generic, Literal, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ConfigDict, ValidationError

from app.errors import BadInput, Problem
from app.fields import Field, field

D = TypeVar("D", bound=BaseModel)


class Document(BaseModel):
    """A record as it is written down: names and units as the JSON interface has them.

    Keys that it does not know are let through and named by `unknown_paths`, so that a slip of
    the pen is answered with a warning and a newer file can still be read.
    """

    model_config = ConfigDict(extra="ignore", frozen=True)

    group: ClassVar[str] = ""
    """Group of the field catalogue that the document's figures belong to."""

    @classmethod
    def field_of(cls, name: str) -> Field:
        """What the catalogue of figures knows about one of the document's figures."""
        return field(cls.group, name)

    def written(self) -> dict[str, Any]:
        """The document as JSON values, without what is not known."""
        return self.model_dump(mode="json", exclude_none=True)


@dataclass(frozen=True, slots=True)
class Read(Generic[D]):
    """A document with the paths of the keys that were not understood."""

    document: D
    unknown: tuple[str, ...]


def read(model: type[D], raw: Any) -> Read[D]:
    """The document that `raw` (decoded JSON) writes down.

    Raises:
        BadInput: with every refusal at once, each with its path and what would be right.
    """
    try:
        document = model.model_validate(raw)
    except ValidationError as error:
        raise BadInput(refusals(error.errors(include_url=False), raw)) from error
    return Read(document, tuple(unknown_paths(raw, model)))


def refusals(errors: Sequence[Mapping[str, Any]], raw: Any) -> list[Problem]:
    """Pydantic's findings on `raw` as problems: a path like clamp.springs.0.count, a sentence."""
    return [Problem(_path(error["loc"], raw), sentence(error)) for error in errors]


def sentence(error: Mapping[str, Any]) -> str:
    """What would be right, in plain words, for one of pydantic's findings."""
    kind = str(error["type"])
    expected = str(error.get("ctx", {}).get("expected", ""))
    if kind == "missing" and isinstance(error["loc"][-1], int):
        return "Write one more number in this list."
    if kind in ("missing", "union_tag_not_found"):
        return f"Add {_last(error)}; it is needed here."
    if kind in ("literal_error", "enum"):
        return f"Write {expected}."
    if kind == "union_tag_invalid":
        return f"Write one of {error['ctx']['expected_tags']} as the kind."
    if kind in ("model_type", "model_attributes_type", "dict_type", "mapping_type"):
        return 'Write an object here, in braces, like {"name": "..."}.'
    if kind in ("list_type", "tuple_type"):
        return "Write a list here, in square brackets."
    if kind in ("too_long", "too_short"):
        ctx = error["ctx"]
        least, most = ctx.get("min_length"), ctx.get("max_length")
        return f"Write at least {least} entries." if most is None else f"Write {most} at most here."
    if kind == "bool_type":
        return "Write true or false, without quotes."
    if kind == "json_invalid":
        return f"This is not JSON: {error['ctx']['error']}."
    return str(error["msg"])


def _last(error: Mapping[str, Any]) -> str:
    if error["type"] == "union_tag_not_found":
        return str(error["ctx"]["discriminator"]).strip("'")
    return str(error["loc"][-1])


def _path(loc: Sequence[int | str], raw: Any) -> str:
    """The path in the document: pydantic's, without the names it adds for the kind of a union."""
    parts: list[str] = []
    here = raw
    for i, part in enumerate(loc):
        if isinstance(here, Mapping):
            if part not in here and part == here.get("kind") and i < len(loc) - 1:
                continue
            here = here.get(part)
        elif isinstance(here, Sequence) and not isinstance(here, str) and isinstance(part, int):
            here = here[part] if part < len(here) else None
        parts.append(str(part))
    return ".".join(parts)


def unknown_paths(raw: Any, model: type[BaseModel]) -> list[str]:
    """Paths of the keys of `raw` that `model` has no place for, in their order."""
    return list(_unknown(raw, (_Part(model),), ""))


@dataclass(frozen=True, slots=True)
class _Part:
    """What may stand in a place: a model, of these kinds where it is one of a union; or a list."""

    model: type[BaseModel] | None = None
    kinds: tuple[Any, ...] | None = None
    inner: tuple["_Part", ...] = ()


def _unknown(raw: Any, parts: tuple[_Part, ...], at: str) -> Iterator[str]:
    for part in parts:
        if part.model is None:
            if isinstance(raw, list):
                for i, value in enumerate(raw):
                    yield from _unknown(value, part.inner, f"{at}{i}.")
        elif isinstance(raw, Mapping) and (part.kinds is None or raw.get("kind") in part.kinds):
            places = _places(part.model)
            for key, value in raw.items():
                inner = places.get(key)
                if inner is None:
                    yield f"{at}{key}"
                elif inner:
                    yield from _unknown(value, inner, f"{at}{key}.")


@cache
def _places(model: type[BaseModel]) -> Mapping[str, tuple[_Part, ...]]:
    """By field, what of it has keys of its own."""
    return {name: tuple(_parts(f.annotation)) for name, f in model.model_fields.items()}


def _parts(annotation: Any, of_union: bool = False) -> Iterator[_Part]:
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        yield from _parts(arguments[0], of_union)
    elif origin in (Union, types.UnionType):
        for option in arguments:
            yield from _parts(option, True)
    elif origin in (list, tuple):
        yield _Part(inner=tuple(_parts(arguments[0])))
    elif isinstance(annotation, type) and issubclass(annotation, BaseModel):
        told = of_union and "kind" in annotation.model_fields
        yield _Part(annotation, _kinds(annotation) if told else None)


def _kinds(model: type[BaseModel]) -> tuple[Any, ...]:
    annotation = model.model_fields["kind"].annotation
    return get_args(annotation) if get_origin(annotation) is Literal else ()
