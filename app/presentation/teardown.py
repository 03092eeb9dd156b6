"""The teardown of a pack: what to look at, and what each answer means.

The meanings are common practice of the trade, without a source, and the page says so.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.documents import Finding
from app.documents.finding import Check, CheckOutcome
from app.errors import BadInput, Problem
from app.mechanics.spring_checks import FREE_LENGTH_SPREAD_LIMIT, free_length_spread
from app.presentation.numbers import NBSP, number_text
from app.presentation.photos import PhotoBox, photo_box
from app.units import UnitError, parse

OUTCOME_WORDS: dict[CheckOutcome, str] = {
    "good": "Good",
    "watch": "Use it, look again",
    "bad": "Bad",
}
MOST_LENGTHS = 50


@dataclass(frozen=True, slots=True)
class CheckWords:
    """One question of the checklist.

    Attributes:
        key: as in a finding.
        question: what to look at.
        how: how to look.
        measure: label of what is measured, "" where nothing is.
        good, watch, bad: what each answer means.
    """

    key: Check
    question: str
    how: str
    measure: str
    good: str
    watch: str
    bad: str

    def meaning(self, outcome: CheckOutcome) -> str:
        """What an answer means."""
        return {"good": self.good, "watch": self.watch, "bad": self.bad}[outcome]


CHECKS: tuple[CheckWords, ...] = (
    CheckWords(
        "plate_count", "Plates as listed?",
        "Count friction and plain plates, and their order, against the record or the listing.", "",
        "The count of working faces stands.",
        "The order differs: see which plate touches which, and count the faces again.",
        "Faces are missing or doubled: torque goes with their number, so correct the record.",
    ),
    CheckWords(
        "spring_lengths", "Free lengths of the springs alike?",
        "Measure every spring of the set standing free.", "Free lengths, in mm, one after another",
        "The set presses evenly.",
        "Above 2 % of spread the plate is pressed unevenly: sort the set, or test its rates.",
        "A spring has set or is broken: the clamp load of the record no longer holds.",
    ),
    CheckWords(
        "plate_warp", "Plain plates flat?",
        "Lay each on a flat plate and try a feeler all round.", "Largest gap, in mm",
        "The plates part cleanly.",
        "Near the maker's limit: it drags when released, and wears in patches.",
        "Warped: it never parts, it heats where it touches, and its friction can't be trusted.",
    ),
    CheckWords(
        "facing_bond", "Facings bonded all round?",
        "Press a thumb nail at the edges, look for lifted corners and bare core.", "",
        "The whole face carries.",
        "A few edges lift: note how many, and look again after the next runs.",
        "Facing is missing or slides on its core: the face count and the radius no longer hold.",
    ),
    CheckWords(
        "tab_notching", "Tabs of the friction plates notched?",
        "Look at the flanks that bear on the basket.", "Depth of the notch, in mm",
        "The plates slide freely.",
        "Light marks: dress them, and look again.",
        "Notched: plates hang, the clamp does not reach them all, and the lever grabs.",
    ),
    CheckWords(
        "finger_notching", "Fingers of the basket notched?",
        "Look where the tabs bear; feel with a nail.", "Depth of the notch, in mm",
        "The plates slide freely.",
        "Light marks: dress them, and look again.",
        "Notched: plates hang between the notches. A file moves the play, it does not take it out.",
    ),
    CheckWords(
        "damper", "Damper free to move?",
        "Turn the basket against its gear by hand.", "",
        "It moves a little and springs back, as it should.",
        "It has play without spring: it knocks, and its rivets work loose.",
        "Locked solid, or springs broken: the peaks of the engine's torque reach the plates whole.",
    ),
    CheckWords(
        "ring_groove", "Retaining ring and its groove sharp?",
        "Look along the groove for rolled edges; try the ring's spring.", "",
        "The stack is held.",
        "Worn bright: fit a new ring.",
        "Rolled or cracked: the ring can leave under the springs' load. Do not run it.",
    ),
    CheckWords(
        "hub_splines", "Splines of the hub free?",
        "Slide each plate along the hub by hand.", "",
        "The clamp reaches every face.",
        "It catches in places: some of the clamp load is lost on the way.",
        "Plates hang: a slip test then tells of the splines and not of the facings.",
    ),
    CheckWords(
        "oil", "Plates as the record says, oiled or dry?",
        "Look and smell: oil, grease, burnt facing.", "",
        "Tests can be compared.",
        "Some oil on a dry pack, or old oil on a wet one: clean it before a test.",
        "Burnt or soaked: the friction is another now, and earlier tests do not tell of it.",
    ),
)
BY_KEY: dict[str, CheckWords] = {check.key: check for check in CHECKS}


@dataclass(frozen=True, slots=True)
class FindingLine:
    """One finding as the page lists it."""

    id: str
    version: int
    question: str
    outcome: str
    key: CheckOutcome
    meaning: str
    measured: str
    when: str
    notes: str
    photos: PhotoBox


def finding_line(
    key: str, version: int, finding: Finding, photos: PhotoBox | None = None
) -> FindingLine:
    """One finding as the page lists it, with its photos."""
    words = BY_KEY[finding.check]
    measured = finding.measured or ""
    if finding.check == "spring_lengths" and measured:
        measured = lengths_words(measured)
    return FindingLine(
        id=key,
        version=version,
        question=words.question,
        outcome=OUTCOME_WORDS[finding.outcome],
        key=finding.outcome,
        meaning=words.meaning(finding.outcome),
        measured=measured,
        when=" · ".join(text for text in (finding.date, finding.by) if text),
        notes=finding.notes or "",
        photos=photos or finding_photos(key, finding, ()),
    )


def finding_photos(
    key: str, finding: Finding, rows: Sequence[Any], problem: str = "",
    caption: str = "",
) -> PhotoBox:
    """The photos of one finding."""
    of = f"{BY_KEY[finding.check].question} {OUTCOME_WORDS[finding.outcome]}"
    return photo_box(f"/findings/{key}/photos", of, rows, problem, caption)


def free_lengths(text: str) -> list[float]:
    """Free lengths [mm] typed one after another.

    >>> free_lengths("31,2 31.0; 30.9 mm")
    [31.2, 31.0, 30.9]

    Raises:
        BadInput: a part of it is no length.
    """
    glued = re.sub(r"\s+(mm|in|cm)\b", r"\1", text)
    parts = [part.rstrip(",") for part in re.split(r"[;\s]+", glued) if part.strip(",")]
    told = "Write the free lengths in mm, one after another, like 31.2 31.0 30.9."
    try:
        lengths = [parse(part, "length").value for part in parts]
    except UnitError as error:
        raise BadInput([Problem("measured", told)]) from error
    if len(lengths) < 2 or len(lengths) > MOST_LENGTHS or min(lengths) <= 0.0:
        raise BadInput([Problem("measured", told)])
    return lengths


def lengths_words(text: str) -> str:
    """Free lengths with their spread, or the text as it is where it can't be read."""
    try:
        lengths = free_lengths(text)
    except BadInput:
        return text
    spread = free_length_spread(lengths)
    return (f"{text}: spread {number_text(100 * spread, digits=2)}{NBSP}% of the mean, "
            f"{'within' if spread <= FREE_LENGTH_SPREAD_LIMIT else 'above'} "
            f"{number_text(100 * FREE_LENGTH_SPREAD_LIMIT)}{NBSP}%")


def outcome_of_lengths(lengths: Sequence[float]) -> CheckOutcome:
    """What a set's free lengths say, where nobody chose an answer."""
    return "good" if free_length_spread(lengths) <= FREE_LENGTH_SPREAD_LIMIT else "watch"
