"""Figures as columns: value, doubts and how known, each with its named checks.

A figure x is four columns: x, x_plus_minus, x_std, x_how. Its bounds come from the catalogue of
figures. `provenance` is one JSON column of the row: {column: {typed, typed_doubt, by, at,
with_what, default_doubt}}.
"""

from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa
from pydantic import create_model
from sqlmodel import Field, SQLModel

from app import fields
from app.documents.quantities import LARGEST, Q
from app.fields import HOWS
from app.mechanics.inputs import Quantity
from app.records.base import Row

PARTS = ("", "_plus_minus", "_std", "_how")
PROVENANCE = ("typed", "typed_doubt", "by", "at", "with_what", "default_doubt")

Columns = Mapping[str, fields.Field]
"""Columns of figures by name, each with what the catalogue knows of it."""


def columns_of(group: str, names: tuple[str, ...], prefix: str = "") -> dict[str, fields.Field]:
    """Figures of one group of the catalogue as columns, their names prefixed."""
    return {f"{prefix}{name}": fields.field(group, name) for name in names}


def quantity_model(name: str, columns: Columns) -> type[SQLModel]:
    """A model that holds the four columns of each figure, to be inherited by a table."""
    parts: dict[str, Any] = {}
    for column in columns:
        for part in PARTS[:3]:
            parts[column + part] = (float | None, Field(default=None, sa_type=sa.Double))
        parts[f"{column}_how"] = (str | None, Field(default=None, sa_type=sa.String(9)))
    return create_model(name, __base__=SQLModel, **parts)


def quantity_checks(columns: Columns) -> tuple[sa.CheckConstraint, ...]:
    """The named checks of each figure: its range, and what holds of its doubts."""
    found = []
    for column, about in columns.items():
        found.append(sa.CheckConstraint(range_sql(column, about), name=f"{column}_range"))
        found.append(sa.CheckConstraint(doubt_sql(column, about), name=f"{column}_doubt"))
    return tuple(found)


def range_sql(column: str, about: fields.Field) -> str:
    """The bounds of a figure; the upper one also keeps out infinity, NaN and text."""
    bounds = []
    if about.above is not None:
        bounds.append(f"{column} > {about.above:g}")
    if about.at_least is not None:
        bounds.append(f"{column} >= {about.at_least:g}")
    if about.below is not None:
        bounds.append(f"{column} < {about.below:g}")
    if about.at_most is not None:
        bounds.append(f"{column} <= {about.at_most:g}")
    if about.below is None and about.at_most is None:
        bounds.append(f"{column} <= {LARGEST:.0f}")
    return " AND ".join(bounds)


def doubt_sql(column: str, about: fields.Field) -> str:
    """One doubt at most, never below 0, none without a value; below the value where 0 is out."""
    hows = ", ".join(f"'{how}'" for how in HOWS)
    rules = [
        f"({column}_plus_minus IS NULL OR {column}_plus_minus BETWEEN 0 AND {LARGEST:.0f})",
        f"({column}_std IS NULL OR {column}_std BETWEEN 0 AND {LARGEST:.0f})",
        f"({column}_plus_minus IS NULL OR {column}_std IS NULL)",
        f"({column}_how IS NULL OR {column}_how IN ({hows}))",
        f"({column} IS NOT NULL OR ({column}_plus_minus IS NULL AND {column}_std IS NULL "
        f"AND {column}_how IS NULL))",
    ]
    if about.above == 0:
        rules.append(f"({column}_plus_minus IS NULL OR {column}_plus_minus < {column})")
    return " AND ".join(rules)


def put(values: dict[str, Any], provenance: dict[str, Any], column: str, q: Q | None) -> None:
    """Write a figure into the row's values and its origin into the row's provenance."""
    values[column] = None if q is None else q.value
    values[f"{column}_plus_minus"] = None if q is None else q.plus_minus
    values[f"{column}_std"] = None if q is None else q.std
    values[f"{column}_how"] = None if q is None else q.how
    if q is not None:
        origin = {key: v for key in PROVENANCE if (v := getattr(q, key))}
        if origin:
            provenance[column] = origin


def take(row: Row, column: str) -> Q | None:
    """The figure that a row holds, with where it came from."""
    value = row[column]
    if value is None:
        return None
    return Q(
        value=value,
        plus_minus=row[f"{column}_plus_minus"],
        std=row[f"{column}_std"],
        how=row[f"{column}_how"],
        **(row["provenance"] or {}).get(column, {}),
    )


def take_quantity(row: Row, column: str) -> Quantity | None:
    """The figure that a row holds, as the mechanics take it; built without the document."""
    value = row[column]
    if value is None:
        return None
    return Quantity(value, row[f"{column}_plus_minus"], row[f"{column}_std"], row[f"{column}_how"])
