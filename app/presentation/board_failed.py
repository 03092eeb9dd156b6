"""Checks that outrank torque, in the words of a board: a pack that fails one holds nothing."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from app.comparison.failed_checks import FailedCheck
from app.comparison.verdict import Verdict
from app.mechanics.fit import bolts_up
from app.mechanics.inputs import EngineInputs, PackInputs, Quantity
from app.presentation.numbers import NBSP, number_text

VERDICT_WORDS: dict[Verdict, str] = {
    "holds": "Holds",
    "tight": "Tight",
    "slips": "Slips",
    "unknown": "Not known",
}

FAILED_WORDS: dict[FailedCheck, str] = {
    "bolts_up": "won’t bolt up",
    "can_release": "won’t release",
    "facing_pressure": "pressure too high",
    "spring_stress": "springs overstressed",
    "launch_heat": "launch too hot",
}
"""What a pack does that fails a check."""

STOPPED = "stopped"
"""Key of a chip that tells of a failed check instead of the torque."""


@dataclass(frozen=True, slots=True)
class Chip:
    """What stands first for a cell: its key (a verdict, or "stopped") and its word."""

    key: str
    word: str

    @property
    def low(self) -> str:
        """The word within a sentence."""
        return self.word.lower()


def failed_words(failed: Sequence[FailedCheck]) -> str:
    """What a pack fails on an engine, in few words.

    >>> failed_words(("bolts_up", "can_release"))
    'won’t bolt up, won’t release'
    """
    return ", ".join(FAILED_WORDS[name] for name in failed)


def stands_first(verdict: Verdict, failed: Sequence[FailedCheck]) -> bool:
    """Whether a failed check is told before the torque: where the torque does not say no itself.

    >>> stands_first("holds", ("bolts_up",)), stands_first("slips", ("bolts_up",))
    (True, False)
    """
    return bool(failed) and verdict != "slips"


@cache
def chip_of(verdict: Verdict, failed: tuple[FailedCheck, ...]) -> Chip:
    """The chip of a cell.

    >>> chip_of("holds", ("bolts_up",)), chip_of("holds", ())
    (Chip(key='stopped', word='Won’t bolt up'), Chip(key='holds', word='Holds'))
    """
    if stands_first(verdict, failed):
        words = FAILED_WORDS[failed[0]]
        return Chip(STOPPED, words[:1].upper() + words[1:])
    return Chip(verdict, VERDICT_WORDS[verdict])


def misfit_words(pack: PackInputs, engine: EngineInputs) -> str:
    """Why a pack does not bolt up, short enough for one line; "" where it may.

    Such as "16 mm too wide" or "teeth 70 for 64"; the cell's page has both figures.
    """
    found = next((a for a in bolts_up(pack, engine) if a.answer == "no"), None)
    if found is None:
        return ""
    if found.question == "room for its diameter":
        return _over(pack.envelope_diameter_mm, engine.envelope_diameter_mm, "too wide")
    if found.question == "room for its height":
        return _over(pack.envelope_height_mm, engine.envelope_height_mm, "too high")
    if found.question == "the splines fit":
        if pack.spline_count != engine.spline_count:
            return f"splines {pack.spline_count} on {engine.spline_count}"
        return f"splines {_over(pack.spline_major_mm, engine.spline_major_mm, 'off')}"
    if engine.primary_teeth is not None and pack.gear_teeth != engine.primary_teeth[1]:
        return f"teeth {pack.gear_teeth} for {engine.primary_teeth[1]}"
    ours, theirs = pack.gear_module_mm, engine.gear_module_mm
    if ours is None or theirs is None:
        return ""
    return f"module {number_text(ours.value, digits=4)} for {number_text(theirs.value, digits=4)}"


def _over(ours: Quantity | None, theirs: Quantity | None, word: str) -> str:
    """How far two lengths are apart, in a word."""
    if ours is None or theirs is None:
        return ""
    apart = number_text(abs(ours.value - theirs.value), digits=3)
    return f"{apart}{NBSP}mm {word}"


def torque_words(verdict: Verdict, ratio: str, span: str) -> str:
    """What the torque says beside a failed check.

    >>> torque_words("holds", "1.36", "1.10–1.64"), torque_words("unknown", "", "")
    ('torque holds 1.36 (1.10–1.64)', 'torque not known')
    """
    word = VERDICT_WORDS[verdict].lower()
    return f"torque {word} {ratio} ({span})" if ratio else f"torque {word}"


def counted(cells: Iterable[tuple[Verdict, Sequence[FailedCheck]]]) -> str:
    """How many cells have each verdict; those that fail a check are told where they count.

    >>> counted([("holds", ()), ("holds", ("bolts_up",)), ("slips", ("bolts_up",))])
    'holds for 2, of which 1 won’t bolt up, and slips for 1'
    """
    verdicts: Counter[Verdict] = Counter()
    failing: dict[Verdict, Counter[str]] = {}
    for verdict, failed in cells:
        verdicts[verdict] += 1
        if stands_first(verdict, failed):
            failing.setdefault(verdict, Counter())[FAILED_WORDS[failed[0]]] += 1
    told = []
    for key, word in VERDICT_WORDS.items():
        if verdicts[key]:
            some = failing.get(key, Counter())
            parts = [f"{number} {words}" for words, number in some.items()]
            more = f", of which {listed(parts)}" if parts else ""
            told.append((f"{word.lower()} for {verdicts[key]}{more}", bool(more)))
    if len(told) > 1 and any(more for _, more in told[:-1]):
        texts = [text for text, _ in told]
        return f"{', '.join(texts[:-1])}, and {texts[-1]}"
    return listed([text for text, _ in told])


def listed(parts: Sequence[str]) -> str:
    """Parts in a row.

    >>> listed(["a", "b", "c"]), listed(["a"]), listed([])
    ('a, b and c', 'a', '')
    """
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"
