"""What stands at the head of a cell's page: verdict in words, key figures, margins, intervals."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from urllib.parse import parse_qsl

from app.comparison.all_states import StateAnswer
from app.comparison.board_query import read_view
from app.comparison.board_view import BoardView
from app.comparison.cell import CellResult, Reading
from app.comparison.inputs_list import InputLine
from app.presentation.beyond_torque import CheckRow
from app.presentation.cell_inputs import percent
from app.presentation.columns import missing_words
from app.presentation.input_words import HOW_WORDS, input_label
from app.presentation.numbers import NOT_KNOWN, margin_text, number_text, probability_text
from app.presentation.short_figures import NO_DOUBT
from app.presentation.torques import (
    UNIT_LABEL,
    fast_ratio,
    ratio_span,
    span_text,
    state_words,
    torque_number,
    torque_span,
    torque_text,
)


@dataclass(frozen=True, slots=True)
class Readout:
    """One key figure."""

    label: str
    text: str
    unit: str = ""
    range: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Bar:
    """Where a ratio and its interval lie beside 1, in per cent of the width."""

    low: float
    mid: float
    high: float
    limit: float
    label: str


@dataclass(frozen=True, slots=True)
class MarginRow:
    """The margin, with and without the service factor."""

    label: str
    ratio: str
    span: str
    margin: str
    margin_span: str


@dataclass(frozen=True, slots=True)
class IntervalRow:
    """One way to the interval."""

    label: str
    low: str
    value: str
    high: str
    chance: str


@dataclass(frozen=True, slots=True)
class Stopped:
    """A check that the pack fails whatever its torque: what happens, and why."""

    word: str
    why: str


def stopped(rows: Sequence[CheckRow], cautions: Mapping[str, str]) -> tuple[Stopped, ...]:
    """What outranks the torque and fails, in the order in which it would stop a job.

    Args:
        rows: the failed checks.
        cautions: sentences of the mechanics by code; those that a failed check tells are left out.
    """
    found = [Stopped(row.head, row.text) for row in rows]
    names = {row.name for row in rows}
    found += [
        Stopped(word, cautions[code].rstrip("."))
        for code, (check, word) in OUTRANKING.items()
        if code in cautions and check not in names
    ]
    return tuple(found)


OUTRANKING = {
    "coil_bind": ("Can release", "Won’t release"),
    "facing_pressure_high": ("Facing pressure", "Pressure too high"),
    "no_clamp": ("", "Nothing presses the plates together"),
}
"""Cautions that matter more than torque, the check that tells the same, and their word."""


def back_link(view: BoardView, pack: str) -> tuple[str, str]:
    """Where the board is, and what the link says: as it was left, at the pack's row, if known.

    >>> back_link(BoardView(wear_mm=None), "p1")
    ('/?wear=worn', 'Board, oiled, sliding, worn to each pack’s limit')
    >>> back_link(BoardView(came_from="q=six"), "p1")
    ('/?q=six#p-p1', 'Board, as you left it')
    """
    if view.came_from:
        return f"{read_view(parse_qsl(view.came_from)).address()}#p-{pack}", "Board, as you left it"
    state = replace(BoardView(), **{name: getattr(view, name) for name in _OF_STATE})
    return state.address(), f"Board, {state_words(view)}"


_OF_STATE = ("lubrication", "friction", "wear_mm", "radius", "speed_rpm", "spline_friction",
             "unit", "heavy_above")


@dataclass(frozen=True, slots=True)
class OtherWear:
    """The verdict at the other end of wear: in words, and where its page is."""

    words: str
    address: str


def other_wear(
    states: Sequence[Sequence[StateAnswer]], view: BoardView, ids: tuple[str, str]
) -> OtherWear | None:
    """What wear makes of the verdict; None where neither end has one.

    Args:
        states: the verdicts in all states, as `all_states` gives them.
        view: the state looked at; worn, it is told what the pack was when new.
        ids: pack and engine.
    """
    row = next(
        answers
        for answers in states
        if (answers[0].state.lubrication, answers[0].state.friction)
        == (view.lubrication, view.friction)
    )
    new, worn = row
    if new.ratio is None and worn.ratio is None:
        return None
    told, when = (new, "New") if view.wear_mm is None else (worn, "Worn")
    there = view.but(wear_mm=told.state.wear_mm).cell_address(*ids)
    if told.ratio is None:
        lack = missing_words(told.missing)
        return OtherWear(f"{when}: not known{f', missing {lack}' if lack else ''}", there)
    return OtherWear(f"{when}: {told.verdict} {fast_ratio(told.ratio.value)}", there)


def looked_over(pack: str, engine: str) -> str:
    """Whether a second person checked the figures of pack and engine.

    >>> looked_over("", "")
    'figures not checked by anybody'
    >>> looked_over("Bea, 2026-11-25", "")
    'pack’s figures checked by Bea, 2026-11-25, engine’s by nobody'
    """
    if not pack and not engine:
        return "figures not checked by anybody"
    return f"pack’s figures checked by {pack or 'nobody'}, engine’s by {engine or 'nobody'}"


def says(result: CellResult, pack: str, engine: str) -> str:
    """The verdict in a sentence."""
    if result.ratio is None:
        return "There is no verdict: something needed is not known."
    ratio = fast_ratio(result.ratio.value)
    text = f"{pack} carries {ratio} times the torque that {engine} asks"
    return {
        "holds": f"{text}, and the margin covers the doubt.",
        "tight": f"{text}, but the doubt reaches below 1.",
        "slips": f"{text}: less than it asks.",
    }[result.verdict]


def readouts(result: CellResult, view: BoardView) -> tuple[Readout, ...]:
    """The key figures, torques in the view's unit and in the stored one."""

    def torque(label: str, figure: Reading | None) -> Readout:
        if figure is None:
            return Readout(label, NOT_KNOWN)
        return Readout(
            label,
            torque_number(figure.value, view.unit),
            UNIT_LABEL[view.unit],
            torque_span(figure, view.unit) if figure.std else NO_DOUBT,
            _other_unit(figure, view),
        )

    ratio = result.ratio
    return (
        Readout(
            "Ratio, with its 95 % interval",
            NOT_KNOWN if ratio is None else fast_ratio(ratio.value),
            "",
            "" if ratio is None else _span(ratio),
        ),
        torque("Available", result.capacity),
        torque("Required", result.required),
        Readout(
            "Chance of falling short",
            probability_text(result.p_slip),
            "",
            "of what is required, factor included",
        ),
    )


