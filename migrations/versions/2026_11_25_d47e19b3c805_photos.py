"""Photos of slip tests and findings.

Revision: d47e19b3c805
Follows: b83f6c1d02a7
Date: 2026-11-25
"""

import sqlalchemy as sa
from alembic import op

revision = "d47e19b3c805"
down_revision = "b83f6c1d02a7"
branch_labels = None
depends_on = None

TIME = sa.DateTime(timezone=True)


def check(name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_photo_{name}"))


def owner(noun: str) -> sa.ForeignKeyConstraint:
    name = op.f(f"fk_photo_{noun}_id_{noun}")
    return sa.ForeignKeyConstraint([f"{noun}_id"], [f"{noun}.id"], name=name, ondelete="CASCADE")


def upgrade() -> None:
    op.create_table(
        "photo",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("public_id", sa.String(10), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("slip_test_id", sa.Integer()),
        sa.Column("finding_id", sa.Integer()),
        sa.Column("added_at", TIME, nullable=False),
        sa.Column("added_by", sa.Text(), nullable=False),
        sa.Column("put_aside_at", TIME),
        sa.Column("put_aside_by", sa.Text()),
        sa.Column("caption", sa.Text()),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("small", sa.LargeBinary(), nullable=False),
        sa.Column("picture", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
        sa.UniqueConstraint("public_id", name=op.f("uq_photo_public_id")),
        owner("slip_test"),
        owner("finding"),
        check("owner", "(slip_test_id IS NULL) <> (finding_id IS NULL)"),
        check("caption_length", "length(caption) BETWEEN 1 AND 200"),
        check("width", "width BETWEEN 1 AND 20000"),
        check("height", "height BETWEEN 1 AND 20000"),
    )
    op.create_index(op.f("ix_photo_slip_test_id"), "photo", ["slip_test_id"])
    op.create_index(op.f("ix_photo_finding_id"), "photo", ["finding_id"])


def downgrade() -> None:
    op.drop_table("photo")
