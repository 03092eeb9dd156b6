"""Recorded springs that would do, as lines of a cell's page."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from app.comparison.spring_swap import Swap
from app.presentation.torques import fast_ratio


class Choice(Protocol):
    """A set of springs and the cell with it."""

    @property
    def name(self) -> str:
        """Name of the set, "" for none."""

    @property
    def pack_id(self) -> str:
        """The pack that it is in, "" on the shelf."""

    @property
    def pack_name(self) -> str:
        """That pack's name."""

    @property
    def swap(self) -> Swap:
        """What the cell would be."""


@dataclass(frozen=True, slots=True)
class SpringLine:
    """One set: what it is called, where it is, and the ratio with it; `low` is the lower end."""

    name: str
    where: str
    address: str
    ratio: str
    low: str
    verdict: str


@dataclass(frozen=True)
class SpringLines:
    """The sets, and the sentence above them."""

    says: str
    lines: tuple[SpringLine, ...] = ()


def _verdict(swap: Swap) -> str:
    """The verdict with the set, by the rule of every cell."""
    if swap.ratio < 1.0:
        return "Slips"
    return "Holds" if swap.low >= 1.0 else "Tight"


def spring_lines(choices: Sequence[Choice] | None) -> SpringLines | None:
    """The sets as lines; None where the pack's springs do not say what room there is."""
    if choices is None:
        return None
    if not choices:
        return SpringLines(
            "No other spring set in the catalogue fits these seats and reaches the wanted ratio.")
    return SpringLines(
        "Put into the present seats, as many as now, these fit by diameter and free length and "
        "reach the wanted ratio without failing another check. Look at their ends and your pockets "
        "before you order.",
        tuple(
            SpringLine(
                choice.name or "Springs",
                f"in {choice.pack_name}" if choice.pack_id else "on the shelf",
                f"/packs/{choice.pack_id}" if choice.pack_id else "",
                fast_ratio(choice.swap.ratio),
                fast_ratio(choice.swap.low),
                _verdict(choice.swap),
            )
            for choice in choices
        ),
    )
