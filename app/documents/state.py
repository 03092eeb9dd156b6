"""The state that a comparison is made in."""

from pydantic import Field

from app.documents.base import Document
from app.documents.quantities import NonNegativeNumber, PositiveNumber
from app.mechanics import inputs
from app.mechanics.inputs import FrictionKind, Lubrication, RadiusModel


class State(Document):
    """Dry or oiled, static or sliding, new or worn, and how the facings bear."""

    lubrication: Lubrication = Field(description="dry or oiled.")
    friction: FrictionKind = Field(description="static (before it slips) or sliding.")
    wear_mm: NonNegativeNumber | None = Field(
        default=0.0, description="Wear of the whole stack, in mm; null: worn to its own limit."
    )
    radius: RadiusModel = Field(
        default="uniform_wear",
        description="uniform_wear for run-in facings, uniform_pressure for new and flat ones.",
    )
    speed_rpm: PositiveNumber | None = Field(
        default=None, description="Crank speed, in r/min; for centrifugal packs."
    )
    spline_friction: PositiveNumber | None = Field(
        default=None,
        description="Friction at the splines: takes off the clamp that it keeps from the inner "
        "plates, at most. null: left out. A pack's own tested friction has it in already.",
    )

    def to_inputs(self) -> inputs.State:
        """The state as the mechanics take it."""
        return inputs.State(
            self.lubrication, self.friction, self.wear_mm, self.radius, self.speed_rpm,
            self.spline_friction,
        )
