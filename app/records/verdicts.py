"""Verdicts as they were shown when somebody exported or printed them; nothing here is altered."""

from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from app.records.base import JSON, PUBLIC_ID_LENGTH, UtcDateTime, now, public_id

DIGEST_LENGTH = 64


class Verdict(SQLModel, table=True):
    """What was shown of a board or a cell: figures, state, limits, versions, who and when."""

    __tablename__ = "verdict"
    __table_args__ = (
        sa.CheckConstraint("kind IN ('board', 'cell')", name="kind"),
        sa.CheckConstraint("way IN ('csv', 'print')", name="way"),
    )

    id: int | None = Field(default=None, primary_key=True)
    public_id: str = Field(
        default_factory=public_id, sa_type=sa.String(PUBLIC_ID_LENGTH), unique=True
    )
    at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    by: str = Field(sa_type=sa.Text)
    kind: str = Field(sa_type=sa.Text)
    way: str = Field(sa_type=sa.Text)
    title: str = Field(sa_type=sa.Text)
    query: str = Field(sa_type=sa.Text)
    revision: int = Field(sa_type=sa.BigInteger)
    content: dict[str, Any] = Field(sa_type=JSON, nullable=False)


class VerdictInput(SQLModel, table=True):
    """A record's document that a verdict was worked out from, kept once under its digest."""

    __tablename__ = "verdict_input"

    digest: str = Field(primary_key=True, sa_type=sa.String(DIGEST_LENGTH))
    document: dict[str, Any] = Field(sa_type=JSON, nullable=False)
