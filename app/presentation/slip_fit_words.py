"""What a friction fit leaves out, lacks, and stands beside, in sentences."""

from app.comparison.slip_load import ring_positions
from app.comparison.slip_runs import PackFit
from app.documents import Pack
from app.mechanics.friction_source import table_friction
from app.mechanics.inputs import FrictionKind, Lubrication
from app.mechanics.spring_checks import balanced_counts
from app.presentation.data_sheet import origin_text
from app.presentation.numbers import quantity_text
from app.presentation.slip_log import STATE_WORDS


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
        return (f"{positions} springs sit evenly only all together, so on this pack no run can "
                "tell whether torque goes with the clamp load without a plate that may tilt.")
    numbers = others[0] if len(others) == 1 else f"{', '.join(others[:-1])} or {others[-1]}"
    return f"Test with {numbers} of its {positions} springs next: so many sit evenly."


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
