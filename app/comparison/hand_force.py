"""Force at the hand that frees each pack, many packs at once."""

from collections.abc import Sequence

import numpy as np

from app.comparison.checks import LEVER_EFFICIENCY
from app.mechanics.inputs import CentrifugalClamp, PackInputs, State
from app.mechanics.release import hand_force
from app.mechanics.sides import pack_figures, pack_side
from app.mechanics.stack import stack_packs


def hand_forces(packs: Sequence[PackInputs], state: State) -> tuple[float | None, ...]:
    """What a hand holds at the lever while each pack is lifted.

    Args:
        packs: N records.
        state: the state of the comparison.

    Returns:
        Forces [N], as in the check of the hand force; None where the lift, the clamp or the lever
        is not known, and for weights on ramps, which no hand lifts.

    Range: nominal values.
    Source: app.mechanics.release.hand_force.
    """
    if not packs:
        return ()
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        sheet = stack_packs(packs, state)
        lifted = pack_figures(sheet, pack_side(sheet, state, None), None).clamp_lifted_n
    found: list[float | None] = []
    for pack, force in zip(packs, lifted.value[:, 0].tolist(), strict=True):
        by_hand = pack.lever_ratio is not None and not isinstance(pack.clamp, CentrifugalClamp)
        if not by_hand or pack.lever_ratio is None or np.isnan(force):
            found.append(None)
        else:
            found.append(float(hand_force(force, pack.lever_ratio.value, LEVER_EFFICIENCY)))
    return tuple(found)
