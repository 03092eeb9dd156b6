"""An engine's torque drawn over the speed of the shaft: at the crank, and behind the primary gear.

A clutch behind the gear turns slower and carries more. Whoever forgets it chooses a clutch for a
third of the torque that it gets, so the page draws both.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.comparison.working_lines import WorkingLine
from app.documents import Curve, Engine
from app.presentation.numbers import NBSP, column_texts, number_text, with_unit


@dataclass(frozen=True)
class CurveView:
    """The chart with its title, a sentence, and a table of as many columns as it has headings."""

    title: str
    says: str
    spec: dict[str, Any]
    headings: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class _Points:
    """Torque [N·m] at speeds [r/min] of one shaft."""

    where: str
    speeds: Sequence[float]
    torques: Sequence[float]
    entered: bool = False

    @property
    def top(self) -> int:
        """Place of the largest torque."""
        return max(range(len(self.torques)), key=self.torques.__getitem__)

    def peak(self) -> tuple[str, str]:
        """The largest torque and its speed: as entered, or no finer than what is worked out."""
        torque = number_text(self.torques[self.top], digits=6 if self.entered else 3)
        speed = number_text(self.speeds[self.top], digits=6 if self.entered else 4)
        return with_unit(torque, "N·m"), with_unit(speed, "r/min")


def curve_view(engine: Engine, geared: Sequence[WorkingLine]) -> CurveView | None:
    """The torque as a drawing, None where no speed is known.

    Args:
        engine: the record.
        geared: the working of its demand on a clutch behind the primary gear.
    """
    steps = {line.name: line.value for line in geared}
    crank, behind = steps.get("crank_torque_nm"), steps.get("clutch_torque_nm")
    slow = steps.get("clutch_speed_rpm")
    curve = engine.torque
    if isinstance(curve, Curve) and curve.points:
        where = "crank" if curve.at == "crank" else "wheel"
        speeds, torques = zip(*curve.points, strict=True)
        own = _Points(where, speeds, torques, entered=True)
        if crank is None or behind is None or slow is None:
            return _view((own,))
        top, most = own.speeds[own.top], own.torques[own.top]
        at_crank = own if where == "crank" else _Points(
            "crank", speeds, [torque * crank / most for torque in torques])
        behind_it = _Points("clutch", [speed * slow / top for speed in speeds],
                            [torque * behind / most for torque in torques])
        return _view((at_crank, behind_it), own)
    speed = getattr(curve, "speed_rpm", None)
    if speed is None or crank is None or behind is None or slow is None:
        return None
    return _view((_Points("crank", [speed.value], [crank]), _Points("clutch", [slow], [behind])))


_NAMES = {"crank": "at the crank", "wheel": "at the wheel", "clutch": "behind the primary gear"}
_SHORT = {**_NAMES, "clutch": "behind the gear"}
_COLOURS = {"crank": "@required", "wheel": "@required", "clutch": "@available"}


def _view(shafts: tuple[_Points, ...], entered: _Points | None = None) -> CurveView:
    """The view of some shafts; of a curve that was entered for another, its words and columns."""
    own = shafts[0]
    told = shafts if entered is None or entered is own else (entered, *shafts)
    geared = len(shafts) > 1
    across = "Speed of the shaft" if geared else "Crank speed"
    return CurveView(
        title="Torque through the primary gear" if geared else "Torque against crank speed",
        says=" ".join([_first_words(told[0]), *map(_next_words, told[1:])]),
        spec={
            "traces": [_trace(shaft) for shaft in shafts],
            "layout": {
                "xaxis": {
                    "title": {"text": f"{across} [r/min]"},
                    "rangemode": "tozero" if geared else "normal",
                },
                "yaxis": {
                    "title": {"text": "Torque [N·m]" if geared else
                              f"Torque {_NAMES[own.where]} [N·m]"},
                    "rangemode": "tozero",
                },
                "annotations": [_label(shaft, geared) for shaft in shafts],
            },
        },
        headings=tuple(h for shaft in told for h in _columns(shaft, told[0])),
        rows=tuple(zip(*(
            column_texts(list(figures), digits=4)
            for shaft in told for figures in _columns(shaft, told[0]).values()
        ), strict=True)),
    )


def _columns(shaft: _Points, first: _Points) -> dict[tuple[str, str], Sequence[float]]:
    """Headings and figures of a shaft in the table; crank speed stands once."""
    torque = {(f"Torque {_NAMES[shaft.where]}", "N·m"): shaft.torques}
    if shaft.where == "clutch":
        return {("Clutch speed", "r/min"): shaft.speeds} | torque
    return ({("Crank speed", "r/min"): shaft.speeds} if shaft is first else {}) | torque


def _first_words(own: _Points) -> str:
    peak, at = own.peak()
    if len(own.speeds) == 1:
        return f"The torque {_NAMES[own.where]} is {peak} at {at}."
    return (
        f"The largest torque {_NAMES[own.where]} is {peak} at {at}, from {len(own.speeds)} points "
        f"between {number_text(own.speeds[0])} and "
        f"{with_unit(number_text(own.speeds[-1]), 'r/min')}."
    )


def _next_words(shaft: _Points) -> str:
    peak, at = shaft.peak()
    if shaft.where == "crank":
        return f"Through the drive that is {peak} at the crank."
    return f"A clutch behind the primary gear turns slower and gets more: {peak} at {at}."


def _trace(shaft: _Points) -> dict[str, Any]:
    colour = _COLOURS[shaft.where]
    behind = shaft.where == "clutch"
    return {
        "type": "scatter",
        "mode": "lines+markers" if len(shaft.speeds) > 1 else "markers",
        "name": _NAMES[shaft.where],
        "x": list(shaft.speeds),
        "y": list(shaft.torques),
        "line": {"color": colour, "width": 2, "dash": "dash" if behind else "solid"},
        "marker": {"color": colour, "size": 6 if len(shaft.speeds) > 1 else 9,
                   "symbol": "square" if behind else "circle"},
        "hovertemplate": f"%{{x:.0f}} r/min: %{{y:.4g}} N·m {_NAMES[shaft.where]}<extra></extra>",
    }


def _label(shaft: _Points, geared: bool) -> dict[str, Any]:
    peak = shaft.peak()[0].replace(NBSP, " ")
    return {
        "x": shaft.speeds[shaft.top],
        "y": shaft.torques[shaft.top],
        "text": f"{peak}<br>{_SHORT[shaft.where]}" if geared else peak,
        "showarrow": False,
        "yshift": 24 if geared else 14,
        "font": {"color": _COLOURS[shaft.where]},
    }
