"""Keeping: undone changes, verdicts as shown, imports, saved comparisons, the shortlist.

Revision: e61b0d94f3a5
Follows: c3a91f5e7d28
Date: 2026-11-25
"""

import sqlalchemy as sa
from alembic import op

revision = "e61b0d94f3a5"
down_revision = "c3a91f5e7d28"
branch_labels = None
depends_on = None

TIME = sa.DateTime(timezone=True)
FOLDED = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")

SQLITE_APPEND_ONLY = """
CREATE TRIGGER {table}_is_not_{done} BEFORE {event} ON {table}
BEGIN SELECT RAISE(ABORT, 'what was shown is only added to'); END
"""
POSTGRESQL_APPEND_ONLY = """
CREATE TRIGGER {table}_is_only_added_to BEFORE UPDATE OR DELETE OR TRUNCATE ON {table}
FOR EACH STATEMENT EXECUTE FUNCTION refuse_to_rewrite_history()
"""


def check(table: str, name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def columns(kind: sa.types.TypeEngine, *names: str) -> list[sa.Column]:
    return [sa.Column(name, kind) for name in names]


def required(kind: sa.types.TypeEngine, *names: str) -> list[sa.Column]:
    return [sa.Column(name, kind, nullable=False) for name in names]


def keyed(table: str) -> list[sa.schema.SchemaItem]:
    return [
        *required(sa.Integer(), "id"),
        *required(sa.String(10), "public_id"),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
        sa.UniqueConstraint("public_id", name=op.f(f"uq_{table}_public_id")),
    ]


def named(table: str) -> list[sa.schema.SchemaItem]:
    return [
        *keyed(table),
        *required(sa.Integer(), "version"),
        *required(TIME, "created_at", "changed_at"),
        *required(sa.Text(), "created_by", "changed_by"),
        *columns(TIME, "put_aside_at"),
        *columns(sa.Text(), "put_aside_by"),
        *required(sa.Text(), "name", "search_text"),
        *required(FOLDED, "name_key"),
        check(table, "name_length", "length(name) BETWEEN 1 AND 200"),
    ]


def name_indexes(table: str) -> None:
    op.create_index(op.f(f"ix_{table}_name_key_id"), table, ["name_key", "id"])
    op.create_index(
        op.f(f"uq_{table}_active_name"),
        table,
        ["name_key"],
        unique=True,
        sqlite_where=sa.text("put_aside_at IS NULL"),
        postgresql_where=sa.text("put_aside_at IS NULL"),
    )


def points_at(table: str, noun: str, ondelete: str) -> sa.ForeignKeyConstraint:
    name = op.f(f"fk_{table}_{noun}_id_{noun}")
    return sa.ForeignKeyConstraint([f"{noun}_id"], [f"{noun}.id"], name=name, ondelete=ondelete)


def only_added_to(table: str) -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute(POSTGRESQL_APPEND_ONLY.format(table=table))
        return
    for done, event in (("altered", "UPDATE"), ("taken_out", "DELETE")):
        op.execute(SQLITE_APPEND_ONLY.format(table=table, done=done, event=event))


def upgrade() -> None:
    # Added in place: to make the table anew would lose the triggers that keep the history.
    op.add_column("change", sa.Column("undoes", sa.Integer()))
    op.create_index(op.f("ix_change_batch"), "change", ["batch"])
    op.create_index(op.f("ix_change_undoes"), "change", ["undoes"])
    op.create_table(
        "verdict",
        *keyed("verdict"),
        *required(TIME, "at"),
        *required(sa.Text(), "by", "kind", "way", "title", "query"),
        *required(sa.BigInteger(), "revision"),
        *required(sa.JSON(), "content"),
        check("verdict", "kind", "kind IN ('board', 'cell')"),
        check("verdict", "way", "way IN ('csv', 'print')"),
    )
    op.create_table(
        "verdict_input",
        *required(sa.String(64), "digest"),
        *required(sa.JSON(), "document"),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_verdict_input")),
    )
    only_added_to("verdict")
    only_added_to("verdict_input")
    op.create_table(
        "import_job",
        *keyed("import_job"),
        *required(TIME, "at", "beat"),
        *required(sa.Text(), "by", "noun", "variant", "stage"),
        *required(sa.JSON(), "headings"),
        *required(sa.Integer(), "done", "total"),
        *columns(sa.Text(), "batch", "message"),
        check(
            "import_job",
            "stage",
            "stage IN ('checking', 'checked', 'saving', 'saved', 'failed')",
        ),
    )
    op.create_table(
        "import_row",
        *required(sa.Integer(), "job_id", "number"),
        *required(sa.Text(), "status"),
        *required(sa.JSON(), "cells"),
        sa.Column("record", sa.String(10)),
        sa.Column("version", sa.Integer()),
        *columns(sa.JSON(), "document", "problems"),
        sa.PrimaryKeyConstraint("job_id", "number", name=op.f("pk_import_row")),
        sa.ForeignKeyConstraint(
            ["job_id"],
            ["import_job.id"],
            name=op.f("fk_import_row_job_id_import_job"),
            ondelete="CASCADE",
        ),
        check(
            "import_row",
            "status",
            "status IN ('waiting', 'new', 'changed', 'unchanged', 'bad')",
        ),
    )
    op.create_index(
        op.f("ix_import_row_job_id_status_number"), "import_row", ["job_id", "status", "number"]
    )
    op.create_table(
        "comparison",
        *named("comparison"),
        *required(sa.JSON(), "asked"),
        *columns(sa.Text(), "notes"),
    )
    name_indexes("comparison")
    op.create_table(
        "shortlist_line",
        *named("shortlist_line"),
        *required(sa.Integer(), "pack_id", "quantity"),
        *columns(sa.Integer(), "engine_id", "offer_id"),
        *columns(sa.Text(), "why"),
        *required(sa.Boolean(), "done"),
        check("shortlist_line", "quantity", "quantity BETWEEN 1 AND 1000000"),
        points_at("shortlist_line", "pack", "RESTRICT"),
        points_at("shortlist_line", "engine", "SET NULL"),
        points_at("shortlist_line", "offer", "SET NULL"),
    )
    name_indexes("shortlist_line")
    for noun in ("pack", "engine", "offer"):
        op.create_index(op.f(f"ix_shortlist_line_{noun}_id"), "shortlist_line", [f"{noun}_id"])


def downgrade() -> None:
    for table in (
        "shortlist_line",
        "comparison",
        "import_row",
        "import_job",
        "verdict_input",
        "verdict",
    ):
        op.drop_table(table)
    op.drop_index(op.f("ix_change_undoes"), "change")
    op.drop_index(op.f("ix_change_batch"), "change")
    op.drop_column("change", "undoes")
