"""What a torque figure leaves open, ready for a page: checks, wear, speed, single changes."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from app.comparison.beyond import Beyond
from app.comparison.board_view import BoardView, TorqueUnit
from app.comparison.changes import Option
from app.comparison.check import Check
from app.comparison.disc_curve import DiscCurve
from app.comparison.failed_checks import NAMES
from app.comparison.speed_curve import Bite, SpeedCurve
from app.comparison.wear import WearCurve, WearReserve
from app.mechanics.traced import Array
from app.presentation.board_failed import FAILED_WORDS, listed
from app.presentation.numbers import MINUS, NBSP, NOT_KNOWN, number_text
from app.presentation.pack_sheet import facing_word
from app.presentation.spring_choice import SpringLines
from app.presentation.torques import UNIT_LABEL, fast_ratio, torque_in

TONES = {"pass": "holds", "caution": "tight", "fail": "slips", "not known": "unknown"}
OUTCOME_WORDS = {"pass": "Passes", "caution": "Mind", "fail": "Fails", "not known": "Not known"}
CHANGE_WORDS = {
    "shim_mm": "Shim under the springs",
    "rate_n_per_mm": "Other springs",
    "force_n": "Clamp load",
    "installed_deflection_mm": "Deflection of the disc spring",
    "in_parallel": "Disc springs in parallel",
    "weight_mass_g": "Heavier or lighter weights",
    "return_force_n": "Return springs",
    "friction_plates": "Plates",
    "friction": "Another facing",
    "primary_ratio": "Primary ratio",
}
TABLE_ROWS = 9


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check in words; tone is a verdict's key, `head` what happens where it fails."""

    name: str
    outcome: str
    tone: str
    text: str
    source: str
    head: str = ""


@dataclass(frozen=True, slots=True)
class OptionRow:
    """One change in words."""

    name: str
    by: str
    ratio: str
    possible: bool
    consequences: tuple[str, ...]
    why_not: str


@dataclass(frozen=True)
class Curve:
    """A chart with its finding and the same numbers as a table."""

    name: str
    title: str
    says: str
    spec: dict[str, Any]
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def check_rows(found: Sequence[Check]) -> tuple[CheckRow, ...]:
    """Checks as rows, the failed first."""
    order = ("fail", "caution", "not known", "pass")
    return tuple(
        CheckRow(c.name[:1].upper() + c.name[1:], OUTCOME_WORDS[c.outcome], TONES[c.outcome],
                 c.text, c.source, _head(c.name) if c.outcome == "fail" else "")
        for c in sorted(found, key=lambda c: order.index(c.outcome))
    )


def _head(name: str) -> str:
    """What happens where a check fails, as a sentence begins."""
    known = NAMES.get(name.split(",")[0])
    words = f"{name} fails" if known is None else FAILED_WORDS[known]
    return words[:1].upper() + words[1:]


def option_rows(options: Sequence[Option]) -> tuple[OptionRow, ...]:
    """Changes as rows, the possible first."""
    return tuple(
        OptionRow(
            CHANGE_WORDS.get(o.change, o.change), _by(o),
            NOT_KNOWN if o.result_ratio is None else fast_ratio(o.result_ratio), o.possible,
            # Facings stand in them by their names in the table.
            tuple(map(facing_word, o.consequences)), o.why_not or "",
        )
        for o in sorted(options, key=lambda o: not o.possible)
    )


def _by(option: Option) -> str:
    if option.by is None:
        return ""
    sign = "+" if option.by > 0.0 else MINUS if option.by < 0.0 else ""
    unit = "" if option.unit == "1" else f"{NBSP}{option.unit}"
    if option.unit == "plates":
        unit = f"{NBSP}{'pair' if abs(option.by) == 1.0 else 'pairs'}"
    return f"{sign}{number_text(abs(float(f'{option.by:.3g}')))}{unit}"


def _band(x: Array, low: Array, high: Array, name: str) -> dict[str, Any]:
    """A filled band: out along the upper end, back along the lower."""
    ends = np.isfinite(low) & np.isfinite(high)
    along = [*x[ends].tolist(), *x[ends][::-1].tolist()]
    edge = [*high[ends].tolist(), *low[ends][::-1].tolist()]
    return {
        "type": "scatter", "mode": "lines", "name": name, "x": along, "y": edge, "fill": "toself",
        "fillcolor": "@band", "line": {"width": 0, "color": "@band"}, "hoverinfo": "skip",
    }


def _line(x: Array, y: Array, name: str, colour: str, dash: str = "solid") -> dict[str, Any]:
    known = np.isfinite(y)
    return {
        "type": "scatter", "mode": "lines", "name": name, "x": x[known].tolist(),
        "y": y[known].tolist(), "line": {"color": colour, "width": 2, "dash": dash},
    }


def _note(x: float, y: float, text: str, colour: str, **more: Any) -> dict[str, Any]:
    return {"x": x, "y": y, "text": text, "showarrow": False, "xanchor": "left",
            "yanchor": "bottom", "font": {"color": colour, "size": 12}, **more}


