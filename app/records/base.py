"""What every table shares: constraint names, times in UTC, public ids, stamps and versions."""

import secrets
import unicodedata
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Dialect, RowMapping
from sqlalchemy.orm import declared_attr
from sqlmodel import Field, SQLModel

SQLModel.metadata.naming_convention = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}

Row = RowMapping | Mapping[str, Any]
"""A row as columns: what a Core query gives, or a plain mapping."""

NOT_SAID = "not said"
"""Who did it, where nobody gave a name."""

_ALPHABET = "23456789abcdefghjkmnpqrstuvwxyz"
PUBLIC_ID_LENGTH = 10
"""31 signs to the tenth: a catalogue of a million has two alike once in sixteen hundred times."""


def public_id() -> str:
    """A short random id for addresses and JSON; no signs that are easily misread."""
    return "".join(secrets.choice(_ALPHABET) for _ in range(PUBLIC_ID_LENGTH))


def now() -> datetime:
    """The time in UTC."""
    return datetime.now(UTC)


def table_of(model: type[SQLModel]) -> sa.Table:
    """The table of a model; SQLModel's types do not tell of it."""
    found: sa.Table = vars(model)["__table__"]
    return found


class UtcDateTime(sa.TypeDecorator[datetime]):
    """A time that goes in with a zone and comes out in UTC, on every database.

    SQLite keeps no zone and gives back naive times; there they are stored as UTC.
    """

    impl = sa.DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """The time as the database keeps it."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time needs its zone")
        in_utc = value.astimezone(UTC)
        return in_utc.replace(tzinfo=None) if dialect.name == "sqlite" else in_utc

    def process_result_value(self, value: datetime | None, _dialect: Dialect) -> datetime | None:
        """The time in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


JSON = sa.JSON(none_as_null=True)
"""JSON whose None is the database's NULL."""


FOLDED = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
"""Text that sorts by code point on every database, so that paging agrees everywhere."""


def folded(text: str) -> str:
    """The form that names are compared and sought in: without case, width or doubled spaces."""
    plain = unicodedata.normalize("NFKC", text).casefold()
    return " ".join(unicodedata.normalize("NFKC", plain).split())


class Stamped(SQLModel):
    """Key, public id, who and when, version, and whether the record was put aside."""

    id: int | None = Field(default=None, primary_key=True)
    public_id: str = Field(
        default_factory=public_id,
        sa_type=sa.String(PUBLIC_ID_LENGTH),
        unique=True,
    )
    version: int = Field(default=None, nullable=False)
    created_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    created_by: str = Field(sa_type=sa.Text)
    changed_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    changed_by: str = Field(sa_type=sa.Text)
    put_aside_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    put_aside_by: str | None = Field(default=None, sa_type=sa.Text)

    @declared_attr.directive
    @classmethod
    def __mapper_args__(cls) -> dict[str, Any]:
        return {"version_id_col": table_of(cls).c.version}


class Named(Stamped):
    """A record with a name, and its folded forms for looking it up."""

    name: str = Field(sa_type=sa.Text)
    name_key: str = Field(sa_type=FOLDED)
    search_text: str = Field(sa_type=sa.Text)
