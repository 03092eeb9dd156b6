"""Charts of a friction fit: torque over clamp load, residuals in order and by direction."""

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.comparison.slip_runs import PackFit, RunLoad, law_torque
from app.documents import SlipTest
from app.mechanics.slip_test import FrictionFit
from app.presentation.numbers import NBSP, number_text
from app.presentation.slip_log import signed

LAW_WORDS = {
    "proportional": "proportional",
    "power": "power",
    "lost_load": "lost load",
}
CURVE_POINTS = 41
# Two-sided 95 % of a normal scatter.
REACH = 1.959964
# From so many standard errors on, a slope or a difference is more than scatter.
CLEAR = 2.0
LEAST_RUNS = 4


@dataclass(frozen=True)
class FitChart:
    """A chart with its sentence and the same numbers as a table."""

    name: str
    title: str
    says: str
    spec: dict[str, Any]
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class RunResidual:
    """Mean residual of one run, as a share, with the run it belongs to."""

    number: int
    test: SlipTest
    values: tuple[float, ...]

    @property
    def mean(self) -> float:
        """Mean of the run's residuals, ln of measured over fitted [1]."""
        return statistics.fmean(self.values)


def run_residuals(fit: FrictionFit, tests: Sequence[SlipTest]) -> list[RunResidual]:
    """Residuals of each run that has any, in the order of the runs."""
    found: dict[int, list[float]] = {}
    for residual in fit.residuals:
        if residual.value is not None:
            found.setdefault(residual.run, []).append(residual.value)
    return [RunResidual(i + 1, tests[i], tuple(values)) for i, values in sorted(found.items())]


def per_cent(logarithm: float) -> float:
    """A difference of logarithms as a share in per cent."""
    return 100.0 * (math.exp(logarithm) - 1.0)


def torque_chart(pack: PackFit, fit: FrictionFit) -> FitChart:
    """Torque over clamp load with the law and the band in which 95 % of readings fall."""
    shown = [load for load in pack.loads if load.load.clamp_n]
    first = shown[0].load
    factor = (first.surfaces or 0) * (first.effective_radius_mm or 0.0) / 1000.0
    top = 1.1 * max(load.load.clamp_n or 0.0 for load in shown)
    clamp = [top * i / (CURVE_POINTS - 1) for i in range(CURVE_POINTS)]
    law = fit.fit
    curve = [law_torque(law, f, factor, fit.reference_clamp_n) for f in clamp]
    traces: list[dict[str, Any]] = []
    if law.sigma is not None:
        wide = math.exp(REACH * law.sigma)
        band = {"type": "scatter", "mode": "lines", "hoverinfo": "skip",
                "line": {"width": 0, "color": "@band"}}
        traces += [
            {**band, "x": clamp, "y": [t / wide for t in curve]},
            {**band, "x": clamp, "y": [t * wide for t in curve], "fill": "tonexty",
             "fillcolor": "@band"},
        ]
    traces.append({
        "type": "scatter", "mode": "lines", "x": clamp, "y": curve, "name": "Law",
        "line": {"color": "@available", "width": 2}, "hovertemplate": "%{y:.1f} N·m<extra></extra>",
    })
    rows: list[tuple[str, ...]] = []
    taken_words = {True: "taken", False: "left out"}
    for taken in (True, False):
        traces += _readings(pack, taken)
    for number, (load, taken) in enumerate(zip(pack.loads, pack.taken, strict=True), start=1):
        f = load.load.clamp_n
        at = "" if f is None else number_text(
            law_torque(law, f, factor, fit.reference_clamp_n), decimals=1)
        rows.append((str(number), "not known" if f is None else number_text(f, decimals=0),
                     _readings_words(load), at, taken_words[taken]))
    says = (f"The {LAW_WORDS[law.law]} law passes through {fit.exact} "
            f"{'value' if fit.exact == 1 else 'values'} at "
            f"{fit.levels} clamp {'load' if fit.levels == 1 else 'loads'}")
    says += "; 95\u00a0% of readings fall in the band." if law.sigma is not None else "."
    layout = {
        "xaxis": {"title": {"text": "Clamp load, N"}, "rangemode": "tozero", "range": [0, top]},
        "yaxis": {"title": {"text": "Slip torque, N·m"}, "rangemode": "tozero"},
    }
    return FitChart(
        "torque", "Slip torque over clamp load", says, {"traces": traces, "layout": layout},
        ("Run", "Clamp load, N", "Readings, N·m", "Law, N·m", "Fit"), tuple(rows),
    )


def _readings(pack: PackFit, taken: bool) -> list[dict[str, Any]]:
    """Markers of the runs that are taken, or of those left out: values, at least, at most."""
    kinds: dict[str, tuple[list[float], list[float]]] = {
        "circle": ([], []), "triangle-up": ([], []), "triangle-down": ([], []),
    }
    for load, is_taken in zip(pack.loads, pack.taken, strict=True):
        if is_taken != taken or load.load.clamp_n is None:
            continue
        for reading in load.run.readings:
            shape, torque = "circle", reading.middle_nm
            if torque is None:
                bounded_below = reading.low_nm > 0.0
                shape = "triangle-up" if bounded_below else "triangle-down"
                torque = reading.low_nm if bounded_below else reading.high_nm
            kinds[shape][0].append(load.load.clamp_n)
            kinds[shape][1].append(torque)
    names = {"circle": "Value", "triangle-up": "At least", "triangle-down": "At most"}
    return [
        {
            "type": "scatter", "mode": "markers", "x": x, "y": y, "name": names[shape],
            "marker": {"symbol": shape if taken else f"{shape}-open", "size": 9,
                       "color": "@required" if taken else "@muted"},
            "hovertemplate": f"{names[shape]} %{{y:.1f}} N·m<extra></extra>",
        }
        for shape, (x, y) in kinds.items() if x
    ]


