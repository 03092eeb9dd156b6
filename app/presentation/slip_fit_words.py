"""What a friction fit leaves out, lacks, and stands beside, in sentences."""

from app.comparison.slip_load import ring_positions
from app.comparison.slip_runs import PackFit
from app.documents import Pack
from app.mechanics.friction_source import table_friction
from app.mechanics.inputs import FrictionKind, Lubrication
from app.mechanics.slip_test import UNLIKELY
from app.mechanics.spring_checks import balanced_counts
from app.presentation.data_sheet import origin_text
from app.presentation.numbers import number_text, quantity_text
from app.presentation.slip_log import STATE_WORDS

LITTLE = 2.0
"""So far apart in AICc, models have about the same support.

Source: K. P. Burnham & D. R. Anderson, Model Selection and Multimodel Inference, 2nd ed., 2.6.
"""


def left_out_words(fit: PackFit) -> str:
    """How many runs are left out, and why; "" for none."""
    out = [load for load, taken in zip(fit.loads, fit.taken, strict=True) if not taken]
    if not out:
        return ""
    whys = dict.fromkeys(_sentence(load.why_out) for load in out if load.why_out)
    how_many = f"{len(out)} of {len(fit.loads)} runs {'is' if len(out) == 1 else 'are'} left out"
    return f"{how_many}: {' '.join(whys)}" if whys else f"{how_many}."


def _sentence(text: str) -> str:
    """A reason with its full stop, which a tester's own words may lack."""
    return text if text.endswith((".", "!", "?")) else f"{text}."


def no_use_words(fit: PackFit) -> str:
    """Why there is no μ to take into the pack."""
    if fit.fit is None:
        return "No μ can be taken into the pack from these runs yet."
    return ("No μ can be taken into the pack yet: so few readings give no doubt to go with it. "
            "Log another run.")


def second_load_words(pack: Pack, fit: PackFit) -> str:
    """How this pack can be tested at a second clamp load; "" where it was."""
    if fit.fit is None or fit.fit.levels > 1:
        return ""
    positions = ring_positions(pack.to_inputs())
    if positions is None:
        return ""
    tested = {load.springs for load, taken in zip(fit.loads, fit.taken, strict=True) if taken}
    others = [str(count) for count in balanced_counts(positions) if count not in tested]
    if not others:
        return _only_together(positions)
    numbers = others[0] if len(others) == 1 else f"{', '.join(others[:-1])} or {others[-1]}"
    return f"Test with {numbers} of its {positions} springs next: so many sit evenly."


def undecided_words(pack: Pack, fit: PackFit) -> str:
    """That the runs bear out two laws alike, what hangs on it, which run would tell; else "".

    Laws are alike whose AICc lies less than LITTLE above the least. The proportional one must be
    among them, and the likelihood ratio must not speak against it.
    """
    friction = fit.fit
    if friction is None or friction.p_proportional is None or friction.p_proportional < UNLIKELY:
        return ""
    scores = {law.law: law.aicc for law in friction.compared if law.aicc is not None}
    least = min(scores.values(), default=0.0)
    alike = [law for law in friction.compared
             if law.law in scores and scores[law.law] - least < LITTLE]
    if len(alike) < 2 or alike[0].law != "proportional":
        return ""
    first = alike[0]
    other = max(alike[1:], key=lambda law: abs(law.mu.value - first.mu.value))
    mu, its = (number_text(law.mu.value, digits=3) for law in (first, other))
    return (f"These runs cannot yet tell the laws apart: μ is {mu} by the proportional law and "
            f"{its} by the {other.law.replace('_', '-')} law, about as close to the readings. The "
            f"pack takes the first. {_telling_run(pack, fit)}")


def _telling_run(pack: Pack, fit: PackFit) -> str:
    """Which run would tell the laws apart: they part most at the least clamp load."""
    positions = ring_positions(pack.to_inputs())
    if positions is None:
        return "A run at a clamp load far from these would tell."
    even = balanced_counts(positions)
    if len(even) < 2:
        return _only_together(positions)
    tested = {load.springs for load, taken in zip(fit.loads, fit.taken, strict=True) if taken}
    if even[0] not in tested:
        return f"A run with {even[0]} of its {positions} springs would tell most."
    return (f"Laws part most at the least clamp load: more runs with {even[0]} of its {positions} "
            "springs would tell.")


def _only_together(positions: int) -> str:
    return (f"{positions} springs sit evenly only all together, so on this pack no run can "
            "tell whether torque goes with the clamp load without a plate that may tilt.")


def standing_words(pack: Pack, state: tuple[Lubrication, FrictionKind]) -> str:
    """Which friction the board uses for the pack now."""
    words = STATE_WORDS[state].lower()
    own = pack.own_friction().get(state)
    if own is None:
        published = None if pack.facing is None else table_friction(pack.facing, *state)
        if published is None:
            return f"The pack has no friction {words}, nor has a table: no figure is in use."
        text = quantity_text(published[0].value, published[0].plus_minus)
        return (f"The pack has no friction of its own {words}: the board takes the published "
                f"μ {text} of its facing ({published[1]}).")
    text = quantity_text(own.value, own.std or own.plus_minus)
    kind = "standard uncertainty" if own.std else "limit"
    doubt = f" ({kind})" if own.std or own.plus_minus else ""
    return f"The pack uses μ {text}{doubt} {words}: {origin_text(own)}."