def _texts(*columns: Array, decimals: Sequence[int]) -> tuple[tuple[str, ...], ...]:
    picks = np.unique(np.linspace(0, len(columns[0]) - 1, TABLE_ROWS).astype(int))
    return tuple(
        tuple(NOT_KNOWN if not np.isfinite(c[i]) else number_text(float(c[i]), decimals=d)
              for c, d in zip(columns, decimals, strict=True))
        for i in picks
    )


def wear_chart(
    curve: WearCurve, required_nm: float | None, reserve: WearReserve | None,
    limit_mm: float | None, unit: TorqueUnit,
) -> Curve | None:
    """Capacity over the wear of the stack with its band, the required torque and the limit."""
    if np.count_nonzero(np.isfinite(curve.capacity)) < 2:
        return None  # one point is no curve: how the clamp falls is not known
    capacity, low, high = (
        np.array([torque_in(float(v), unit) for v in part])
        for part in (curve.capacity, curve.low, curve.high)
    )
    traces = [_band(curve.wear, low, high, "95 % interval"),
              _line(curve.wear, capacity, "Available", "@available")]
    notes = []
    end = float(curve.wear[-1])
    if required_nm is not None:
        asked = torque_in(required_nm, unit)
        traces.append(_line(np.array([0.0, end]), np.array([asked, asked]), "Required",
                            "@required", "dash"))
        notes.append(_note(0.0, asked, "required", "@required"))
    top = float(np.nanmax(high))
    if limit_mm is not None:
        traces.append(_line(np.array([limit_mm, limit_mm]), np.array([0.0, top]),
                            "Facings' limit", "@limit", "dot"))
        notes.append(_note(limit_mm, 0.0, " facings’ limit", "@limit",
                           xanchor="right" if limit_mm > 0.6 * end else "left"))
    says = reserve.words[:1].upper() + reserve.words[1:] + "." if reserve is not None else (
        f"From {number_text(float(capacity[0]), decimals=1)} to "
        f"{number_text(float(capacity[-1]), decimals=1)}{NBSP}{UNIT_LABEL[unit]} over "
        f"{number_text(end)}{NBSP}mm of stack wear.")
    rising = np.nanmax(capacity) > capacity[0] * 1.001
    if rising:
        says += " The clamp rises at first as the facings wear: a disc spring past its top does so."
    return Curve(
        "wear", "Torque carried as the facings wear", says,
        {"traces": traces, "layout": {
            "xaxis": {"title": {"text": "Wear of the whole stack, mm"}, "rangemode": "tozero"},
            "yaxis": {"title": {"text": f"Torque, {UNIT_LABEL[unit]}"}, "rangemode": "tozero"},
            "annotations": notes,
        }},
        ("Wear, mm", "Clamp, N", f"Available, {UNIT_LABEL[unit]}", "Lower end", "Upper end"),
        _texts(curve.wear, curve.clamp, capacity, low, high, decimals=(2, 0, 1, 1, 1)),
    )


def speed_chart(curve: SpeedCurve, found: Bite, unit: TorqueUnit) -> Curve:
    """Capacity of an automatic pack over crank speed against what the engine delivers."""
    capacity, low, high, required = (
        np.array([torque_in(float(v), unit) for v in part])
        for part in (curve.capacity, curve.low, curve.high, curve.required)
    )
    traces = [_band(curve.speed, low, high, "95 % interval"),
              _line(curve.speed, capacity, "Available", "@available"),
              _line(curve.speed, required, "Required", "@required", "dash")]
    return Curve(
        "speed", "Torque carried over crank speed", found.words,
        {"traces": traces, "layout": {
            "xaxis": {"title": {"text": "Crank speed, r/min"}, "rangemode": "tozero"},
            "yaxis": {"title": {"text": f"Torque at the clutch, {UNIT_LABEL[unit]}"},
                      "rangemode": "tozero"},
            "annotations": [_note(float(curve.speed[0]), float(required[0]), "required",
                                  "@required")],
        }},
        ("Crank speed, r/min", f"Available, {UNIT_LABEL[unit]}", "Lower end", "Upper end",
         f"Required, {UNIT_LABEL[unit]}"),
        _texts(curve.speed, capacity, low, high, required, decimals=(0, 1, 1, 1, 1)),
    )


def _beside(curve: DiscCurve, at: float) -> str:
    """Where a point's word stands clear of the curve: below it on a slope, above it at a top."""
    step = float(curve.deflection[-1] - curve.deflection[0]) / 50.0
    before, after = np.interp([at - step, at + step], curve.deflection, curve.load)
    rise = float(after - before) / float(np.max(curve.load))
    return "bottom right" if rise > 0.02 else "bottom left" if rise < -0.02 else "top center"