def _span(ratio: Reading) -> str:
    return ratio_span(ratio) if ratio.std else NO_DOUBT


def _other_unit(figure: Reading, view: BoardView) -> str:
    """The stored unit, where another is shown."""
    return "" if view.unit == "nm" else torque_text(figure.value, "nm")


def bar(ratio: Reading | None) -> Bar | None:
    """The ratio's interval on a line from 0."""
    if ratio is None or not math.isfinite(ratio.high):
        return None
    full = max(ratio.high, 1.0) * 1.08

    def at(value: float) -> float:
        return round(100.0 * value / full, 2)

    return Bar(
        at(ratio.low),
        at(ratio.value),
        at(ratio.high),
        at(1.0),
        f"Ratio {fast_ratio(ratio.value)}, interval {ratio_span(ratio)}, limit 1",
    )


def margins(result: CellResult) -> tuple[MarginRow, ...]:
    """The margin with the service factor and without it."""
    rows = []
    for label, figure in (
        ("With the service factor", result.ratio),
        ("Without it", result.ratio_without_factor),
    ):
        if figure is not None:
            rows.append(
                MarginRow(
                    label,
                    fast_ratio(figure.value),
                    _span(figure),
                    margin_text(figure.value),
                    f"{margin_text(figure.low)} to {margin_text(figure.high)}"
                    if figure.std else "",
                )
            )
    return tuple(rows)


