"""One check that outranks torque, and its outcome."""

from dataclasses import dataclass
from typing import Literal

Outcome = Literal["pass", "caution", "fail", "not known"]


@dataclass(frozen=True, slots=True)
class Check:
    """One check: a short name, its outcome, the reason with figures, the source of its limit."""

    name: str
    outcome: Outcome
    text: str
    source: str
