"""What a pack's page shows beside its figures: the drawing, curves, checks, the class it holds."""

from dataclasses import dataclass

import numpy as np

from app.comparison.checks import checks
from app.comparison.class_board import PackInClasses
from app.comparison.disc_curve import disc_curve
from app.comparison.wear import wear_curve
from app.mechanics.inputs import PackInputs, State
from app.presentation.beyond_torque import CheckRow, Curve, check_rows, disc_chart, wear_chart
from app.presentation.class_words import held_words
from app.presentation.stack_drawing import StackDrawing, draw_stack

USUAL_WEAR_MM = 1.5


@dataclass(frozen=True)
class PackExtras:
    """Ready for the page; what can't be told is left out or said in `held`."""

    drawing: StackDrawing | None
    wear: Curve | None
    disc: Curve | None
    checks: tuple[CheckRow, ...]
    held: str

    @property
    def open_checks(self) -> tuple[CheckRow, ...]:
        """The checks that fail, ask for care, or can't be told."""
        return tuple(row for row in self.checks if row.tone != "holds")

    @property
    def passed(self) -> tuple[CheckRow, ...]:
        """The checks that pass."""
        return tuple(row for row in self.checks if row.tone == "holds")


def pack_extras(pack: PackInputs, state: State, classes: PackInClasses) -> PackExtras:
    """The pack's own sections, in one state."""
    limit = None if pack.stack_wear_limit_mm is None else pack.stack_wear_limit_mm.value
    curve = wear_curve(pack, state, 1.25 * limit if limit else USUAL_WEAR_MM)
    disc = disc_curve(pack)
    known = bool(np.any(np.isfinite(curve.capacity)))
    held = classes.why_not or f"surely holds {held_words(classes.held)} of four-stroke engines"
    return PackExtras(
        drawing=draw_stack(pack),
        wear=wear_chart(curve, None, None, limit, "nm") if known else None,
        disc=None if disc is None else disc_chart(disc),
        checks=check_rows(checks(pack, None, state)),
        held=("Not known: " if classes.why_not else "By displacement class it ") + held + ".",
    )
