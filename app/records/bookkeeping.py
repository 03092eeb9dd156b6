"""What keeps the catalogue in order: settings, resent forms, the revision, who changed what."""

from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import declared_attr
from sqlmodel import Field, SQLModel

from app.records.base import JSON, UtcDateTime, now, table_of


class Setting(SQLModel, table=True):
    """One of the team's settings, by key."""

    __tablename__ = "setting"

    key: str = Field(primary_key=True, sa_type=sa.Text)
    value: Any = Field(
        default=None,
        sa_type=JSON,
        nullable=False,
    )
    version: int = Field(default=None, nullable=False)
    changed_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    changed_by: str = Field(sa_type=sa.Text)

    @declared_attr.directive
    @classmethod
    def __mapper_args__(cls) -> dict[str, Any]:
        return {"version_id_col": table_of(cls).c.version}


class Submission(SQLModel, table=True):
    """A form that was saved, so that the same form sent twice makes one record."""

    __tablename__ = "submission"

    token: str = Field(primary_key=True, sa_type=sa.Text)
    noun: str = Field(sa_type=sa.Text)
    record: str = Field(sa_type=sa.Text)
    at: datetime = Field(default_factory=now, sa_type=UtcDateTime)


class CatalogueRevision(SQLModel, table=True):
    """A counter that every write raises in its own transaction; one row."""

    __tablename__ = "catalogue_revision"
    __table_args__ = (sa.CheckConstraint("id = 1", name="one_row"),)

    id: int = Field(default=1, primary_key=True, sa_column_kwargs={"autoincrement": False})
    number: int = Field(default=0, sa_type=sa.BigInteger)


class Change(SQLModel, table=True):
    """Who changed what, when, from what to what; no row can be altered or taken out."""

    __tablename__ = "change"
    __table_args__ = (
        sa.CheckConstraint(
            "action IN ('add', 'change', 'put aside', 'bring back', 'move', 'set')", name="action"
        ),
        sa.Index("ix_change_noun_record_id", "noun", "record", "id"),
        sa.Index("ix_change_batch", "batch"),
        sa.Index("ix_change_undoes", "undoes"),
    )

    id: int | None = Field(default=None, primary_key=True)
    at: datetime = Field(default_factory=now, sa_type=UtcDateTime, index=True)
    by: str = Field(sa_type=sa.Text)
    action: str = Field(sa_type=sa.Text)
    noun: str = Field(sa_type=sa.Text)
    record: str = Field(sa_type=sa.Text)
    name: str = Field(sa_type=sa.Text)
    version: int
    before: dict[str, Any] | None = Field(
        default=None,
        sa_type=JSON,
    )
    after: dict[str, Any] | None = Field(
        default=None,
        sa_type=JSON,
    )
    reason: str | None = Field(default=None, sa_type=sa.Text)
    request_id: str | None = Field(default=None, sa_type=sa.Text)
    batch: str | None = Field(default=None, sa_type=sa.Text)
    undoes: int | None = Field(default=None)
