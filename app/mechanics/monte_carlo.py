"""Seeded draws of every input, through the same functions that give the nominal values."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from app.mechanics.doubt import NORMAL_UP_TO
from app.mechanics.stack import EngineSheet, PackSheet
from app.mechanics.traced import Array, Column

LEAST_DRAWS = 1_000
USUAL_DRAWS = 200_000
MOST_DRAWS = 2_000_000
USUAL_SEED = 20260101
BLOCK_DRAWS = 16_384
"""Draws that are worked on at a time: whole arrays of draws do not fit into a cache."""

AnySheet = TypeVar("AnySheet", PackSheet, EngineSheet)


@dataclass(frozen=True, eq=False)
class Draws:
    """Summary of drawn values: mean, standard deviation and the middle 95 %, in their own unit."""

    mean: float
    std: float
    low: float
    high: float

    @classmethod
    def of(cls, values: Array) -> "Draws":
        """Summary of draws, shape (draws,); the interval is symmetric in probability.

        Source: JCGM 101:2008, 7.6 and 7.7.
        """
        low, high = np.quantile(values, (0.025, 0.975))
        return cls(float(values.mean()), float(values.std(ddof=1)), float(low), float(high))


def draw_column(column: Column, generator: np.random.Generator, draws: int) -> Column:
    """Exact draws of one record's input, shape (draws, groups).

    A limit is drawn evenly within ± a, a standard uncertainty from the normal distribution, or
    from the log-normal one of the same mean and deviation where it exceeds a fifth of the value.

    Args:
        column: one record's input, shape (1, groups), any unit.
        generator: the seeded source.
        draws: how many [count].

    Returns:
        The draws as an exact Column [unit of the input].

    Range: any doubt; a NaN stays NaN.
    Source: JCGM 101:2008, 6.4.
    """
    # Each group's draws lie together: so they are written, and so they are read.
    value = np.empty((column.value.shape[-1], draws)).T
    for group in range(column.value.shape[-1]):
        x = float(column.value[0, group])
        limit, std = float(column.limit[0, group]), float(column.std[0, group])
        if limit > 0.0:
            value[:, group] = generator.uniform(x - limit, x + limit, draws)
        elif std > NORMAL_UP_TO * abs(x) and x != 0.0:
            spread = math.log1p((std / x) ** 2)
            factor = np.exp(generator.normal(-0.5 * spread, math.sqrt(spread), draws))
            value[:, group] = x * factor
        elif std > 0.0:
            value[:, group] = generator.normal(x, std, draws)
        else:
            value[:, group] = x
    zero = np.zeros((1, 1))
    return Column(value, zero, zero)


def draw_sheet(sheet: AnySheet, generator: np.random.Generator, draws: int) -> AnySheet:
    """The sheet of one record with every doubtful input replaced by its draws.

    Args:
        sheet: one record as columns.
        generator: the seeded source; inputs are drawn in the order of their names.
        draws: how many [count].

    Returns:
        A sheet of `draws` rows without doubt, in the same units.

    Range: one record.
    Source: JCGM 101:2008, 7.2 and 7.3.
    """
    columns: Mapping[str, Column] = {
        name: draw_column(column, generator, draws) if column.doubtful else column
        for name, column in sorted(sheet.columns.items())
    }
    return replace(sheet, columns=columns, records=draws)


def in_blocks(sheet: AnySheet) -> Iterator[tuple[slice, AnySheet]]:
    """A sheet of draws in blocks that stay in the processor's cache while they are worked on.

    Args:
        sheet: of `draw_sheet`.

    Returns:
        The place of each block among the draws, and its sheet, in the same units.

    Range: any number of draws; each draw's figures have the same bits as those of the whole sheet.
    Source: our arrangement.
    """
    for start in range(0, sheet.records, BLOCK_DRAWS):
        place = slice(start, min(start + BLOCK_DRAWS, sheet.records))
        columns = {
            name: Column(c.value[place], c.limit, c.std) if len(c.value) == sheet.records else c
            for name, c in sheet.columns.items()
        }
        yield place, replace(sheet, columns=columns, records=place.stop - place.start)
