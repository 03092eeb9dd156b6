"""Displacement classes and sellers' claims in words, the same on every page."""

from collections.abc import Sequence

from app.comparison.class_board import ClaimJudged, ClassBoard, PackInClasses
from app.comparison.classes import Claim, Held, class_of
from app.presentation.board_failed import failed_words
from app.presentation.numbers import NBSP, NOT_KNOWN, number_text

CLAIM_WORDS: dict[Claim, str] = {
    "supported": "Supported", "partly": "Partly", "not supported": "Not supported",
    "can't tell": "Can’t tell",
}
CLAIM_TONES: dict[Claim, str] = {
    "supported": "holds", "partly": "tight", "not supported": "slips", "can't tell": "unknown",
}
CLAIM_RULE = (
    "A claimed size counts as the smallest class that is not below it. Supported: the whole band "
    "is held up to the class of the largest size claimed. Not supported: not even the lighter "
    "half is held up to the class of the smallest. Partly: in between, or beyond the largest "
    "class. An open claim goes to the end of the table. It is a judgement of torque alone, by the "
    "lower end of the pack’s 95 % interval; a check that the pack fails stands before it."
)


def size_text(size: float) -> str:
    """A displacement with its unit."""
    return f"{number_text(size)}{NBSP}cm³"


def held_words(held: Held) -> str:
    """What a pack holds, in words."""
    if held.whole_cc is None and held.half_cc is None:
        return "not even the lighter half of the smallest class"
    if held.whole_cc is None:
        return f"the lighter half up to {size_text(held.half_cc or 0.0)}"
    words = f"the whole band up to {size_text(held.whole_cc)}"
    if held.half_cc is not None and held.half_cc > held.whole_cc:
        words += f", the lighter half up to {size_text(held.half_cc)}"
    return words


def claimed_text(low: float | None, high: float | None) -> str:
    """The displacements that an offer claims to hold.

    >>> claimed_text(50.0, 125.0), claimed_text(None, 125.0), claimed_text(None, None)
    ('50–125\xa0cc', 'up to 125\xa0cc', '')
    """
    if low is None and high is None:
        return ""
    if low is None:
        return f"up to {number_text(high)}{NBSP}cc"
    if high is None:
        return f"from {number_text(low)}{NBSP}cc"
    if low == high:
        return f"{number_text(low)}{NBSP}cc"
    return f"{number_text(low)}–{number_text(high)}{NBSP}cc"


def claimed_classes(low: float | None, high: float | None, sizes: Sequence[float]) -> str:
    """The classes that a claim's ends count as; "" where it names no displacement.

    >>> claimed_classes(200.0, 350.0, (200.0, 300.0, 400.0))
    '200 to 400\xa0cm³'
    >>> claimed_classes(None, 500.0, (200.0, 400.0))
    '200\xa0cm³ and beyond the largest'
    """
    if low is None and high is None:
        return ""
    least = class_of(min(sizes) if low is None else low, sizes)
    most = max(sizes) if high is None else class_of(high, sizes)
    if least is None:
        return "beyond the largest class"
    if most is None:
        return f"{size_text(least)} and beyond the largest"
    return size_text(least) if least == most else f"{number_text(least)} to {size_text(most)}"


def claim_says(judged: ClaimJudged, pack: PackInClasses, board: ClassBoard) -> str:
    """What the classes say of one claim, in sentences for a page that has no table of them."""
    made = judged.made
    classes = claimed_classes(made.low_cc, made.high_cc, board.sizes)
    if not classes:
        return ""
    head = f"{CLAIM_WORDS[judged.verdict]} by displacement class"
    if pack.why_not:
        return f"{head}: {pack.why_not}."
    fails = f" It fails a check: {failed_words(pack.failed)}." if pack.failed else ""
    return f"{head}: the claim counts as {classes}; the pack holds {held_words(pack.held)}.{fails}"


def held_or_not_known(pack: PackInClasses) -> str:
    """What a pack holds in words, or that it is not known."""
    return NOT_KNOWN if pack.why_not else held_words(pack.held)
