"""Where a figure or a claim comes from: facings with their friction, and sellers' offers."""

from typing import TYPE_CHECKING, Any

import sqlalchemy as sa
from sqlmodel import Field, Relationship, SQLModel

from app.records.base import JSON, Named
from app.records.packs import active_name_index
from app.records.quantities import columns_of, quantity_checks, quantity_model

FRICTION_FIGURES = columns_of("friction", ("friction",))

if TYPE_CHECKING:  # the columns are made from the list above; a checker can't follow that
    FrictionFigures = SQLModel
else:
    FrictionFigures = quantity_model("FrictionFigures", FRICTION_FIGURES)


class Facing(Named, table=True):
    """A facing material of the friction table."""

    __tablename__ = "facing"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name="name_length"),
        active_name_index("facing"),
        sa.Index("ix_facing_name_key_id", "name_key", "id"),
    )

    notes: str | None = Field(default=None, sa_type=sa.Text)
    values: list["FrictionValue"] = Relationship(
        sa_relationship_kwargs={
            "lazy": "raise",
            "order_by": "FrictionValue.position",
            "cascade": "all, delete-orphan",
        },
    )


class FrictionValue(FrictionFigures, table=True):
    """A friction coefficient: a row of a facing's table, or a pack's own figure."""

    __tablename__ = "friction_value"
    __table_args__ = (
        *quantity_checks(FRICTION_FIGURES),
        sa.CheckConstraint("(facing_id IS NULL) <> (pack_id IS NULL)", name="one_owner"),
        sa.CheckConstraint("friction IS NOT NULL", name="friction_known"),
        sa.CheckConstraint("lubrication IN ('dry', 'oiled')", name="lubrication"),
        sa.CheckConstraint("kind IN ('static', 'sliding', 'both')", name="kind"),
        sa.CheckConstraint("low > 0 AND low <= friction", name="low"),
        sa.CheckConstraint("high >= friction AND high <= 1000000000", name="high"),
        sa.CheckConstraint("p_max_low_mpa > 0 AND p_max_low_mpa <= 1000000000", name="p_low"),
        sa.CheckConstraint("p_max_high_mpa > 0 AND p_max_high_mpa <= 1000000000", name="p_high"),
        sa.CheckConstraint("p_max_low_mpa <= p_max_high_mpa", name="p_order"),
        sa.CheckConstraint("power_w_mm2 > 0 AND power_w_mm2 <= 1000000000", name="power"),
        sa.CheckConstraint("position >= 0", name="position"),
    )

    id: int | None = Field(default=None, primary_key=True)
    facing_id: int | None = Field(
        default=None, foreign_key="facing.id", ondelete="CASCADE", index=True
    )
    pack_id: int | None = Field(default=None, foreign_key="pack.id", ondelete="CASCADE", index=True)
    position: int = 0
    lubrication: str = Field(sa_type=sa.Text)
    kind: str = Field(sa_type=sa.Text)
    low: float | None = Field(default=None, sa_type=sa.Double)
    high: float | None = Field(default=None, sa_type=sa.Double)
    p_max_low_mpa: float | None = Field(default=None, sa_type=sa.Double)
    p_max_high_mpa: float | None = Field(default=None, sa_type=sa.Double)
    power_w_mm2: float | None = Field(default=None, sa_type=sa.Double)
    source: str | None = Field(default=None, sa_type=sa.Text)
    note: str | None = Field(default=None, sa_type=sa.Text)
    provenance: dict[str, Any] = Field(
        default_factory=dict,
        sa_type=JSON,
        nullable=False,
    )


class Offer(Named, table=True):
    """A seller's listing and what it claims."""

    __tablename__ = "offer"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name="name_length"),
        sa.CheckConstraint("claimed_cc_low > 0 AND claimed_cc_low <= 1000000000", name="cc_low"),
        sa.CheckConstraint("claimed_cc_high > 0 AND claimed_cc_high <= 1000000000", name="cc_high"),
        sa.CheckConstraint("claimed_cc_low <= claimed_cc_high", name="cc_order"),
        sa.CheckConstraint("price BETWEEN 0 AND 1000000000", name="price"),
        sa.CheckConstraint("length(currency) = 3", name="currency"),
        sa.CheckConstraint(
            "lower(link) LIKE 'http://%' OR lower(link) LIKE 'https://%'", name="link"
        ),
        active_name_index("offer"),
        sa.Index("ix_offer_name_key_id", "name_key", "id"),
    )

    pack_id: int | None = Field(
        default=None, foreign_key="pack.id", ondelete="SET NULL", index=True
    )
    seller: str | None = Field(default=None, sa_type=sa.Text)
    claim: str | None = Field(default=None, sa_type=sa.Text)
    claimed_cc_low: float | None = Field(default=None, sa_type=sa.Double)
    claimed_cc_high: float | None = Field(default=None, sa_type=sa.Double)
    price: float | None = Field(default=None, sa_type=sa.Double)
    currency: str | None = Field(default=None, sa_type=sa.Text)
    link: str | None = Field(default=None, sa_type=sa.Text)
    date: str | None = Field(default=None, sa_type=sa.Text)
    notes: str | None = Field(default=None, sa_type=sa.Text)
