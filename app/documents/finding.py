"""What was found when a pack was taken apart: one answer to one question of the checklist."""

from typing import Literal

from pydantic import Field, field_validator
from pydantic_core import PydanticCustomError

from app.documents.base import Document
from app.documents.text import Line, Moment, Notes

Check = Literal[
    "spring_lengths",
    "plate_warp",
    "facing_bond",
    "tab_notching",
    "finger_notching",
    "damper",
    "ring_groove",
    "plate_count",
    "hub_splines",
    "oil",
]
CheckOutcome = Literal["good", "watch", "bad"]
OUTCOMES: tuple[CheckOutcome, ...] = ("good", "watch", "bad")


class Finding(Document):
    """One finding at a teardown of a pack."""

    group = "finding"

    name: Line = Field(
        default=None,
        description="Name of the finding; left out, it is made of the day, the pack and the check.",
    )
    pack: Line = Field(description="Id of the pack that was taken apart.")
    date: Moment = Field(default=None, description="When, as year-month-day.")
    by: Line = Field(default=None, description="Who looked.")
    check: Check = Field(description="Which question of the checklist it answers.")
    outcome: CheckOutcome = Field(description="good, watch (use it and look again) or bad.")
    measured: Line = Field(
        default=None, description="What was measured, as it was typed, such as three free lengths."
    )
    notes: Notes = Field(default=None, description="What was seen.")

    @field_validator("pack")
    @classmethod
    def _of_a_pack(cls, pack: str | None) -> str:
        if pack is None:
            raise PydanticCustomError("pack", "Say which pack was taken apart.")
        return pack