def disc_chart(curve: DiscCurve) -> Curve:
    """Load of a disc spring over its deflection, with the new, worn and lifted points."""
    names = ", ".join(f"{p.name} {number_text(p.load_n, decimals=0)}{NBSP}N" for p in curve.points)
    says = f"Clamp load: {names}."
    if curve.rises_with_wear:
        says += " The clamp rises as the facings wear: new, the spring works past its top."
    traces = [_line(curve.deflection, curve.load, "Load", "@available")]
    traces.append({
        "type": "scatter", "mode": "markers+text", "x": [p.deflection_mm for p in curve.points],
        "y": [p.load_n for p in curve.points], "text": [p.name for p in curve.points],
        "textposition": [_beside(curve, p.deflection_mm) for p in curve.points],
        "name": "Working points",
        "marker": {"color": "@required", "size": 10, "symbol": "diamond"},
        "textfont": {"color": "@ink", "size": 12}, "cliponaxis": False,
    })
    return Curve(
        "disc", "Load of the disc spring over its deflection", says,
        {"traces": traces, "layout": {
            "xaxis": {"title": {"text": "Deflection of the stack, mm"}, "rangemode": "tozero"},
            "yaxis": {"title": {"text": "Load, N"}, "rangemode": "tozero"},
        }},
        ("Deflection, mm", "Load, N"),
        _texts(curve.deflection, curve.load, decimals=(2, 0)),
    )


@dataclass(frozen=True)
class BeyondView:
    """What a cell's torque leaves open, ready for its page.

    `target` is as typed, with its error; `asked` is whether it was typed.
    """

    checks: tuple[CheckRow, ...]
    wear: Curve | None
    wear_says: str
    speed: Curve | None
    disc: Curve | None
    target: str
    target_error: str
    changes_say: str
    options: tuple[OptionRow, ...]
    keep: tuple[tuple[str, str], ...]
    launch_address: str
    springs: SpringLines | None
    asked: bool = False

    @property
    def failed(self) -> tuple[CheckRow, ...]:
        """The checks that fail."""
        return tuple(row for row in self.checks if row.tone == "slips")

    @property
    def passed(self) -> tuple[CheckRow, ...]:
        """The checks that pass."""
        return tuple(row for row in self.checks if row.tone == "holds")

    @property
    def open_checks(self) -> tuple[CheckRow, ...]:
        """The checks that fail, ask for care, or can't be told."""
        return tuple(row for row in self.checks if row.tone != "holds")

    @property
    def can(self) -> tuple[OptionRow, ...]:
        """The changes that can be made."""
        return tuple(row for row in self.options if row.possible)

    @property
    def cannot(self) -> tuple[OptionRow, ...]:
        """Those that can't."""
        return tuple(row for row in self.options if not row.possible)

    @property
    def cannot_say(self) -> str:
        """Which changes can't do it, in a line."""
        names = [row.name for row in self.cannot]
        many = "1 change" if len(names) == 1 else f"{len(names)} changes"
        small = [name[:1].lower() + name[1:] for name in names]
        return f"{many} cannot do it: {listed(small)}"

    @property
    def curves(self) -> tuple[Curve, ...]:
        """The charts that there are."""
        return tuple(curve for curve in (self.wear, self.disc, self.speed) if curve)


def beyond_view(
    found: Beyond, view: BoardView, ids: tuple[str, str], typed: str = "", error: str = "",
    springs: SpringLines | None = None,
) -> BeyondView:
    """The sections of a cell's page beyond torque.

    Args:
        found: what was worked out.
        view: state and unit.
        ids: public ids of pack and engine.
        typed: the wanted ratio as typed, for drawing the form again.
        error: what is wrong with it.
        springs: recorded springs that would do.
    """
    rows = check_rows(found.checks)
    unit = view.unit
    words = found.reserve.words
    return BeyondView(
        checks=rows,
        wear=None if found.curve is None else wear_chart(
            found.curve, found.required_nm, found.reserve, found.limit_mm, unit),
        wear_says=words[:1].upper() + words[1:] + ".",
        speed=speed_chart(found.speed, found.bite, unit) if found.speed and found.bite else None,
        disc=None if found.disc is None else disc_chart(found.disc),
        target=typed or number_text(found.target),
        target_error=error,
        changes_say=_changes_say(found),
        options=option_rows(found.options),
        keep=tuple(view.state_pairs()),
        launch_address=view.cell_address(*ids).replace(
            f"/cell/{ids[0]}/{ids[1]}", f"/cell/{ids[0]}/{ids[1]}/launch"),
        springs=springs if found.options else None,
        asked=bool(typed),
    )


def _changes_say(found: Beyond) -> str:
    """What the changes are solved for, and whether the cell is already there."""
    target = fast_ratio(found.target)
    if found.ratio is not None and found.ratio >= found.target:
        return (f"The ratio is {fast_ratio(found.ratio)} already; these changes show what could be "
                f"given up down to {target}.")
    return (f"Each alone brings the ratio to {target} or above. Unless you ask for another, that "
            "is where the pack would surely hold, with its figures as well known as now.")
