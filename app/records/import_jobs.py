"""Files that were sent to be imported: the job with its progress, and the file's rows beside it.

They are no records of the catalogue: nothing here counts as a change of it.
"""

from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from app.records.base import JSON, PUBLIC_ID_LENGTH, UtcDateTime, now, public_id

STAGES = ("checking", "checked", "saving", "saved", "failed")
STATUSES = ("waiting", "new", "changed", "unchanged", "bad")


def _one_of(name: str, words: tuple[str, ...]) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return sa.CheckConstraint(f"{name} IN ({listed})", name=name)


class ImportJob(SQLModel, table=True):
    """One file: of which kind of record, how far it is, what was found."""

    __tablename__ = "import_job"
    __table_args__ = (_one_of("stage", STAGES),)

    id: int | None = Field(default=None, primary_key=True)
    public_id: str = Field(
        default_factory=public_id, sa_type=sa.String(PUBLIC_ID_LENGTH), unique=True
    )
    at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    by: str = Field(sa_type=sa.Text)
    noun: str = Field(sa_type=sa.Text)
    variant: str = Field(sa_type=sa.Text)
    headings: list[str] = Field(sa_type=JSON, nullable=False)
    stage: str = Field(sa_type=sa.Text)
    done: int = 0
    total: int = 0
    beat: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    batch: str | None = Field(default=None, sa_type=sa.Text)
    message: str | None = Field(default=None, sa_type=sa.Text)


class ImportRow(SQLModel, table=True):
    """One row of a file: its cells as they came, what they make, and what is wrong with them."""

    __tablename__ = "import_row"
    __table_args__ = (
        _one_of("status", STATUSES),
        sa.Index("ix_import_row_job_id_status_number", "job_id", "status", "number"),
    )

    job_id: int = Field(foreign_key="import_job.id", ondelete="CASCADE", primary_key=True)
    number: int = Field(primary_key=True)
    status: str = Field(sa_type=sa.Text)
    cells: dict[str, Any] = Field(sa_type=JSON, nullable=False)
    record: str | None = Field(default=None, sa_type=sa.String(PUBLIC_ID_LENGTH))
    version: int | None = Field(default=None)
    document: dict[str, Any] | None = Field(default=None, sa_type=JSON)
    problems: list[Any] | None = Field(default=None, sa_type=JSON)
