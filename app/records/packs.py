"""Packs and their springs: tables that hold what a teardown gives."""

from typing import TYPE_CHECKING, Any

import sqlalchemy as sa
from sqlmodel import Field, Relationship, SQLModel

from app.records.base import JSON, Named, Stamped
from app.records.quantities import columns_of, quantity_checks, quantity_model

PACK_FIGURES = columns_of(
    "pack",
    (
        "facing_od_mm",
        "facing_id_mm",
        "grooved_fraction",
        "lift_mm",
        "stack_wear_limit_mm",
        "plate_mass_kg",
        "friction_plate_mm",
        "plain_plate_mm",
        "envelope_diameter_mm",
        "envelope_height_mm",
        "spline_major_mm",
        "basket_spline_mm",
        "gear_module_mm",
        "lever_ratio",
    ),
)
CLAMP_FIGURES = {
    "load": ("force_n", "rate_n_per_mm"),
    "disc": (
        "outside_mm",
        "inside_mm",
        "thickness_mm",
        "cone_height_mm",
        "installed_deflection_mm",
        "modulus_mpa",
        "poisson",
    ),
    "disc_table": ("installed_deflection_mm",),
    "centrifugal": ("weight_mass_g", "radius_mm", "ramp_angle_deg", "return_force_n"),
}
"""Figures of each kind of clamp but coil; their columns are kind_name."""

CLAMP_COLUMNS = {
    column: about
    for kind, names in CLAMP_FIGURES.items()
    for column, about in columns_of(kind, names, f"{kind}_").items()
}
SPRING_FIGURES = columns_of(
    "spring",
    (
        "free_length_mm",
        "installed_length_mm",
        "shim_mm",
        "rate_n_per_mm",
        "wire_mm",
        "outside_mm",
        "inside_mm",
        "mean_mm",
        "total_coils",
        "shear_modulus_mpa",
    ),
)

if TYPE_CHECKING:  # the columns are made from the lists above; a checker can't follow that
    PackFigures = SQLModel
    SpringFigures = SQLModel
else:
    PackFigures = quantity_model("PackFigures", {**PACK_FIGURES, **CLAMP_COLUMNS})
    SpringFigures = quantity_model("SpringFigures", SPRING_FIGURES)


def active_name_index(table: str) -> sa.Index:
    """No two records in use with one name; those put aside may keep theirs."""
    return sa.Index(
        f"uq_{table}_active_name",
        "name_key",
        unique=True,
        sqlite_where=sa.text("put_aside_at IS NULL"),
        postgresql_where=sa.text("put_aside_at IS NULL"),
    )


class Pack(Named, PackFigures, table=True):
    """One clutch pack. The figures' columns are in `PACK_FIGURES` and `CLAMP_COLUMNS`."""

    __tablename__ = "pack"
    __table_args__ = (
        *quantity_checks({**PACK_FIGURES, **CLAMP_COLUMNS}),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name="name_length"),
        sa.CheckConstraint("friction_plates BETWEEN 1 AND 1000000", name="friction_plates"),
        sa.CheckConstraint("lined_faces_per_plate IN (1, 2)", name="lined_faces"),
        sa.CheckConstraint("plain_plates BETWEEN 0 AND 1000000", name="plain_plates"),
        sa.CheckConstraint("surfaces BETWEEN 1 AND 1000000", name="surfaces"),
        sa.CheckConstraint("surfaces_reason IS NULL OR surfaces IS NOT NULL", name="reason"),
        sa.CheckConstraint("facing_id_mm < facing_od_mm", name="facing_order"),
        sa.CheckConstraint("mounting IN ('crankshaft', 'geared')", name="mounting"),
        sa.CheckConstraint("spline_count BETWEEN 1 AND 1000000", name="spline_count"),
        sa.CheckConstraint("gear_teeth BETWEEN 1 AND 1000000", name="gear_teeth"),
        sa.CheckConstraint(
            "clamp_kind IN ('coil', 'disc', 'disc_table', 'load', 'centrifugal')",
            name="clamp_kind",
        ),
        sa.CheckConstraint("disc_inside_mm < disc_outside_mm", name="disc_order"),
        sa.CheckConstraint("disc_in_parallel BETWEEN 1 AND 1000000", name="disc_in_parallel"),
        sa.CheckConstraint("disc_in_series BETWEEN 1 AND 1000000", name="disc_in_series"),
        sa.CheckConstraint("centrifugal_weights BETWEEN 1 AND 1000000", name="weights"),
        active_name_index("pack"),
        sa.Index("ix_pack_name_key_id", "name_key", "id"),
    )

    friction_plates: int | None = None
    lined_faces_per_plate: int = 2
    plain_plates: int | None = None
    surfaces: int | None = None
    surfaces_reason: str | None = Field(default=None, sa_type=sa.Text)
    mounting: str | None = Field(default=None, sa_type=sa.Text)
    facing_id: int | None = Field(
        default=None, foreign_key="facing.id", ondelete="RESTRICT", index=True
    )
    spline_count: int | None = None
    gear_teeth: int | None = None
    notes: str | None = Field(default=None, sa_type=sa.Text)
    checked_by: str | None = Field(default=None, sa_type=sa.Text)
    checked_at: str | None = Field(default=None, sa_type=sa.Text)
    clamp_kind: str | None = Field(default=None, sa_type=sa.Text)
    disc_in_parallel: int | None = None
    disc_in_series: int | None = None
    disc_table_points: list[list[float]] | None = Field(
        default=None,
        sa_type=JSON,
    )
    centrifugal_weights: int | None = None
    provenance: dict[str, Any] = Field(
        default_factory=dict,
        sa_type=JSON,
        nullable=False,
    )

    springs: list["Spring"] = Relationship(
        back_populates="pack",
        sa_relationship_kwargs={"lazy": "raise", "order_by": "Spring.position"},
    )


