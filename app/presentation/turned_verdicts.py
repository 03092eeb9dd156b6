"""Which verdicts a change turns: before it is saved in full, after it in one line."""

from collections.abc import Mapping

from app.comparison.verdict import Verdict

MOST_CHARACTERS = 150
_WORDS: dict[Verdict, str] = {
    "holds": "holds",
    "tight": "tight",
    "slips": "slips",
    "unknown": "not known",
}
_ORDER: tuple[Verdict, ...] = ("slips", "tight", "holds", "unknown")
"""What came out worst is told first."""


def turned_lines(
    before: Mapping[str, tuple[str, Verdict]], after: Mapping[str, tuple[str, Verdict]]
) -> tuple[str, ...]:
    """Each verdict that comes out otherwise after a change, what comes out worst first.

    Args:
        before: name of the other side and verdict, by the other side's id.
        after: the same after the change; what stands in one of the two alone is left out.

    >>> turned_lines({"a": ("Fen 110", "holds")}, {"a": ("Fen 110", "tight")})
    ('Fen 110 holds → tight',)
    """
    both = [(after[key], before[key][1]) for key in after if key in before]
    turned = [(name, was, now) for (name, now), was in both if was != now]
    turned.sort(key=lambda one: (_ORDER.index(one[2]), one[0]))
    return tuple(f"{name} {_WORDS[was]} → {_WORDS[now]}" for name, was, now in turned)


def turned_words(
    before: Mapping[str, tuple[str, Verdict]], after: Mapping[str, tuple[str, Verdict]]
) -> str:
    """The verdicts that came out otherwise after a change, "" for none.

    Args:
        before: as `turned_lines` takes it.
        after: likewise.

    >>> turned_words({"a": ("Fen 110", "holds")}, {"a": ("Fen 110", "tight")})
    '1 verdict changed: Fen 110 holds → tight.'
    """
    turned = turned_lines(before, after)
    if not turned:
        return ""
    head = f"{len(turned)} verdict{'' if len(turned) == 1 else 's'} changed: "
    told: list[str] = []
    for one in turned:
        if len(head) + len("; ".join([*told, one])) > MOST_CHARACTERS:
            break
        told.append(one)
    left = len(turned) - len(told)
    if not told:
        return f"{head.removesuffix(': ')}."
    return head + "; ".join(told) + (f"; {left} more." if left else ".")
