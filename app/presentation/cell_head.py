"""What stands at the head of a cell's page: verdict in words, key figures, margins, intervals."""

import math
from dataclasses import dataclass

from app.comparison.board_view import BoardView
from app.comparison.cell import CellResult, Drawn, Reading
from app.comparison.inputs_list import InputLine
from app.presentation.cell_inputs import percent
from app.presentation.input_words import HOW_WORDS, input_label
from app.presentation.numbers import NOT_KNOWN, margin_text, number_text, probability_text
from app.presentation.torques import (
    UNIT_LABEL,
    fast_ratio,
    ratio_span,
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
            torque_span(figure, view.unit),
            _other_unit(figure, view),
        )

    ratio = result.ratio
    return (
        Readout(
            "Ratio, with its 95 % interval",
            NOT_KNOWN if ratio is None else fast_ratio(ratio.value),
            "",
            "" if ratio is None else ratio_span(ratio),
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
                    ratio_span(figure),
                    margin_text(figure.value),
                    f"{margin_text(figure.low)} to {margin_text(figure.high)}",
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
                "Worked out (used for the verdict)",
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
                f"Drawn {number_text(float(result.drawn.draws))} times",
                fast_ratio(d.low),
                f"{fast_ratio(d.mean)} (mean)",
                fast_ratio(d.high),
                probability_text(result.drawn.p_slip),
            )
        )
    return tuple(rows)


def interval_says(drawn: Drawn | None) -> tuple[str, ...]:
    """How far the two ways agree; where they don't, the mechanics' own remark says so."""
    if drawn is None or drawn.ratio is None:
        return ()
    seed = f"The draws start from the seed {drawn.seed}, so the same inputs give the same draws."
    if drawn.agrees:
        return ("Both ends agree within a tenth of the half-width.", seed)
    return (seed,)


def next_words(line: InputLine, shares: dict[str, float]) -> str:
    """Why an input is the one to measure next."""
    how = HOW_WORDS.get(line.quantity.how or "", "not said how known").lower()
    share = percent(shares.get(line.path, 0.0))
    return f"{input_label(line.path)}: {how}, and {share} of the doubt"
