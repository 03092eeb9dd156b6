"""What is known about one figure of a record before anybody types it."""

import math
from dataclasses import dataclass

from app.units import DIMENSIONS


@dataclass(frozen=True)
class Field:
    """One figure: its name, its unit, what it can be and what it usually is.

    Attributes:
        name: as in the JSON interface; it ends with the unit.
        label: what a builder calls it, without the unit.
        dimension: key of ``app.units.DIMENSIONS``.
        above: exclusive lower bound in the canonical unit, None for none.
        at_least: inclusive lower bound, None for none.
        at_most: inclusive upper bound, None for none.
        below: exclusive upper bound, None for none.
        doubt_kind: key of the default doubts (``app.fields.doubts``).
        help: how to take the figure, in two sentences at most.
        usual: span outside which it is kept with a visible caution. A judgement of ours without
            a source: it catches slips of the key and of the unit, and refuses nothing.
    """

    name: str
    label: str
    dimension: str
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    below: float | None = None
    doubt_kind: str = "number"
    help: str = ""
    usual: tuple[float, float] | None = None

    @property
    def unit(self) -> str:
        """Label of the canonical unit, "" for a plain number."""
        return DIMENSIONS[self.dimension].canonical

    @property
    def whole(self) -> bool:
        """Whether the figure is a count."""
        return DIMENSIONS[self.dimension].whole

    def problem(self, value: float) -> str | None:
        """Say what the figure must be if it cannot be ``value`` [canonical unit], else None.

        Bounds are those of physics: sign, order, and shares of a whole. NaN and infinity
        are outside them.
        """
        keeps = (
            math.isfinite(value)
            and (self.above is None or value > self.above)
            and (self.at_least is None or value >= self.at_least)
            and (self.at_most is None or value <= self.at_most)
            and (self.below is None or value < self.below)
            and (not self.whole or value == int(value))
        )
        return None if keeps else f"{self.label} must be {self.bounds_text}."

    def caution(self, value: float) -> str | None:
        """Say that a possible ``value`` [canonical unit] is unusual, else None."""
        if self.usual is None or self.usual[0] <= value <= self.usual[1]:
            return None
        low, high = (self._figure(end) for end in self.usual)
        return (
            f"{self.label} is usually between {low} and {high}. "
            "It is kept as typed: check the figure and its unit."
        )

    @property
    def bounds_text(self) -> str:
        """The bounds in words, such as ``more than 0 mm``."""
        parts = []
        if self.above is not None:
            parts.append(f"more than {self._figure(self.above)}")
        if self.at_least is not None and self.at_most is not None:
            parts.append(f"between {self._figure(self.at_least)} and {self._figure(self.at_most)}")
        elif self.at_least is not None:
            parts.append(f"{self._figure(self.at_least)} or more")
        elif self.at_most is not None:
            parts.append(f"at most {self._figure(self.at_most)}")
        if self.below is not None:
            parts.append(f"less than {self._figure(self.below)}")
        bounds = " and ".join(parts)
        if not self.whole:
            return bounds or "a number"
        joint = " " if bounds.startswith("between") else ", "
        return f"a whole number{joint}{bounds}".rstrip(", ")

    def _figure(self, number: float) -> str:
        space = "" if self.unit in ("", "°") else "\u00a0"
        return f"{number:.10g}{space}{self.unit}"


def by_name(*fields: Field) -> dict[str, Field]:
    """Give the fields of one group by their names; a name given twice is refused."""
    named = {field.name: field for field in fields}
    if len(named) != len(fields):
        raise ValueError("a group of fields names each figure once")
    return named
