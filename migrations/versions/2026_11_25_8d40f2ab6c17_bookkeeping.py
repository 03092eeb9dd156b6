"""Bookkeeping: settings, resent forms, the catalogue's revision, and who changed what.

Revision: 8d40f2ab6c17
Follows: 5b1e7c20a4d9
Date: 2026-11-25
"""

import sqlalchemy as sa
from alembic import op

revision = "8d40f2ab6c17"
down_revision = "5b1e7c20a4d9"
branch_labels = None
depends_on = None

TIME = sa.DateTime(timezone=True)

SQLITE_APPEND_ONLY = """
CREATE TRIGGER change_is_not_{done} BEFORE {event} ON change
BEGIN SELECT RAISE(ABORT, 'the history is only added to'); END
"""
POSTGRESQL_REFUSAL = """
CREATE FUNCTION refuse_to_rewrite_history() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION 'the history is only added to'; END $$
"""
POSTGRESQL_APPEND_ONLY = """
CREATE TRIGGER change_is_only_added_to BEFORE UPDATE OR DELETE OR TRUNCATE ON change
FOR EACH STATEMENT EXECUTE FUNCTION refuse_to_rewrite_history()
"""


def columns(kind: sa.types.TypeEngine, *names: str) -> list[sa.Column]:
    return [sa.Column(name, kind) for name in names]


def required(kind: sa.types.TypeEngine, *names: str) -> list[sa.Column]:
    return [sa.Column(name, kind, nullable=False) for name in names]


def check(table: str, name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def keep_history() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute(POSTGRESQL_REFUSAL)
        op.execute(POSTGRESQL_APPEND_ONLY)
        return
    for done, event in (("altered", "UPDATE"), ("taken_out", "DELETE")):
        op.execute(SQLITE_APPEND_ONLY.format(done=done, event=event))


def upgrade() -> None:
    op.create_table(
        "catalogue_revision",
        sa.Column("id", sa.Integer(), nullable=False, autoincrement=False),
        sa.Column("number", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_catalogue_revision")),
        check("catalogue_revision", "one_row", "id = 1"),
    )
    op.create_table(
        "change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", TIME, nullable=False),
        *required(sa.Text(), "by", "action", "noun", "record", "name"),
        sa.Column("version", sa.Integer(), nullable=False),
        *columns(sa.JSON(), "before", "after"),
        *columns(sa.Text(), "reason", "request_id", "batch"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_change")),
        check(
            "change",
            "action",
            "action IN ('add', 'change', 'put aside', 'bring back', 'move', 'set')",
        ),
    )
    op.create_index(op.f("ix_change_at"), "change", ["at"])
    op.create_index(op.f("ix_change_noun_record_id"), "change", ["noun", "record", "id"])
    op.create_table(
        "setting",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("value", sa.JSON(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("changed_at", TIME, nullable=False),
        sa.Column("changed_by", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_setting")),
    )
    op.create_table(
        "submission",
        *required(sa.Text(), "token", "noun", "record"),
        sa.Column("at", TIME, nullable=False),
        sa.PrimaryKeyConstraint("token", name=op.f("pk_submission")),
    )
    op.execute("INSERT INTO catalogue_revision (id, number) VALUES (1, 0)")
    keep_history()


def downgrade() -> None:
    op.drop_table("submission")
    op.drop_table("setting")
    op.drop_table("change")
    op.drop_table("catalogue_revision")
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION refuse_to_rewrite_history()")
