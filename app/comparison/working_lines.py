"""Lines of a working: each step with formula, substituted values, result and source."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from app.mechanics.stack import PackSheet
from app.mechanics.traced import Column, Traced, variance

SHIGLEY_CLUTCH = "Shigley, Mechanical Engineering Design, ch. 16"
SHIGLEY_SPRING = "Shigley, Mechanical Engineering Design, ch. 10"
DEFINITION = "definition"


@dataclass(frozen=True, slots=True)
class WorkingLine:
    """One step: value and standard uncertainty in `unit`; `group` numbers a spring group."""

    name: str
    value: float
    std: float
    unit: str
    formula: str
    substituted: str
    source: str
    group: int | None = None


def plain(value: float) -> str:
    """A number with the digits needed to repeat the step on a pocket calculator."""
    return f"{value:.7g}"


@dataclass(frozen=True, eq=False)
class Lines:
    """Collects lines; a step that lacks an input is left out."""

    columns: Mapping[str, Column]
    found: list[WorkingLine]

    def add(
        self, name: str, figure: Traced | None, unit: str, formula: str,
        substituted: str | Callable[[int], str], source: str, groups: int | None = None,
    ) -> None:
        """Add a step, once for the record or once for each of its groups."""
        if figure is None:
            return
        std = np.sqrt(variance(figure, self.columns))
        for g in range(groups or 1):
            value = float(figure.value[0, min(g, figure.value.shape[1] - 1)])
            if np.isnan(value) or np.isinf(value):
                continue
            doubt_of = float(std[0, min(g, std.shape[1] - 1)])
            text = substituted if isinstance(substituted, str) else substituted(g)
            self.found.append(WorkingLine(
                name, value, doubt_of, unit, formula, text, source,
                None if groups is None else g,
            ))


def number(figure: Traced, group: int = 0) -> str:
    """A traced figure of one record, or of one of its groups, as `plain` writes it."""
    return plain(float(figure.value[0, min(group, figure.value.shape[1] - 1)]))


def entered(sheet: PackSheet, name: str, group: int = 0) -> str:
    """An input of one record as `plain` writes it."""
    return number(sheet.get(name), group)
