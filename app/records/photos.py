"""Photos of slip tests and of findings: pictures in rows of their own, never read with a record."""

from datetime import datetime

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from app.records.base import PUBLIC_ID_LENGTH, UtcDateTime, now, public_id


class Photo(SQLModel, table=True):
    """One photo of one record; the pictures stand last, so that the rest is read without them."""

    __tablename__ = "photo"
    __table_args__ = (
        sa.CheckConstraint("(slip_test_id IS NULL) <> (finding_id IS NULL)", name="owner"),
        sa.CheckConstraint("length(caption) BETWEEN 1 AND 200", name="caption_length"),
        sa.CheckConstraint("width BETWEEN 1 AND 20000", name="width"),
        sa.CheckConstraint("height BETWEEN 1 AND 20000", name="height"),
        sa.Index("ix_photo_slip_test_id", "slip_test_id"),
        sa.Index("ix_photo_finding_id", "finding_id"),
    )

    id: int | None = Field(default=None, primary_key=True)
    public_id: str = Field(
        default_factory=public_id, sa_type=sa.String(PUBLIC_ID_LENGTH), unique=True
    )
    version: int = 1
    slip_test_id: int | None = Field(
        default=None, foreign_key="slip_test.id", ondelete="CASCADE"
    )
    finding_id: int | None = Field(default=None, foreign_key="finding.id", ondelete="CASCADE")
    added_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    added_by: str = Field(sa_type=sa.Text)
    put_aside_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    put_aside_by: str | None = Field(default=None, sa_type=sa.Text)
    caption: str | None = Field(default=None, sa_type=sa.Text)
    width: int
    height: int
    digest: str = Field(sa_type=sa.Text)
    small: bytes = Field(sa_type=sa.LargeBinary)
    picture: bytes = Field(sa_type=sa.LargeBinary)
