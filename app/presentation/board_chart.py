"""A chart of available against required torque: its figure, its finding in words, its table."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.comparison.board_view import BoardView, ChartKind
from app.comparison.cell import Reading
from app.presentation.board_failed import STOPPED, Chip, chip_of, counted
from app.presentation.columns import CellTable, cell_table
from app.presentation.facts import CellFacts
from app.presentation.torques import UNIT_LABEL, fast_ratio, shown_reading, torque_in, torque_text

_MARKS = {"holds": "circle", "tight": "triangle-up", "slips": "square", STOPPED: "x"}
TABLE = (
    "torque_available_N_m",
    "torque_available_low_N_m",
    "torque_required_N_m",
    "torque_required_low_N_m",
    "ratio",
    "ratio_low",
    "p_slip",
)
LONGEST_LABEL = 24
SIZES = (("low", 4), ("", 8), ("middle", 15), ("tall", 30))
"""How tall a chart is drawn, by its rows; each row has two lines of text."""


@dataclass(frozen=True)
class ChartView:
    """A chart with its words, its figure, and the table of the same numbers.

    `size` names how tall it is drawn; `verdicts` and `chips` (what stands first, with its word)
    are beside the rows of the table.
    """

    name: str
    title: str
    says: str
    spec: dict[str, Any]
    size: str
    table: CellTable
    names: tuple[str, ...]
    verdicts: tuple[str, ...]
    chips: tuple[Chip, ...]
    row_heading: str


def torque_chart(
    kind: ChartKind, cells: Sequence[CellFacts], view: BoardView, state: str
) -> ChartView:
    """The chart of one engine with its packs, or of one pack with its engines.

    Args:
        kind: what is one and the same in all cells.
        cells: one cell for each row of the chart, in its order.
        view: for the unit.
        state: the state in words.
    """
    of_engine = kind == "engine"
    names = [(c.pack if of_engine else c.engine).name for c in cells]
    one = (cells[0].engine if of_engine else cells[0].pack).name
    count = len(cells)
    return ChartView(
        name=f"{kind}-{(cells[0].engine if of_engine else cells[0].pack).public_id}",
        title=f"{one}: available against required torque, {state}",
        says=_finding(of_engine, one, names, cells),
        spec=_spec(names, cells, view),
        size=next((name for name, most in SIZES if count <= most), "full"),
        table=cell_table(cells, TABLE, view),
        names=tuple(names),
        verdicts=tuple(c.verdict for c in cells),
        chips=tuple(chip_of(c.verdict, c.failed) for c in cells),
        row_heading="Pack" if of_engine else "Engine",
    )


def _finding(of_engine: bool, one: str, names: Sequence[str], cells: Sequence[CellFacts]) -> str:
    total = len(cells)
    things = ("pack" if of_engine else "engine") + ("" if total == 1 else "s")
    told = counted((c.verdict, c.failed) for c in cells)
    text = f"Of {total} {things} shown against {one} the verdict is {told}."
    known = [(c.ratio.value, name) for c, name in zip(cells, names, strict=True) if c.ratio]
    if len(known) > 1:
        most, least = max(known), min(known)
        text += (
            f" The largest ratio is {fast_ratio(most[0])} with {most[1]}, the smallest "
            f"{fast_ratio(least[0])} with {least[1]}."
        )
    return f"{text} Whiskers are 95\u00a0% intervals."


def _spec(names: Sequence[str], cells: Sequence[CellFacts], view: BoardView) -> dict[str, Any]:
    """Rows from the top down; zero is on the axis; whiskers are 95 % intervals."""
    places = [str(i) for i in range(len(cells))]
    chips = [chip_of(c.verdict, c.failed) for c in cells]
    carried = _drawn(places, [c.available for c in cells], view)
    asked = _drawn(places, [c.required for c in cells], view)
    available = _points(carried, "Available", "@available")
    required = _points(asked, "Required", "@required")
    available["marker"] |= {
        "size": 10,
        "symbol": [_MARKS.get(chips[int(place)].key, "circle-open") for place, _ in carried],
        "color": [
            "@limit" if chips[int(place)].key == STOPPED else "@available" for place, _ in carried
        ],
    }
    required["marker"] |= {
        "size": 22,
        "symbol": "line-ns",
        "line": {"width": 2.5, "color": "@required"},
    }
    far = max((figure.high for _, figure in (*carried, *asked)), default=1.0) * 1.06
    labels = [
        f"{short_label(name)}<br>{_verdict_text(cell, chip)}"
        for name, cell, chip in zip(names, cells, chips, strict=True)
    ]
    return {
        "traces": [required, available],
        "layout": {
            "xaxis": {
                "title": {"text": f"Torque, {UNIT_LABEL[view.unit]}"},
                "range": [0, far],
                "rangemode": "tozero",
            },
            "yaxis": {
                "tickvals": places,
                "ticktext": labels,
                "type": "category",
                "ticks": "",
                "range": [len(cells) - 0.4, -0.6],
                "tickfont": {"size": 12},
                "color": "@ink",
            },
            "shapes": _lines(cells, view, far),
        },
    }


def _drawn(
    places: Sequence[str], figures: Sequence[Reading | None], view: BoardView
) -> list[tuple[str, Reading]]:
    """Known figures in the shown unit with their places.

    A figure beyond the range of numbers has no place on an axis; the table still has it.
    """
    return [
        (place, shown_reading(figure, view.unit))
        for place, figure in zip(places, figures, strict=True)
        if figure is not None and math.isfinite(figure.high - figure.low)
    ]


def _points(rows: Sequence[tuple[str, Reading]], name: str, colour: str) -> dict[str, Any]:
    return {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "y": [place for place, _ in rows],
        "x": [figure.value for _, figure in rows],
        "error_x": {
            "type": "data",
            "symmetric": False,
            "color": colour,
            "thickness": 2,
            "width": 5,
            "array": [figure.high - figure.value for _, figure in rows],
            "arrayminus": [figure.value - figure.low for _, figure in rows],
        },
        "marker": {"color": colour},
        "hovertemplate": "%{x:.1f}<extra>" + name + "</extra>",
    }


def _verdict_text(cell: CellFacts, chip: Chip) -> str:
    return chip.word if cell.ratio is None else f"{chip.word} {fast_ratio(cell.ratio.value)}"


def _lines(cells: Sequence[CellFacts], view: BoardView, far: float) -> list[dict[str, Any]]:
    """A dashed line through all rows where they all ask the same torque.

    Its words stand on the side with more room, or a narrow chart would cut them off.
    """
    asked = {c.required.value for c in cells if c.required and math.isfinite(c.required.value)}
    if len(asked) != 1 or len(cells) < 2:
        return []
    (one,) = asked
    x, torque = torque_in(one, view.unit), torque_text(one, view.unit)
    return [
        {
            "type": "line",
            "yref": "paper",
            "y0": 0,
            "y1": 1,
            "x0": x,
            "x1": x,
            "layer": "below",
            "line": {"color": "@required", "dash": "dash", "width": 1.5},
            "label": {
                "text": f"required {torque}",
                "textposition": "end",
                "textangle": 0,
                "xanchor": "right" if x > 0.65 * far else "left" if x < 0.3 * far else "center",
                "font": {"color": "@required"},
            },
        }
    ]


def short_label(name: str) -> str:
    """A name short enough for the axis; what the chart library takes for markup is made plain."""
    plain = re.sub(r"&(?=#?\w+;)", "＆", name.replace("<", "‹").replace(">", "›"))
    return plain if len(plain) <= LONGEST_LABEL else plain[: LONGEST_LABEL - 1] + "…"
