"""First catalogue: engines, packs with springs and friction, facings, offers.

Revision: 5b1e7c20a4d9
Follows: nothing
Date: 2026-11-25

A figure x is four columns (x, x_plus_minus, x_std, x_how) with two checks; `figure` makes them.
"""

import sqlalchemy as sa
from alembic import op

revision = "5b1e7c20a4d9"
down_revision = None
branch_labels = None
depends_on = None

TIME = sa.DateTime(timezone=True)
FOLDED = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")

POSITIVE = "{x} > 0 AND {x} <= 1000000000"
NOT_NEGATIVE = "{x} >= 0 AND {x} <= 1000000000"
SHARE = "{x} >= 0 AND {x} < 1"
EFFICIENCY = "{x} > 0 AND {x} <= 1"
ANGLE = "{x} > 0 AND {x} < 90"
POISSON = "{x} >= 0 AND {x} <= 0.5"
BELOW_THE_VALUE = (POSITIVE, EFFICIENCY, ANGLE)

DOUBT = (
    "({x}_plus_minus IS NULL OR {x}_plus_minus BETWEEN 0 AND 1000000000)"
    " AND ({x}_std IS NULL OR {x}_std BETWEEN 0 AND 1000000000)"
    " AND ({x}_plus_minus IS NULL OR {x}_std IS NULL)"
    " AND ({x}_how IS NULL OR {x}_how IN ('measured', 'listed', 'estimated', 'assumed'))"
    " AND ({x} IS NOT NULL OR ({x}_plus_minus IS NULL AND {x}_std IS NULL AND {x}_how IS NULL))"
)
NOT_TO_ZERO = " AND ({x}_plus_minus IS NULL OR {x}_plus_minus < {x})"

POSITIVE_ENGINE = """
    displacement_cc bore_mm stroke_mm torque_nm speed_rpm power_kw bmep_kpa
    overall_ratio primary_ratio service_factor envelope_diameter_mm
    envelope_height_mm spline_major_mm gear_module_mm
"""
POSITIVE_PACK = """
    facing_od_mm facing_id_mm plate_mass_kg friction_plate_mm plain_plate_mm
    envelope_diameter_mm envelope_height_mm spline_major_mm gear_module_mm
    lever_ratio load_force_n load_rate_n_per_mm disc_outside_mm disc_inside_mm
    disc_thickness_mm disc_cone_height_mm disc_modulus_mpa centrifugal_weight_mass_g
    centrifugal_radius_mm
"""
NOT_NEGATIVE_PACK = """
    lift_mm stack_wear_limit_mm disc_installed_deflection_mm
    disc_table_installed_deflection_mm centrifugal_return_force_n
"""
POSITIVE_SPRING = """
    free_length_mm installed_length_mm rate_n_per_mm wire_mm outside_mm inside_mm
    mean_mm total_coils shear_modulus_mpa
"""


def check(table: str, name: str, rule: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=op.f(f"ck_{table}_{name}"))


def columns(kind: sa.types.TypeEngine, *names: str) -> list[sa.Column]:
    return [sa.Column(name, kind) for name in names]


def required(kind: sa.types.TypeEngine, *names: str) -> list[sa.Column]:
    return [sa.Column(name, kind, nullable=False) for name in names]


def figure(table: str, x: str, rule: str) -> list[sa.schema.SchemaItem]:
    doubt = DOUBT + (NOT_TO_ZERO if rule in BELOW_THE_VALUE else "")
    return [
        *columns(sa.Double(), x, f"{x}_plus_minus", f"{x}_std"),
        sa.Column(f"{x}_how", sa.String(9)),
        check(table, f"{x}_range", rule.format(x=x)),
        check(table, f"{x}_doubt", doubt.format(x=x)),
    ]


def figures(table: str, rule: str, names: str) -> list[sa.schema.SchemaItem]:
    return [item for x in names.split() for item in figure(table, x, rule)]


def counted(table: str, names: str) -> list[sa.CheckConstraint]:
    return [check(table, x, f"{x} BETWEEN 1 AND 1000000") for x in names.split()]


