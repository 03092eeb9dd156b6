"""The chart of displacement classes: bands of demand, and what chosen packs surely carry."""

from collections.abc import Sequence
from typing import Any

from app.comparison.board_view import TorqueUnit
from app.comparison.class_board import PackInClasses
from app.comparison.classes import Demand
from app.presentation.board_chart import short_label
from app.presentation.numbers import number_text
from app.presentation.torques import UNIT_LABEL, torque_in

# More capacity lines than this make a chart that nobody can read.
MOST_LINES = 6
# Part of the axis that one line of text takes.
LABEL_ROOM = 0.08
# Pixels of a sign at the labels' size, of what stands before a label, and of the widest margin.
_SIGN, _LEAD, _WIDEST = 6.8, 22.0, 150.0


def class_chart(
    demands: Sequence[Demand], packs: Sequence[PackInClasses], unit: TorqueUnit
) -> dict[str, Any]:
    """Bands as bars, each pack's lower end as a line with its name at the right.

    Args:
        demands: of one mounting [N·m].
        packs: of the same mounting, with known capacities; more than MOST_LINES are not drawn.
        unit: in which torques are shown.
    """
    places = [number_text(d.row.displacement_cc) for d in demands]
    at = list(range(len(places)))
    low, middle, high = (
        [torque_in(x, unit) for x in ends]
        for ends in zip(*((d.low_nm, d.middle_nm, d.high_nm) for d in demands), strict=True)
    )
    ends = [-0.6, len(places) - 0.4]
    traces: list[dict[str, Any]] = [
        {"type": "bar", "name": "Demand", "x": at, "base": low,
         "y": [b - a for a, b in zip(low, high, strict=True)],
         "marker": {"color": "@band", "line": {"color": "@required", "width": 1}}, "width": 0.6,
         "hovertemplate": "%{text} cm³: %{base:.1f} to %{customdata:.1f}<extra></extra>",
         "text": places, "textposition": "none", "customdata": high},
        # A stroke across each bar; the gaps between them part the line.
        {"type": "scatter", "mode": "lines", "name": "Middle",
         "x": [x for place in at for x in (place - 0.3, place + 0.3, None)],
         "y": [y for torque in middle for y in (torque, torque, None)],
         "line": {"color": "@required", "width": 1.5}, "hoverinfo": "skip"},
    ]
    notes: list[dict[str, Any]] = []
    for number, pack in enumerate(packs[:MOST_LINES]):
        if pack.capacity is None:
            continue
        name, carried = short_label(pack.entry.name), torque_in(pack.capacity.low, unit)
        colour = ("@available", "@second", "@third")[number % 3]
        dash = ("solid", "dash", "dot")[number // 3 % 3]
        traces.append({
            "type": "scatter", "mode": "lines", "name": name, "x": ends,
            "y": [carried, carried], "line": {"color": colour, "width": 2, "dash": dash},
            "hovertemplate": f"{name}: %{{y:.1f}}<extra></extra>",
        })
        # A thin line leads from the pack's own to its name, which may have to move aside.
        notes.append({
            "x": 1.0, "xref": "paper", "y": carried, "yref": "y", "text": name,
            "ax": _LEAD - 6.0, "axref": "pixel", "ay": carried, "ayref": "y",
            "showarrow": True, "arrowhead": 0, "arrowwidth": 1, "arrowcolor": colour,
            "xanchor": "left", "yanchor": "middle", "align": "left",
            "font": {"color": colour, "size": 12},
        })
    top = 1.08 * max([*high, *(n["y"] for n in notes)], default=1.0)
    _spread_out(notes, LABEL_ROOM * top, top)
    longest = max((len(n["text"]) for n in notes), default=0)
    # The axis is not logarithmic: the reader compares heights, and zero is where torque ends.
    layout = {
        "xaxis": {"title": {"text": "Displacement class, cm³"}, "tickvals": at,
                  "ticktext": places, "range": ends, "showgrid": False},
        "yaxis": {"title": {"text": f"Torque at the clutch, {UNIT_LABEL[unit]}"},
                  "rangemode": "tozero", "range": [0.0, top]},
        "margin": {"r": min(_LEAD + _SIGN * longest, _WIDEST) if notes else 12.0},
        "annotations": notes, "barmode": "overlay",
    }
    return {"traces": traces, "layout": layout}


def _spread_out(notes: Sequence[dict[str, Any]], room: float, top: float) -> None:
    """Move labels until no two stand within `room` of each other: up, then down from the top."""
    rising = sorted(notes, key=lambda n: float(n["ay"]))
    last = -0.5 * room
    for note in rising:
        note["ay"] = last = max(float(note["ay"]), last + room)
    last = top + 0.5 * room
    for note in reversed(rising):
        note["ay"] = last = min(float(note["ay"]), last - room)
