"""The usual doubt of a figure whose doubt was left out, and the way from documents to mechanics."""

import dataclasses
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, TypeVar

from app.documents.base import Document
from app.documents.quantities import Q
from app.errors import BadInput, Problem
from app.fields import DefaultDoubt, Field, default_doubt

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

T = TypeVar("T", bound="DataclassInstance")
M = TypeVar("M", bound=Document)
Overrides = Mapping[tuple[str, str], DefaultDoubt]


def with_default(q: Q, field: Field, path: str, overrides: Overrides | None = None) -> Q:
    """`q` with the usual doubt of its field, marked so, where it says how but not how well.

    A figure with either doubt, or without `how`, is given back unchanged.

    Raises:
        BadInput: the usual doubt is as large as a figure that can't be 0.
    """
    if q.how is None or q.plus_minus is not None or q.std is not None:
        return q
    doubt = default_doubt(field.doubt_kind, q.how, q.value, overrides)
    if field.above == 0 and doubt >= q.value:
        told = f"Write the doubt too: the usual ±{doubt:g} is as large as the figure itself."
        raise BadInput([Problem(path, told)])
    return q.model_copy(update={"plus_minus": doubt, "default_doubt": True})


def with_defaults(document: M, overrides: Overrides | None = None, at: str = "") -> M:
    """The document with every figure's usual doubt filled in, marked as a default.

    Raises:
        BadInput: as `with_default`.
    """
    changed: dict[str, Any] = {}
    for name, value in document:
        if value is None:
            continue
        path = f"{at}{name}"
        if isinstance(value, Q):
            after: Any = with_default(value, document.field_of(name), path, overrides)
        elif isinstance(value, Document):
            after = with_defaults(value, overrides, f"{path}.")
        elif isinstance(value, list) and value and isinstance(value[0], Document):
            after = [with_defaults(v, overrides, f"{path}.{i}.") for i, v in enumerate(value)]
        else:
            continue
        if after != value:
            changed[name] = after
    return document.model_copy(update=changed) if changed else document


def into(target: type[T], document: Document, **given: Any) -> T:
    """The mechanics' dataclass with the document's fields of the same names.

    Figures become quantities with the doubts they have; `given` wins over the document.
    """
    values = dict(given)
    for field in dataclasses.fields(target):
        if field.name not in values and field.name in type(document).model_fields:
            value = getattr(document, field.name)
            values[field.name] = value.to_quantity() if isinstance(value, Q) else value
    return target(**values)