def _readings_words(load: RunLoad) -> str:
    parts = []
    for reading in load.run.readings:
        low, high = reading.low_nm, reading.high_nm
        if reading.exact:
            parts.append(number_text(low))
        elif math.isinf(high):
            parts.append(f"at least {number_text(low)}")
        elif low <= 0.0:
            parts.append(f"at most {number_text(high)}")
        else:
            parts.append(f"{number_text(low)}–{number_text(high)}")
    return "; ".join(parts)


def order_chart(residuals: Sequence[RunResidual]) -> FitChart:
    """Residuals of the runs in their order, which show a drift."""
    rows = tuple(
        (str(r.number), str(r.test.name), signed(per_cent(r.mean), 1), str(len(r.values)))
        for r in residuals
    )
    return FitChart(
        "order", "How far the runs lie off the law, in their order", drift_words(residuals),
        _residual_spec(residuals, [float(r.number) for r in residuals], "Run"),
        ("Run", "Name", "Measured over fitted, %", "Readings"), rows,
    )


def _residual_spec(
    residuals: Sequence[RunResidual], places: Sequence[float], axis: str
) -> dict[str, Any]:
    x = [p for p, r in zip(places, residuals, strict=True) for _ in r.values]
    y = [per_cent(value) for r in residuals for value in r.values]
    return {
        "traces": [
            {"type": "scatter", "mode": "markers", "x": x, "y": y, "name": "Reading",
             "marker": {"color": "@required", "size": 8},
             "hovertemplate": "%{y:+.1f} %<extra></extra>"},
            {"type": "scatter", "mode": "lines+markers", "x": list(places),
             "y": [per_cent(r.mean) for r in residuals], "name": "Mean of the run",
             "line": {"color": "@available", "width": 1.5, "dash": "dot"},
             "marker": {"symbol": "line-ew", "size": 14,
                        "line": {"color": "@available", "width": 2}},
             "hovertemplate": "mean %{y:+.1f} %<extra></extra>"},
        ],
        "layout": {
            "xaxis": {"title": {"text": axis}, "dtick": 1},
            "yaxis": {"title": {"text": "Measured over fitted, %"}, "zeroline": True},
        },
    }


def drift_words(residuals: Sequence[RunResidual]) -> str:
    """Whether the runs drift, by the slope of their means against its standard error."""
    n = len(residuals)
    if n < LEAST_RUNS:
        return f"Fewer than {LEAST_RUNS} runs show no drift either way."
    middle = 0.5 * (n - 1)
    means = [r.mean for r in residuals]
    width = sum((i - middle) ** 2 for i in range(n))
    slope = sum((i - middle) * m for i, m in enumerate(means)) / width
    mean = statistics.fmean(means)
    rest = sum((m - mean - slope * (i - middle)) ** 2 for i, m in enumerate(means)) / (n - 2)
    error = math.sqrt(rest / width)
    change = number_text(abs(per_cent(slope * (n - 1))), digits=2)
    if abs(slope) <= CLEAR * error:
        return "No drift is to be seen over the runs."
    way = "more" if slope > 0 else "less"
    return (f"The runs drift: the last holds about {change}{NBSP}% {way} than the first. Usual "
            "causes (common practice): facings bedding in, an oil film thinning, plates heating.")


def direction_chart(residuals: Sequence[RunResidual]) -> FitChart:
    """Residuals by the direction of slip."""
    groups: dict[str, list[RunResidual]] = {"clockwise": [], "anticlockwise": [], "not said": []}
    for residual in residuals:
        groups[residual.test.direction or "not said"].append(residual)
    shown = {name: group for name, group in groups.items() if group}
    rows = tuple(
        (name, str(len(group)), signed(per_cent(statistics.fmean(r.mean for r in group)), 1))
        for name, group in shown.items()
    )
    traces = [
        {"type": "scatter", "mode": "markers",
         "x": [name for r in group for _ in r.values],
         "y": [per_cent(v) for r in group for v in r.values], "name": name,
         "marker": {"color": "@required", "size": 8},
         "hovertemplate": "%{y:+.1f} %<extra></extra>"}
        for name, group in shown.items()
    ]
    layout = {
        "xaxis": {"type": "category", "title": {"text": "Direction"}},
        "yaxis": {"title": {"text": "Measured over fitted, %"}, "zeroline": True},
    }
    return FitChart(
        "direction", "How far the runs lie off the law, by direction", direction_words(groups),
        {"traces": traces, "layout": layout},
        ("Direction", "Runs", "Mean, measured over fitted, %"), rows,
    )


def direction_words(groups: dict[str, list[RunResidual]]) -> str:
    """Whether the direction matters, by the difference of means against its standard error."""
    one, other = groups["clockwise"], groups["anticlockwise"]
    if len(one) < 2 or len(other) < 2:
        return "The direction tells nothing yet: it takes two runs each way."
    means = [[r.mean for r in group] for group in (one, other)]
    difference = statistics.fmean(means[0]) - statistics.fmean(means[1])
    error = math.sqrt(sum(statistics.variance(m) / len(m) for m in means))
    if abs(difference) <= CLEAR * error:
        return "Both directions agree within their scatter."
    way = "clockwise" if difference > 0 else "anticlockwise"
    share = number_text(abs(per_cent(difference)), digits=2)
    return f"It holds about {share}{NBSP}% more {way}."
