"""Slip tests: instruments, runs with their readings, findings of teardowns.

Revision: c3a91f5e7d28
Follows: 8d40f2ab6c17
Date: 2026-11-25
"""

import sqlalchemy as sa
from alembic import op

revision = "c3a91f5e7d28"
down_revision = "8d40f2ab6c17"
branch_labels = None
depends_on = None

TIME = sa.DateTime(timezone=True)
FOLDED = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
LARGEST = "1000000000"


def check(table: str, name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def columns(kind: sa.types.TypeEngine, *names: str) -> list[sa.Column]:
    return [sa.Column(name, kind) for name in names]


def required(kind: sa.types.TypeEngine, *names: str) -> list[sa.Column]:
    return [sa.Column(name, kind, nullable=False) for name in names]


def named(table: str) -> list[sa.schema.SchemaItem]:
    return [
        *required(sa.Integer(), "id"),
        sa.Column("public_id", sa.String(10), nullable=False),
        *required(sa.Integer(), "version"),
        *required(TIME, "created_at", "changed_at"),
        *required(sa.Text(), "created_by", "changed_by"),
        sa.Column("put_aside_at", TIME),
        sa.Column("put_aside_by", sa.Text()),
        *required(sa.Text(), "name", "search_text"),
        sa.Column("name_key", FOLDED, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
        sa.UniqueConstraint("public_id", name=op.f(f"uq_{table}_public_id")),
        check(table, "name_length", "length(name) BETWEEN 1 AND 200"),
    ]


def kept(table: str, noun: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        [f"{noun}_id"], [f"{noun}.id"], name=op.f(f"fk_{table}_{noun}_id_{noun}"),
        ondelete="RESTRICT",
    )


def name_indexes(table: str) -> None:
    op.create_index(op.f(f"ix_{table}_name_key_id"), table, ["name_key", "id"])
    op.create_index(
        op.f(f"uq_{table}_active_name"), table, ["name_key"], unique=True,
        sqlite_where=sa.text("put_aside_at IS NULL"),
        postgresql_where=sa.text("put_aside_at IS NULL"),
    )


def upgrade() -> None:
    op.create_table(
        "instrument",
        *named("instrument"),
        *columns(
            sa.Double(), "range_low_nm", "range_high_nm", "relative_accuracy", "resolution_nm"
        ),
        sa.Column("notes", sa.Text()),
        check("instrument", "range_low", f"range_low_nm BETWEEN 0 AND {LARGEST}"),
        check("instrument", "range_high", f"range_high_nm > 0 AND range_high_nm <= {LARGEST}"),
        check("instrument", "range_order", "range_low_nm < range_high_nm"),
        check("instrument", "accuracy", "relative_accuracy >= 0 AND relative_accuracy < 1"),
        check("instrument", "resolution", f"resolution_nm BETWEEN 0 AND {LARGEST}"),
    )
    name_indexes("instrument")
    op.create_table(
        "slip_test",
        *named("slip_test"),
        *required(sa.Integer(), "pack_id"),
        sa.Column("instrument_id", sa.Integer()),
        *columns(sa.Text(), "date", "by"),
        *required(sa.Text(), "lubrication", "friction"),
        sa.Column("springs_fitted", sa.Integer()),
        sa.Column("direction", sa.Text()),
        *columns(sa.Double(), "speed_rpm", "temperature_c"),
        sa.Column("runs_since_assembly", sa.Integer()),
        sa.Column("wear_mm", sa.Double()),
        sa.Column("oil_on_plates", sa.Boolean()),
        *columns(sa.Text(), "heat", "facings"),
        sa.Column("excluded", sa.Boolean(), nullable=False),
        *columns(sa.Text(), "excluded_reason", "notes"),
        check("slip_test", "lubrication", "lubrication IN ('dry', 'oiled')"),
        check("slip_test", "friction", "friction IN ('static', 'sliding')"),
        check("slip_test", "springs_fitted", "springs_fitted BETWEEN 1 AND 1000000"),
        check("slip_test", "direction", "direction IN ('clockwise', 'anticlockwise')"),
        check("slip_test", "speed", f"speed_rpm BETWEEN 0 AND {LARGEST}"),
        check("slip_test", "temperature", f"temperature_c BETWEEN -273.15 AND {LARGEST}"),
        check("slip_test", "runs", "runs_since_assembly BETWEEN 0 AND 1000000"),
        check("slip_test", "wear", f"wear_mm BETWEEN 0 AND {LARGEST}"),
        check("slip_test", "heat", "heat IN ('cold', 'hot')"),
        check("slip_test", "facings", "facings IN ('new', 'worn')"),
        check("slip_test", "reason", "NOT excluded OR excluded_reason IS NOT NULL"),
        kept("slip_test", "pack"),
        kept("slip_test", "instrument"),
    )
    name_indexes("slip_test")
    op.create_index(op.f("ix_slip_test_pack_id"), "slip_test", ["pack_id"])
    op.create_index(op.f("ix_slip_test_instrument_id"), "slip_test", ["instrument_id"])
    op.create_table(
        "slip_reading",
        *required(sa.Integer(), "id", "slip_test_id", "position"),
        *required(sa.Text(), "kind"),
        *columns(sa.Double(), "low_nm", "high_nm"),
        *columns(sa.Text(), "typed", "typed_high"),
        sa.Column("as_read", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_slip_reading")),
        check("slip_reading", "position", "position >= 0"),
        check("slip_reading", "kind", "kind IN ('value', 'span', 'at_least', 'at_most')"),
        check("slip_reading", "low", f"low_nm > 0 AND low_nm <= {LARGEST}"),
        check("slip_reading", "high", f"high_nm > 0 AND high_nm <= {LARGEST}"),
        check("slip_reading", "order", "low_nm <= high_nm"),
        check(
            "slip_reading", "ends",
            "(low_nm IS NULL) = (kind = 'at_most') AND (high_nm IS NULL) = (kind = 'at_least')",
        ),
        check("slip_reading", "value", "kind <> 'value' OR low_nm = high_nm"),
        sa.ForeignKeyConstraint(
            ["slip_test_id"], ["slip_test.id"],
            name=op.f("fk_slip_reading_slip_test_id_slip_test"), ondelete="CASCADE",
        ),
        sa.UniqueConstraint(
            "slip_test_id", "position", name=op.f("uq_slip_reading_slip_test_id_position")
        ),
    )
    op.create_table(
        "finding",
        *named("finding"),
        *required(sa.Integer(), "pack_id"),
        *columns(sa.Text(), "date", "by"),
        *required(sa.Text(), "check_key", "outcome"),
        *columns(sa.Text(), "measured", "notes"),
        check("finding", "outcome", "outcome IN ('good', 'watch', 'bad')"),
        check("finding", "check_key", "length(check_key) BETWEEN 1 AND 40"),
        kept("finding", "pack"),
    )
    name_indexes("finding")
    op.create_index(op.f("ix_finding_pack_id"), "finding", ["pack_id"])


def downgrade() -> None:
    op.drop_table("finding")
    op.drop_table("slip_reading")
    op.drop_table("slip_test")
    op.drop_table("instrument")