def stamped(table: str) -> list[sa.schema.SchemaItem]:
    return [
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("public_id", sa.String(10), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        *required(TIME, "created_at", "changed_at"),
        *required(sa.Text(), "created_by", "changed_by"),
        sa.Column("put_aside_at", TIME),
        sa.Column("put_aside_by", sa.Text()),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
        sa.UniqueConstraint("public_id", name=op.f(f"uq_{table}_public_id")),
    ]


def named(table: str) -> list[sa.schema.SchemaItem]:
    return [
        *stamped(table),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("name_key", FOLDED, nullable=False),
        sa.Column("search_text", sa.Text(), nullable=False),
        check(table, "name_length", "length(name) BETWEEN 1 AND 200"),
    ]


def active_name(table: str) -> None:
    in_use = sa.text("put_aside_at IS NULL")
    op.create_index(
        op.f(f"uq_{table}_active_name"),
        table,
        ["name_key"],
        unique=True,
        sqlite_where=in_use,
        postgresql_where=in_use,
    )


def upgrade() -> None:
    op.create_table(
        "engine",
        *named("engine"),
        sa.Column("cylinders", sa.Integer(), nullable=False),
        sa.Column("strokes", sa.Integer()),
        sa.Column("torque_kind", sa.Text()),
        sa.Column("curve_points", sa.JSON()),
        sa.Column("curve_at", sa.Text()),
        sa.Column("curve_relative_doubt", sa.Double()),
        *columns(sa.Integer(), "driving_teeth", "driven_teeth", "spline_count"),
        *columns(sa.Text(), "notes", "checked_by", "checked_at"),
        sa.Column("provenance", sa.JSON(), nullable=False),
        *figures("engine", POSITIVE, POSITIVE_ENGINE),
        *figures("engine", EFFICIENCY, "driveline_efficiency primary_efficiency"),
        check("engine", "curve", "curve_relative_doubt >= 0 AND curve_relative_doubt < 1"),
        check("engine", "curve_at", "curve_at IN ('crank', 'wheel')"),
        *counted("engine", "cylinders driven_teeth driving_teeth spline_count"),
        check("engine", "strokes", "strokes IN (2, 4)"),
        check("engine", "teeth_pair", "(driving_teeth IS NULL) = (driven_teeth IS NULL)"),
        check(
            "engine",
            "teeth_ratio",
            "driving_teeth IS NULL OR primary_ratio IS NULL OR "
            "abs(driven_teeth / (driving_teeth * primary_ratio) - 1) <= 0.005001",
        ),
        check("engine", "torque_kind", "torque_kind IN ('measured', 'power', 'bmep', 'curve')"),
    )
    op.create_index(op.f("ix_engine_name_key_id"), "engine", ["name_key", "id"])
    active_name("engine")
    op.create_table(
        "facing",
        *named("facing"),
        sa.Column("notes", sa.Text()),
    )
    op.create_index(op.f("ix_facing_name_key_id"), "facing", ["name_key", "id"])
    active_name("facing")
    op.create_table(
        "pack",
        *named("pack"),
        sa.Column("friction_plates", sa.Integer()),
        sa.Column("lined_faces_per_plate", sa.Integer(), nullable=False),
        *columns(sa.Integer(), "plain_plates", "surfaces"),
        *columns(sa.Text(), "surfaces_reason", "mounting"),
        *columns(sa.Integer(), "facing_id", "spline_count", "gear_teeth"),
        *columns(sa.Text(), "notes", "checked_by", "checked_at", "clamp_kind"),
        *columns(sa.Integer(), "disc_in_parallel", "disc_in_series"),
        sa.Column("disc_table_points", sa.JSON()),
        sa.Column("centrifugal_weights", sa.Integer()),
        sa.Column("provenance", sa.JSON(), nullable=False),
        *figures("pack", POSITIVE, POSITIVE_PACK),
        *figures("pack", SHARE, "grooved_fraction"),
        *figures("pack", NOT_NEGATIVE, NOT_NEGATIVE_PACK),
        *figures("pack", POISSON, "disc_poisson"),
        *figures("pack", ANGLE, "centrifugal_ramp_angle_deg"),
        check(
            "pack",
            "clamp_kind",
            "clamp_kind IN ('coil', 'disc', 'disc_table', 'load', 'centrifugal')",
        ),
        *counted(
            "pack",
            "disc_in_parallel disc_in_series friction_plates gear_teeth spline_count surfaces",
        ),
        check("pack", "disc_order", "disc_inside_mm < disc_outside_mm"),
        check("pack", "facing_order", "facing_id_mm < facing_od_mm"),
        check("pack", "lined_faces", "lined_faces_per_plate IN (1, 2)"),
        check("pack", "mounting", "mounting IN ('crankshaft', 'geared')"),
        check("pack", "plain_plates", "plain_plates BETWEEN 0 AND 1000000"),
        check("pack", "reason", "surfaces_reason IS NULL OR surfaces IS NOT NULL"),
        check("pack", "weights", "centrifugal_weights BETWEEN 1 AND 1000000"),
        sa.ForeignKeyConstraint(
            ["facing_id"], ["facing.id"], name=op.f("fk_pack_facing_id_facing"), ondelete="RESTRICT"
        ),
    )
    op.create_index(op.f("ix_pack_facing_id"), "pack", ["facing_id"])
    op.create_index(op.f("ix_pack_name_key_id"), "pack", ["name_key", "id"])
    active_name("pack")
    op.create_table(
        "friction_value",
        sa.Column("id", sa.Integer(), nullable=False),
        *columns(sa.Integer(), "facing_id", "pack_id"),
        sa.Column("position", sa.Integer(), nullable=False),
        *required(sa.Text(), "lubrication", "kind"),
        *columns(sa.Double(), "low", "high", "p_max_low_mpa", "p_max_high_mpa", "power_w_mm2"),
        *columns(sa.Text(), "source", "note"),
        sa.Column("provenance", sa.JSON(), nullable=False),
        *figures("friction_value", POSITIVE, "friction"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_friction_value")),
        check("friction_value", "friction_known", "friction IS NOT NULL"),
        check("friction_value", "high", "high >= friction AND high <= 1000000000"),
        check("friction_value", "kind", "kind IN ('static', 'sliding', 'both')"),
        check("friction_value", "low", "low > 0 AND low <= friction"),
        check("friction_value", "lubrication", "lubrication IN ('dry', 'oiled')"),
        check("friction_value", "one_owner", "(facing_id IS NULL) <> (pack_id IS NULL)"),
        check("friction_value", "p_high", "p_max_high_mpa > 0 AND p_max_high_mpa <= 1000000000"),
        check("friction_value", "p_low", "p_max_low_mpa > 0 AND p_max_low_mpa <= 1000000000"),
        check("friction_value", "p_order", "p_max_low_mpa <= p_max_high_mpa"),
        check("friction_value", "position", "position >= 0"),
        check("friction_value", "power", "power_w_mm2 > 0 AND power_w_mm2 <= 1000000000"),
        sa.ForeignKeyConstraint(
            ["facing_id"],
            ["facing.id"],
            name=op.f("fk_friction_value_facing_id_facing"),
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["pack_id"],
            ["pack.id"],
            name=op.f("fk_friction_value_pack_id_pack"),
            ondelete="CASCADE",
        ),
    )
    op.create_index(op.f("ix_friction_value_facing_id"), "friction_value", ["facing_id"])
    op.create_index(op.f("ix_friction_value_pack_id"), "friction_value", ["pack_id"])
    op.create_table(
        "offer",
        *named("offer"),
        sa.Column("pack_id", sa.Integer()),
        *columns(sa.Text(), "seller", "claim"),
        *columns(sa.Double(), "claimed_cc_low", "claimed_cc_high", "price"),
        *columns(sa.Text(), "currency", "link", "date", "notes"),
        check("offer", "cc_high", "claimed_cc_high > 0 AND claimed_cc_high <= 1000000000"),
        check("offer", "cc_low", "claimed_cc_low > 0 AND claimed_cc_low <= 1000000000"),
        check("offer", "cc_order", "claimed_cc_low <= claimed_cc_high"),
        check("offer", "currency", "length(currency) = 3"),
        check("offer", "link", "lower(link) LIKE 'http://%' OR lower(link) LIKE 'https://%'"),
        check("offer", "price", "price BETWEEN 0 AND 1000000000"),
        sa.ForeignKeyConstraint(
            ["pack_id"], ["pack.id"], name=op.f("fk_offer_pack_id_pack"), ondelete="SET NULL"
        ),
    )
    op.create_index(op.f("ix_offer_name_key_id"), "offer", ["name_key", "id"])
    op.create_index(op.f("ix_offer_pack_id"), "offer", ["pack_id"])
    active_name("offer")
    op.create_table(
        "spring",
        *stamped("spring"),
        sa.Column("pack_id", sa.Integer()),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text()),
        sa.Column("count", sa.Integer()),
        sa.Column("tester_limit", sa.Double()),
        *columns(sa.Text(), "ends", "wire_material"),
        sa.Column("provenance", sa.JSON(), nullable=False),
        *figures("spring", POSITIVE, POSITIVE_SPRING),
        *figures("spring", NOT_NEGATIVE, "shim_mm"),
        *counted("spring", "count"),
        check("spring", "ends", "ends IN ('plain', 'plain_ground', 'closed', 'closed_ground')"),
        check("spring", "inside_mean", "inside_mm < mean_mm"),
        check("spring", "inside_outside", "inside_mm < outside_mm"),
        check("spring", "mean_outside", "mean_mm < outside_mm"),
        check("spring", "mean_wire", "mean_mm > wire_mm"),
        check("spring", "outside_wire", "outside_mm > 2 * wire_mm"),
        check("spring", "position", "position >= 0"),
        check("spring", "tester_limit", "tester_limit >= 0 AND tester_limit < 1"),
        sa.ForeignKeyConstraint(
            ["pack_id"], ["pack.id"], name=op.f("fk_spring_pack_id_pack"), ondelete="SET NULL"
        ),
    )
    op.create_index(op.f("ix_spring_pack_id_position"), "spring", ["pack_id", "position"])
    op.create_table(
        "load_point",
        *required(sa.Integer(), "id", "spring_id", "position"),
        *required(sa.Double(), "deflection_mm", "force_n"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_load_point")),
        check("load_point", "deflection_mm", "deflection_mm BETWEEN 0 AND 1000000000"),
        check("load_point", "force_n", "force_n BETWEEN 0 AND 1000000000"),
        check("load_point", "position", "position >= 0"),
        sa.ForeignKeyConstraint(
            ["spring_id"],
            ["spring.id"],
            name=op.f("fk_load_point_spring_id_spring"),
            ondelete="CASCADE",
        ),
        sa.UniqueConstraint("spring_id", "position", name=op.f("uq_load_point_spring_id_position")),
    )


def downgrade() -> None:
    op.drop_table("load_point")
    op.drop_table("spring")
    op.drop_table("offer")
    op.drop_table("friction_value")
    op.drop_table("pack")
    op.drop_table("facing")
    op.drop_table("engine")
