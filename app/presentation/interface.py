"""Results as the JSON interface writes them: names and units of the contract, no rounding."""

import math
from typing import Any

from app.comparison.cell import CellResult, Drawn, Reading
from app.mechanics.coil_spring import RateFit
from app.mechanics.monte_carlo import Draws
from app.mechanics.validity import Caution


def finite(figure: float | None) -> float | None:
    """The figure, or None for one that no JSON number can write.

    Lengths of 1e-300 mm are no slip that physics excludes, but their squares leave the range of
    numbers, and with them the doubt.
    """
    return figure if figure is not None and math.isfinite(figure) else None


def reading(figure: Reading | None) -> dict[str, float | None] | None:
    """{value, std, low, high}, or None where the figure is not known."""
    if figure is None or not math.isfinite(figure.value):
        return None
    return _reading(figure.value, figure.std, figure.low, figure.high)


def drawn_reading(figure: Draws | None) -> dict[str, float | None] | None:
    """{value, std, low, high} of drawn values: mean, standard deviation, middle 95 %."""
    if figure is None or not math.isfinite(figure.mean):
        return None
    return _reading(figure.mean, figure.std, figure.low, figure.high)


def _reading(value: float, *doubt: float) -> dict[str, float | None]:
    std, low, high = map(finite, doubt)
    return {"value": value, "std": std, "low": low, "high": high}


def caution(remark: Caution) -> dict[str, str]:
    """{code, text} and, where there is one, the path of the figure it is about."""
    found = {"code": remark.code, "text": remark.text}
    return found if remark.where is None else {**found, "where": remark.where}


def evaluation(result: CellResult) -> dict[str, Any]:
    """The answer to an evaluation; figures that are not known are left out."""
    figures = {
        "capacity_nm": reading(result.capacity),
        "required_nm": reading(result.required),
        "ratio": reading(result.ratio),
        "ratio_without_factor": reading(result.ratio_without_factor),
        "p_slip": finite(result.p_slip),
        "monte_carlo": _monte_carlo(result.drawn),
    }
    working = [
        {
            "name": line.name, "value": finite(line.value), "std": finite(line.std),
            "unit": line.unit, "formula": line.formula, "substituted": line.substituted,
            "source": line.source,
            **({} if line.group is None else {"group": line.group}),
        }
        for line in result.working
    ]
    return {
        **{name: figure for name, figure in figures.items() if figure is not None},
        "verdict": result.verdict,
        "heavy": result.heavy,
        "missing": list(result.missing),
        "warnings": [caution(c) for c in result.cautions],
        "working": working,
        "variance": [{"input": path, "share": share} for path, share in result.shares
                     if math.isfinite(share)],
    }


def _monte_carlo(drawn: Drawn | None) -> dict[str, Any] | None:
    if drawn is None:
        return None
    figures = {
        "capacity_nm": drawn_reading(drawn.capacity),
        "required_nm": drawn_reading(drawn.required),
        "ratio": drawn_reading(drawn.ratio),
        "p_slip": finite(drawn.p_slip),
        "agrees": drawn.agrees,
    }
    known = {name: figure for name, figure in figures.items() if figure is not None}
    return {"draws": drawn.draws, "seed": drawn.seed, **known}


def fitted_rate(fit: RateFit) -> dict[str, Any]:
    """The answer to a rate from load points; a doubt that can't be known is null, and said."""
    found: dict[str, Any] = {
        "rate_n_per_mm": {
            "value": fit.rate, "std": fit.rate_std, "low": fit.low, "high": fit.high,
        },
        "residual_std_n": fit.residual_std,
        "degrees_of_freedom": fit.freedom,
    }
    if fit.intercept is not None:
        found["intercept_n"] = {
            "value": fit.intercept, "std": fit.intercept_std,
            "low": fit.intercept_low, "high": fit.intercept_high,
        }
    return found
