"""What the springs of one set say together: whether they press evenly and are alike."""

from app.mechanics.inputs import SpringGroup
from app.mechanics.spring_checks import (
    FREE_LENGTH_SPREAD_LIMIT,
    balanced_counts,
    free_length_spread,
)

MOST_PLACES = 16
"""Rings of more places than this are not looked at: `balanced_counts` ends there."""


def set_findings(group: SpringGroup) -> list[tuple[str, str, str]]:
    """What is to be minded about one set of springs.

    Args:
        group: springs alike, lengths in mm.

    Returns:
        Codes with the figure that each is about and a sentence; empty where all is well.

    Range: what isn't recorded is passed over.
    Source: app.mechanics.spring_checks.
    """
    return [*_places(group), *_lengths(group)]


def _places(group: SpringGroup) -> list[tuple[str, str, str]]:
    count, places = group.count, group.positions
    if count is None or places is None or places > MOST_PLACES:
        return []
    if count > places:
        return [("springs_beyond_places", "count",
                 f"{count} springs are entered for {places} places")]
    even = balanced_counts(places)
    if count in even or count < 3:  # too few is said of the pack as a whole
        return []
    choice = ", ".join(map(str, even))
    return [("springs_uneven", "count",
             f"{count} springs in {places} places cannot be spaced evenly, so the pressure plate "
             f"tilts; {choice} can")]


def _lengths(group: SpringGroup) -> list[tuple[str, str, str]]:
    lengths, stated = group.free_lengths_mm, group.free_length_mm
    found: list[tuple[str, str, str]] = []
    if not lengths:
        return found
    spread = free_length_spread(lengths)
    if spread > FREE_LENGTH_SPREAD_LIMIT:
        found.append((
            "free_lengths_differ", "free_lengths_mm",
            f"the free lengths differ by {100 * spread:.1f} % of their mean, where "
            f"{100 * FREE_LENGTH_SPREAD_LIMIT:.0f} % is the most: an uneven clamp; reject the "
            "longest and shortest, or match the set"))
    if group.count is not None and len(lengths) != group.count:
        found.append((
            "free_lengths_count", "free_lengths_mm",
            f"{len(lengths)} free lengths are entered for {group.count} springs"))
    mean = sum(lengths) / len(lengths)
    if stated is not None and abs(mean - stated.value) > max(
        stated.plus_minus or 2.0 * (stated.std or 0.0), 0.005 * mean
    ):
        found.append((
            "free_lengths_mean", "free_length_mm",
            f"the free length is entered as {stated.value:.2f} mm, while the springs' own "
            f"lengths have a mean of {mean:.2f} mm"))
    return found
