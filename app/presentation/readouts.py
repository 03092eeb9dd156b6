"""Key figures of a record's page, what they lack, and what to measure next."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from app.comparison.cell import CellResult, Reading
from app.comparison.working_lines import WorkingLine
from app.mechanics.inputs import State
from app.presentation.input_words import input_label
from app.presentation.numbers import NBSP, NOT_KNOWN, number_text
from app.presentation.short_figures import NO_DOUBT, short_pair

STATE = State("oiled", "sliding")
"""The state that a record's page shows: new, oiled, sliding, run-in facings."""

STATE_WORDS = "New, oiled, sliding, facings run in"


@dataclass(frozen=True)
class Readout:
    """A key figure of a page's head."""

    label: str
    text: str
    unit: str = ""
    range: str = ""
    note: str = ""


@dataclass(frozen=True)
class Link:
    """Words with an address."""

    text: str
    href: str


def missing_links(paths: Sequence[str], edit: str) -> tuple[Link, ...]:
    """What a torque figure lacks, each with the box where it is typed."""
    inside = [path for path in paths if path != "engine"]
    return tuple(Link(input_label(path), box_address(edit, path)) for path in inside)


def box_address(edit: str, path: str) -> str:
    """Address of the box of a form in which the figure at a path is typed."""
    _, _, inside = path.partition(".")
    return f"{edit}#f-{inside.replace('.', '-').replace('_', '-')}" if inside else edit


def next_words(result: CellResult) -> str:
    """What to measure next, and how much of the doubt comes from it."""
    line = result.measure_next
    if line is None:
        return ""
    share = dict(result.shares)[line.path]
    return f"{input_label(line.path)}: {number_text(100 * share, digits=2)}{NBSP}% of the doubt"


def remarks(result: CellResult, but: Collection[str] = ()) -> tuple[str, ...]:
    """What the working remarks, as sentences, but for those of some codes."""
    return tuple(_sentence(c.text) for c in result.cautions if c.code not in but)


def readout_of(label: str, figure: Reading | None, unit: str, note: str = "") -> Readout:
    """A key figure with its 95 % interval, each to the same decimals."""
    if figure is None:
        return Readout(label, NOT_KNOWN, note=note)
    text, doubt = short_pair(figure.value, 2.0 * figure.std)
    decimals = len(text.partition(".")[2])
    low, high = (number_text(v, decimals=decimals) for v in (figure.low, figure.high))
    return Readout(label, text, unit, f"{low}–{high}" if doubt else NO_DOUBT, note)


COUNTED = ("surfaces",)
"""Steps that are counts: nobody doubts them."""


def step_readout(label: str, line: WorkingLine | None, note: str = "") -> Readout:
    """A step of the working as a key figure; ± is what covers 95 % of its doubt."""
    if line is None:
        return Readout(label, NOT_KNOWN, note=note)
    value, doubt = short_pair(line.value, 2.0 * line.std)
    unit = "" if line.unit == "1" else line.unit
    without = "" if line.name in COUNTED else NO_DOUBT
    return Readout(label, value, unit, f"±{NBSP}{doubt}" if doubt else without, note)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")
