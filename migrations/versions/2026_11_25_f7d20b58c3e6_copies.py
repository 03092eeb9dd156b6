"""Copies: one row for each copy of the database that was made or tried.

Revision: f7d20b58c3e6
Follows: a47c2e8b9d10
Date: 2026-11-25
"""

import sqlalchemy as sa
from alembic import op

revision = "f7d20b58c3e6"
down_revision = "a47c2e8b9d10"
branch_labels = None
depends_on = None

TIME = sa.DateTime(timezone=True)


def upgrade() -> None:
    op.create_table(
        "backup",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("day", sa.Text()),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("stage", sa.Text(), nullable=False),
        sa.Column("started_at", TIME, nullable=False),
        sa.Column("beat", TIME, nullable=False),
        sa.Column("ended_at", TIME),
        sa.Column("host", sa.Text(), nullable=False),
        sa.Column("file", sa.Text(), nullable=False),
        sa.Column("size", sa.BigInteger()),
        sa.Column("rows", sa.BigInteger()),
        sa.Column("message", sa.Text()),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_backup")),
        sa.UniqueConstraint("day", name=op.f("uq_backup_day")),
        sa.CheckConstraint("kind IN ('daily', 'by hand')", name=op.f("ck_backup_kind")),
        sa.CheckConstraint(
            "stage IN ('running', 'good', 'failed')", name=op.f("ck_backup_stage")
        ),
    )
    op.create_index(op.f("ix_backup_stage_ended_at"), "backup", ["stage", "ended_at"])


def downgrade() -> None:
    op.drop_table("backup")
