"""People: members, sessions, failed tries, set-up codes, tokens of scripts.

Revision: a47c2e8b9d10
Follows: e61b0d94f3a5
Date: 2026-11-25
"""

import sqlalchemy as sa
from alembic import op

revision = "a47c2e8b9d10"
down_revision = "e61b0d94f3a5"
branch_labels = None
depends_on = None

TIME = sa.DateTime(timezone=True)
FOLDED = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
ID = sa.String(10)
DIGEST = sa.String(64)


def columns(kind: sa.types.TypeEngine, *names: str) -> list[sa.Column]:
    return [sa.Column(name, kind) for name in names]


def required(kind: sa.types.TypeEngine, *names: str) -> list[sa.Column]:
    return [sa.Column(name, kind, nullable=False) for name in names]


def table(name: str, *parts: sa.schema.SchemaItem, unique: tuple[str, ...]) -> None:
    op.create_table(
        name,
        *required(sa.Integer(), "id"),
        *parts,
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{name}")),
        *(sa.UniqueConstraint(column, name=op.f(f"uq_{name}_{column}")) for column in unique),
    )


def of_member(name: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        ["member_id"], ["member.id"], name=op.f(f"fk_{name}_member_id_member")
    )


def upgrade() -> None:
    table(
        "member",
        *required(ID, "public_id"),
        *required(sa.Integer(), "version"),
        *required(sa.Text(), "name"),
        *required(FOLDED, "name_key"),
        *required(sa.Text(), "role", "created_by", "changed_by"),
        *columns(sa.Text(), "password_hash"),
        *columns(TIME, "password_at", "disabled_at"),
        *required(TIME, "created_at", "changed_at"),
        sa.CheckConstraint("role IN ('viewer', 'editor', 'admin')", name=op.f("ck_member_role")),
        unique=("public_id", "name_key"),
    )
    table(
        "member_session",
        *required(ID, "public_id"),
        *required(sa.Integer(), "member_id"),
        *required(DIGEST, "id_digest"),
        *required(TIME, "created_at", "last_seen_at", "ends_at"),
        *required(sa.Text(), "browser", "address"),
        of_member("member_session"),
        unique=("public_id", "id_digest"),
    )
    table(
        "setup_token",
        *required(DIGEST, "code_digest"),
        *columns(sa.Integer(), "member_id"),
        *required(TIME, "created_at", "ends_at"),
        *columns(TIME, "used_at"),
        of_member("setup_token"),
        unique=("code_digest",),
    )
    table(
        "api_token",
        *required(ID, "public_id"),
        *required(sa.Integer(), "member_id"),
        *required(sa.Text(), "name"),
        *required(DIGEST, "token_digest"),
        *required(TIME, "created_at"),
        *columns(TIME, "last_used_at"),
        of_member("api_token"),
        unique=("public_id", "token_digest"),
    )
    for name in ("member_session", "setup_token", "api_token"):
        op.create_index(op.f(f"ix_{name}_member_id"), name, ["member_id"])
    op.create_table(
        "failed_tries",
        *required(sa.Text(), "key"),
        *required(sa.Integer(), "count"),
        *required(TIME, "last_at"),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_failed_tries")),
    )


def downgrade() -> None:
    for name in ("failed_tries", "api_token", "setup_token", "member_session", "member"):
        op.drop_table(name)