class Spring(Stamped, SpringFigures, table=True):
    """A set of coil springs alike, in a pack at a position, or lying on the shelf."""

    __tablename__ = "spring"
    __table_args__ = (
        *quantity_checks(SPRING_FIGURES),
        sa.CheckConstraint("count BETWEEN 1 AND 1000000", name="count"),
        sa.CheckConstraint("positions BETWEEN 1 AND 1000000", name="positions"),
        sa.CheckConstraint("position >= 0", name="position"),
        sa.CheckConstraint("tester_limit >= 0 AND tester_limit < 1", name="tester_limit"),
        sa.CheckConstraint(
            "ends IN ('plain', 'plain_ground', 'closed', 'closed_ground')", name="ends"
        ),
        sa.CheckConstraint("outside_mm > 2 * wire_mm", name="outside_wire"),
        sa.CheckConstraint("mean_mm > wire_mm", name="mean_wire"),
        sa.CheckConstraint("inside_mm < outside_mm", name="inside_outside"),
        sa.CheckConstraint("inside_mm < mean_mm", name="inside_mean"),
        sa.CheckConstraint("mean_mm < outside_mm", name="mean_outside"),
        sa.Index("ix_spring_pack_id_position", "pack_id", "position"),
    )

    pack_id: int | None = Field(default=None, foreign_key="pack.id", ondelete="SET NULL")
    position: int = 0
    name: str | None = Field(default=None, sa_type=sa.Text)
    count: int | None = None
    tester_limit: float | None = Field(default=None, sa_type=sa.Double)
    ends: str | None = Field(default=None, sa_type=sa.Text)
    wire_material: str | None = Field(default=None, sa_type=sa.Text)
    positions: int | None = None
    free_lengths_mm: list[float] | None = Field(default=None, sa_type=JSON)
    provenance: dict[str, Any] = Field(
        default_factory=dict,
        sa_type=JSON,
        nullable=False,
    )

    pack: Pack | None = Relationship(
        back_populates="springs", sa_relationship_kwargs={"lazy": "raise"}
    )
    load_points: list["LoadPoint"] = Relationship(
        sa_relationship_kwargs={
            "lazy": "raise",
            "order_by": "LoadPoint.position",
            "cascade": "all, delete-orphan",
        },
    )


class LoadPoint(SQLModel, table=True):
    """One reading of a spring on a tester."""

    __tablename__ = "load_point"
    __table_args__ = (
        sa.UniqueConstraint("spring_id", "position"),
        sa.CheckConstraint("position >= 0", name="position"),
        sa.CheckConstraint("deflection_mm BETWEEN 0 AND 1000000000", name="deflection_mm"),
        sa.CheckConstraint("force_n BETWEEN 0 AND 1000000000", name="force_n"),
    )

    id: int | None = Field(default=None, primary_key=True)
    spring_id: int = Field(foreign_key="spring.id", ondelete="CASCADE")
    position: int = 0
    deflection_mm: float = Field(sa_type=sa.Double)
    force_n: float = Field(sa_type=sa.Double)
