"""Radius of the basket's slots, springs measured one by one, what an engine sets moving.

Revision: b83f6c1d02a7
Follows: f7d20b58c3e6
Date: 2026-11-25

Columns are added in plain SQL with their checks: making a table anew on SQLite would lose its
triggers, and both databases take the same words.
"""

from alembic import op

revision = "b83f6c1d02a7"
down_revision = "f7d20b58c3e6"
branch_labels = None
depends_on = None

FIGURES = {
    "pack": ("basket_spline_mm",),
    "engine": ("vehicle_mass_kg", "wheel_radius_m", "clutch_to_wheel_ratio"),
}
LARGEST = "1000000000"


def range_sql(name: str) -> str:
    return f"{name} > 0 AND {name} <= {LARGEST}"


def doubt_sql(name: str) -> str:
    return (
        f"({name}_plus_minus IS NULL OR {name}_plus_minus BETWEEN 0 AND {LARGEST}) AND "
        f"({name}_std IS NULL OR {name}_std BETWEEN 0 AND {LARGEST}) AND "
        f"({name}_plus_minus IS NULL OR {name}_std IS NULL) AND "
        f"({name}_how IS NULL OR {name}_how IN "
        "('measured', 'listed', 'estimated', 'assumed')) AND "
        f"({name} IS NOT NULL OR ({name}_plus_minus IS NULL AND {name}_std IS NULL "
        f"AND {name}_how IS NULL)) AND "
        f"({name}_plus_minus IS NULL OR {name}_plus_minus < {name})"
    )


def add(table: str, column: str, kind: str, name: str = "", check: str = "") -> None:
    rule = f" CONSTRAINT ck_{table}_{name} CHECK ({check})" if check else ""
    op.execute(f"ALTER TABLE {table} ADD COLUMN {column} {kind}{rule}")


def upgrade() -> None:
    double = "DOUBLE" if op.get_bind().dialect.name == "sqlite" else "DOUBLE PRECISION"
    for table, names in FIGURES.items():
        for name in names:
            add(table, name, double, f"{name}_range", range_sql(name))
            add(table, f"{name}_plus_minus", double)
            add(table, f"{name}_std", double)
            add(table, f"{name}_how", "VARCHAR(9)", f"{name}_doubt", doubt_sql(name))
    add("spring", "positions", "INTEGER", "positions", "positions BETWEEN 1 AND 1000000")
    add("spring", "free_lengths_mm", "JSON")


def downgrade() -> None:
    # A check written with its column goes with it, on both.
    for column in ("free_lengths_mm", "positions"):
        op.execute(f"ALTER TABLE spring DROP COLUMN {column}")
    for table, names in FIGURES.items():
        for name in names:
            for column in (f"{name}_how", f"{name}_std", f"{name}_plus_minus", name):
                op.execute(f"ALTER TABLE {table} DROP COLUMN {column}")
