"""Slip tests on the bench: instruments, runs with their readings, and what teardowns found."""

import sqlalchemy as sa
from sqlmodel import Field, Relationship, SQLModel

from app.records.base import Named
from app.records.packs import active_name_index

_LARGEST = "1000000000"


class Instrument(Named, table=True):
    """A gauge or a torque wrench."""

    __tablename__ = "instrument"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name="name_length"),
        sa.CheckConstraint(f"range_low_nm BETWEEN 0 AND {_LARGEST}", name="range_low"),
        sa.CheckConstraint(
            f"range_high_nm > 0 AND range_high_nm <= {_LARGEST}", name="range_high"
        ),
        sa.CheckConstraint("range_low_nm < range_high_nm", name="range_order"),
        sa.CheckConstraint("relative_accuracy >= 0 AND relative_accuracy < 1", name="accuracy"),
        sa.CheckConstraint(f"resolution_nm BETWEEN 0 AND {_LARGEST}", name="resolution"),
        active_name_index("instrument"),
        sa.Index("ix_instrument_name_key_id", "name_key", "id"),
    )

    range_low_nm: float | None = Field(default=None, sa_type=sa.Double)
    range_high_nm: float | None = Field(default=None, sa_type=sa.Double)
    relative_accuracy: float | None = Field(default=None, sa_type=sa.Double)
    resolution_nm: float | None = Field(default=None, sa_type=sa.Double)
    notes: str | None = Field(default=None, sa_type=sa.Text)


class SlipTest(Named, table=True):
    """One run of a pack. It outlives its pack's being put aside: a pack with runs can't go."""

    __tablename__ = "slip_test"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name="name_length"),
        sa.CheckConstraint("lubrication IN ('dry', 'oiled')", name="lubrication"),
        sa.CheckConstraint("friction IN ('static', 'sliding')", name="friction"),
        sa.CheckConstraint("springs_fitted BETWEEN 1 AND 1000000", name="springs_fitted"),
        sa.CheckConstraint("direction IN ('clockwise', 'anticlockwise')", name="direction"),
        sa.CheckConstraint(f"speed_rpm BETWEEN 0 AND {_LARGEST}", name="speed"),
        sa.CheckConstraint(f"temperature_c BETWEEN -273.15 AND {_LARGEST}", name="temperature"),
        sa.CheckConstraint("runs_since_assembly BETWEEN 0 AND 1000000", name="runs"),
        sa.CheckConstraint(f"wear_mm BETWEEN 0 AND {_LARGEST}", name="wear"),
        sa.CheckConstraint("heat IN ('cold', 'hot')", name="heat"),
        sa.CheckConstraint("facings IN ('new', 'worn')", name="facings"),
        sa.CheckConstraint("NOT excluded OR excluded_reason IS NOT NULL", name="reason"),
        active_name_index("slip_test"),
        sa.Index("ix_slip_test_name_key_id", "name_key", "id"),
        sa.Index("ix_slip_test_pack_id", "pack_id"),
        sa.Index("ix_slip_test_instrument_id", "instrument_id"),
    )

    pack_id: int = Field(foreign_key="pack.id", ondelete="RESTRICT")
    instrument_id: int | None = Field(
        default=None, foreign_key="instrument.id", ondelete="RESTRICT"
    )
    date: str | None = Field(default=None, sa_type=sa.Text)
    by: str | None = Field(default=None, sa_type=sa.Text)
    lubrication: str = Field(sa_type=sa.Text)
    friction: str = Field(sa_type=sa.Text)
    springs_fitted: int | None = None
    direction: str | None = Field(default=None, sa_type=sa.Text)
    speed_rpm: float | None = Field(default=None, sa_type=sa.Double)
    temperature_c: float | None = Field(default=None, sa_type=sa.Double)
    runs_since_assembly: int | None = None
    wear_mm: float | None = Field(default=None, sa_type=sa.Double)
    oil_on_plates: bool | None = None
    heat: str | None = Field(default=None, sa_type=sa.Text)
    facings: str | None = Field(default=None, sa_type=sa.Text)
    excluded: bool = False
    excluded_reason: str | None = Field(default=None, sa_type=sa.Text)
    notes: str | None = Field(default=None, sa_type=sa.Text)

    readings: list["SlipReading"] = Relationship(
        sa_relationship_kwargs={
            "lazy": "raise",
            "order_by": "SlipReading.position",
            "cascade": "all, delete-orphan",
        },
    )


class SlipReading(SQLModel, table=True):
    """One reading of a run: both ends alike for a value, one end open for a bound."""

    __tablename__ = "slip_reading"
    __table_args__ = (
        sa.UniqueConstraint("slip_test_id", "position"),
        sa.CheckConstraint("position >= 0", name="position"),
        sa.CheckConstraint("kind IN ('value', 'span', 'at_least', 'at_most')", name="kind"),
        sa.CheckConstraint(f"low_nm > 0 AND low_nm <= {_LARGEST}", name="low"),
        sa.CheckConstraint(f"high_nm > 0 AND high_nm <= {_LARGEST}", name="high"),
        sa.CheckConstraint("low_nm <= high_nm", name="order"),
        sa.CheckConstraint(
            "(low_nm IS NULL) = (kind = 'at_most') AND (high_nm IS NULL) = (kind = 'at_least')",
            name="ends",
        ),
        sa.CheckConstraint("kind <> 'value' OR low_nm = high_nm", name="value"),
    )

    id: int | None = Field(default=None, primary_key=True)
    slip_test_id: int = Field(foreign_key="slip_test.id", ondelete="CASCADE")
    position: int = 0
    kind: str = Field(sa_type=sa.Text)
    low_nm: float | None = Field(default=None, sa_type=sa.Double)
    high_nm: float | None = Field(default=None, sa_type=sa.Double)
    typed: str | None = Field(default=None, sa_type=sa.Text)
    typed_high: str | None = Field(default=None, sa_type=sa.Text)
    as_read: bool = False


class Finding(Named, table=True):
    """What was found at a teardown of a pack."""

    __tablename__ = "finding"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 200", name="name_length"),
        sa.CheckConstraint("outcome IN ('good', 'watch', 'bad')", name="outcome"),
        sa.CheckConstraint("length(check_key) BETWEEN 1 AND 40", name="check_key"),
        active_name_index("finding"),
        sa.Index("ix_finding_name_key_id", "name_key", "id"),
        sa.Index("ix_finding_pack_id", "pack_id"),
    )

    pack_id: int = Field(foreign_key="pack.id", ondelete="RESTRICT")
    date: str | None = Field(default=None, sa_type=sa.Text)
    by: str | None = Field(default=None, sa_type=sa.Text)
    check_key: str = Field(sa_type=sa.Text)
    outcome: str = Field(sa_type=sa.Text)
    measured: str | None = Field(default=None, sa_type=sa.Text)
    notes: str | None = Field(default=None, sa_type=sa.Text)
