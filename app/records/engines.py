"""Engines: what they demand, and what room and shaft they offer."""

from typing import TYPE_CHECKING, Any

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from app.records.base import JSON, Named
from app.records.packs import active_name_index
from app.records.quantities import columns_of, quantity_checks, quantity_model

TORQUE_FIGURES = {
    "measured": ("torque_nm", "speed_rpm"),
    "power": ("power_kw", "speed_rpm"),
    "bmep": ("bmep_kpa",),
    "curve": ("overall_ratio", "driveline_efficiency"),
}
"""Figures of each kind of torque; a record holds one kind."""

ENGINE_FIGURES = columns_of(
    "engine",
    (
        "displacement_cc",
        "bore_mm",
        "stroke_mm",
        "torque_nm",
        "speed_rpm",
        "power_kw",
        "bmep_kpa",
        "overall_ratio",
        "driveline_efficiency",
        "primary_ratio",
        "primary_efficiency",
        "service_factor",
        "envelope_diameter_mm",
        "envelope_height_mm",
        "spline_major_mm",
        "gear_module_mm",
        "vehicle_mass_kg",
        "wheel_radius_m",
        "clutch_to_wheel_ratio",
    ),
)

if TYPE_CHECKING:  # the columns are made from the list above; a checker can't follow that
    EngineFigures = SQLModel
else:
    EngineFigures = quantity_model("EngineFigures", ENGINE_FIGURES)


class Engine(Named, EngineFigures, table=True):
    """One engine. The figures' columns are in `ENGINE_FIGURES`."""

    __tablename__ = "engine"
    __table_args__ = (
        *quantity_checks(ENGINE_FIGURES),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name="name_length"),
        sa.CheckConstraint("cylinders BETWEEN 1 AND 1000000", name="cylinders"),
        sa.CheckConstraint("strokes IN (2, 4)", name="strokes"),
        sa.CheckConstraint(
            "torque_kind IN ('measured', 'power', 'bmep', 'curve')", name="torque_kind"
        ),
        sa.CheckConstraint("curve_at IN ('crank', 'wheel')", name="curve_at"),
        sa.CheckConstraint("curve_relative_doubt >= 0 AND curve_relative_doubt < 1", name="curve"),
        sa.CheckConstraint("driving_teeth BETWEEN 1 AND 1000000", name="driving_teeth"),
        sa.CheckConstraint("driven_teeth BETWEEN 1 AND 1000000", name="driven_teeth"),
        sa.CheckConstraint("(driving_teeth IS NULL) = (driven_teeth IS NULL)", name="teeth_pair"),
        sa.CheckConstraint(
            "driving_teeth IS NULL OR primary_ratio IS NULL OR "
            "abs(driven_teeth / (driving_teeth * primary_ratio) - 1) <= 0.005001",
            name="teeth_ratio",
        ),
        sa.CheckConstraint("spline_count BETWEEN 1 AND 1000000", name="spline_count"),
        active_name_index("engine"),
        sa.Index("ix_engine_name_key_id", "name_key", "id"),
    )

    cylinders: int = 1
    strokes: int | None = None
    torque_kind: str | None = Field(default=None, sa_type=sa.Text)
    curve_points: list[list[float]] | None = Field(
        default=None,
        sa_type=JSON,
    )
    curve_at: str | None = Field(default=None, sa_type=sa.Text)
    curve_relative_doubt: float | None = Field(default=None, sa_type=sa.Double)
    driving_teeth: int | None = None
    driven_teeth: int | None = None
    spline_count: int | None = None
    notes: str | None = Field(default=None, sa_type=sa.Text)
    checked_by: str | None = Field(default=None, sa_type=sa.Text)
    checked_at: str | None = Field(default=None, sa_type=sa.Text)
    provenance: dict[str, Any] = Field(
        default_factory=dict,
        sa_type=JSON,
        nullable=False,
    )