def heavy(result: CellResult, heavy_above: float) -> str:
    """What being heavy means here, "" where the pack is not."""
    without = result.ratio_without_factor
    if not result.heavy or without is None:
        return ""
    return (
        f"Heavy: without the service factor the ratio is {fast_ratio(without.value)}, above "
        f"the limit of {number_text(heavy_above)}. More effort at the lever and a harsher "
        "take-up than the engine needs, and no slip to protect the gears."
    )


def intervals(result: CellResult) -> tuple[IntervalRow, ...]:
    """Both ways to the interval of the ratio."""
    rows = []
    if result.ratio is not None:
        r = result.ratio
        rows.append(
            IntervalRow(
                "Worked out; the verdict uses it",
                fast_ratio(r.low),
                fast_ratio(r.value),
                fast_ratio(r.high),
                probability_text(result.p_slip),
            )
        )
    if result.drawn is not None and result.drawn.ratio is not None:
        d = result.drawn.ratio
        rows.append(
            IntervalRow(
                f"Tried out {number_text(float(result.drawn.draws))} times",
                fast_ratio(d.low),
                f"{fast_ratio(d.mean)} on average",
                fast_ratio(d.high),
                probability_text(result.drawn.p_slip),
            )
        )
    return tuple(rows)


def interval_says(result: CellResult) -> tuple[str, ...]:
    """How far the two ways agree, and which of them the verdict is from."""
    drawn = result.drawn
    if drawn is None or drawn.ratio is None:
        return ()
    same = "The trial always takes the same numbers, so it comes out the same again."
    if drawn.agrees:
        return ("Both ends agree within a tenth of half the interval’s width.", same)
    return (differs(result), same)


def differs(result: CellResult) -> str:
    """What it means where the two ways give different ends, "" where they agree."""
    drawn, ratio = result.drawn, result.ratio
    if drawn is None or drawn.ratio is None or drawn.agrees is not False or ratio is None:
        return ""
    trial = span_text(fast_ratio(drawn.ratio.low), fast_ratio(drawn.ratio.high))
    told = (
        "The verdict is from the interval worked out, here as on the board, in files and answers, "
        f"so that they agree. Figures tried out at random give {trial} instead of "
        f"{ratio_span(ratio)}, which is further off than a tenth of half its width."
    )
    by_trial = "slips" if ratio.value < 1.0 else "holds" if drawn.ratio.low >= 1.0 else "tight"
    if by_trial == result.verdict:
        return f"{told} By the trial the verdict would be the same."
    return (
        f"{told} By the trial it would be {VERDICT_WORDS[by_trial]}: this cell lies on the line, "
        "so measure before you rely on it."
    )


VERDICT_WORDS = {"holds": "Holds", "tight": "Tight", "slips": "Slips"}


def measured_already(result: CellResult) -> str:
    """Larger shares of the doubt than that of the input to measure next: measured already."""
    following = result.measure_next
    if following is None:
        return ""
    how = {line.path: line.quantity.how for line in result.inputs}
    larger = []
    for path, share in result.shares:
        if path == following.path:
            break
        if how.get(path) == "measured":
            larger.append(f"{input_label(path)} ({percent(share)})")
    if not larger:
        return ""
    one = len(larger) == 1
    return (
        f"A larger share is measured already, and more runs would narrow it: {larger[0]}."
        if one
        else f"Larger shares are measured already, and more runs would narrow them: "
        f"{'; '.join(larger)}."
    )


def next_words(line: InputLine, shares: dict[str, float]) -> str:
    """Why an input is the one to measure next."""
    how = HOW_WORDS.get(line.quantity.how or "", "not said how known").lower()
    share = percent(shares.get(line.path, 0.0))
    return f"{input_label(line.path)}: {how}, and {share} of the doubt"
