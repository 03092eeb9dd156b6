"""What a team keeps of its choosing: a board under a name, and a line of what to order."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

from app.documents.base import Document
from app.documents.quantities import Count, Number, PositiveNumber
from app.documents.text import Line, Name, Notes
from app.mechanics.inputs import FrictionKind, Lubrication, Mounting, RadiusModel

MOST_PACKS = 200
MOST_ENGINES = 100


def _wear(value: Any) -> Any:
    if value in ("new", "worn"):
        return value
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1e9:
        raise PydanticCustomError(
            "wear", "Write “new”, “worn”, or the wear of the whole stack in mm as a number."
        )
    return float(value)


Wear = Annotated[Literal["new", "worn"] | Number, BeforeValidator(_wear)]


class SavedComparison(Document):
    """A board under a name: its packs, engines, state, limits and order."""

    name: Name = Field(description="Name of the comparison, one of its kind.")
    packs: list[str] = Field(
        default_factory=list,
        max_length=MOST_PACKS,
        description="Ids of its packs; empty: whatever passes the filters.",
    )
    engines: list[str] = Field(
        default_factory=list, max_length=MOST_ENGINES, description="Ids of its engines; empty: all."
    )
    lubrication: Lubrication = Field(default="oiled", description="oiled or dry.")
    friction: FrictionKind = Field(default="sliding", description="sliding or static.")
    wear: Wear = Field(
        default="new",
        description="new, worn (each pack to its own limit), or the wear of the stack in mm.",
    )
    radius: RadiusModel = Field(default="uniform_wear", description="How the facings bear.")
    speed_rpm: PositiveNumber | None = Field(
        default=None, description="Crank speed in r/min, for centrifugal packs."
    )
    spline_friction: PositiveNumber | None = Field(
        default=None, description="Friction at the splines, where their loss is taken off."
    )
    q: Line = Field(default=None, description="Words in the packs' names.")
    mounting: Mounting | None = Field(default=None, description="Only packs so mounted.")
    verdicts: list[Literal["holds", "tight", "slips", "unknown"]] = Field(
        default_factory=list, max_length=4, description="Only packs with such a cell."
    )
    worst: list[Literal["lubrication", "friction", "wear"]] = Field(
        default_factory=list,
        max_length=3,
        description="What of the state is varied to show the worst.",
    )
    order: Line = Field(
        default=None, description="name, capacity, price or margin:<engine id>; a - turns it round."
    )
    unit: Literal["nm", "lbf_ft"] = Field(default="nm", description="Of torques as shown.")
    heavy_above: PositiveNumber | None = Field(
        default=None, description="Ratio above which a pack is called heavy; else the team's limit."
    )
    notes: Notes = Field(default=None, description="What it is for.")


class ShortlistLine(Document):
    """One thing to order: a pack, for which engine, why, how many, by which offer."""

    name: Name | None = Field(
        default=None, description="What is ordered; left out, it is named by pack and engine."
    )
    pack: str = Field(max_length=40, description="Id of the pack.")
    engine: Line = Field(default=None, description="Id of the engine that it is for.")
    why: Notes = Field(default=None, description="Why this one.")
    quantity: Count = Field(default=1, description="How many.")
    offer: Line = Field(default=None, description="Id of the offer that was chosen.")
    done: bool = Field(default=False, strict=True, description="Whether it was ordered.")
