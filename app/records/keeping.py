"""What a team keeps of its choosing: saved comparisons, and the list of what to order."""

from typing import Any

import sqlalchemy as sa
from sqlmodel import Field

from app.records.base import JSON, Named
from app.records.packs import active_name_index


class SavedComparison(Named, table=True):
    """A board under a name: its packs, engines, state, limits and order."""

    __tablename__ = "comparison"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name="name_length"),
        active_name_index("comparison"),
        sa.Index("ix_comparison_name_key_id", "name_key", "id"),
    )

    asked: dict[str, Any] = Field(sa_type=JSON, nullable=False)
    notes: str | None = Field(default=None, sa_type=sa.Text)


class ShortlistLine(Named, table=True):
    """One thing to order: a pack, for which engine, why, how many, by which offer."""

    __tablename__ = "shortlist_line"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name="name_length"),
        sa.CheckConstraint("quantity BETWEEN 1 AND 1000000", name="quantity"),
        active_name_index("shortlist_line"),
        sa.Index("ix_shortlist_line_name_key_id", "name_key", "id"),
        sa.Index("ix_shortlist_line_pack_id", "pack_id"),
    )

    pack_id: int = Field(foreign_key="pack.id", ondelete="RESTRICT")
    engine_id: int | None = Field(
        default=None, foreign_key="engine.id", ondelete="SET NULL", index=True
    )
    offer_id: int | None = Field(
        default=None, foreign_key="offer.id", ondelete="SET NULL", index=True
    )
    why: str | None = Field(default=None, sa_type=sa.Text)
    quantity: int = 1
    done: bool = False
