"""The same board by other means, each no more exact than it is usually written.

All give the ratio and, but for the last, the ends of its 95 % interval and the chance of slipping,
to first order in the logarithms (a log-normal ratio): what a careful person would write first.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from app.comparison.run import Side
from app.mechanics.doubt import Z95
from app.mechanics.traced import Array

BLOCK_BYTES = 192 * 1024
Figures = tuple[Array, Array, Array, Array]
"""Ratio, low, high, chance; each (packs, engines)."""


@dataclass(frozen=True)
class Both:
    """The two sides of a board: torques and relative standard uncertainties."""

    above: Array
    above_std: Array
    below: Array
    below_std: Array

    @classmethod
    def of(cls, packs: Side, engines: Side) -> "Both":
        """From the program's own sides."""
        return cls(packs.value, np.sqrt(packs.relative_variance), engines.value,
                   np.sqrt(engines.relative_variance))


def blocked(both: Both) -> Callable[[], Figures]:
    """Numpy in blocks of 192 KiB with ready arrays, and a distribution function of five terms."""
    rows, columns = both.above.size, both.below.size
    step = max(1, BLOCK_BYTES // 8 // 8 // columns)
    over, under = np.log(both.above), np.log(both.below)
    first, second = both.above_std**2, both.below_std**2
    out = tuple(np.empty((rows, columns)) for _ in range(4))
    room = np.empty((6, step * columns))

    def work() -> Figures:
        for start in range(0, rows, step):
            end = min(start + step, rows)
            shape = end - start, columns
            middle, sd, low, high, z, q = (r[: shape[0] * columns].reshape(shape) for r in room)
            np.subtract(over[start:end, None], under, out=middle)
            np.add(first[start:end, None], second, out=sd)
            np.sqrt(sd, out=sd)
            np.divide(middle, sd, out=z)
            np.multiply(sd, Z95, out=sd)
            np.exp(middle, out=out[0][start:end])
            np.subtract(middle, sd, out=low)
            np.exp(low, out=out[1][start:end])
            np.add(middle, sd, out=high)
            np.exp(high, out=out[2][start:end])
            _upper_tail(z, q, low, high)
            np.copyto(high, q)
            np.subtract(1.0, q, out=high, where=z < 0.0)
            out[3][start:end] = high
        return out[0], out[1], out[2], out[3]

    return work


def _upper_tail(z: Array, q: Array, t: Array, work: Array) -> None:
    """1 − Φ(|z|) into q, by Abramowitz & Stegun 26.2.17; t and work are room."""
    np.absolute(z, out=q)
    np.minimum(q, 40.0, out=q)
    np.multiply(q, 0.2316419, out=t)
    np.add(t, 1.0, out=t)
    np.reciprocal(t, out=t)
    np.multiply(t, 1.330274429, out=work)
    for factor in (-1.821255978, 1.781477937, -0.356563782, 0.319381530):
        np.add(work, factor, out=work)
        np.multiply(work, t, out=work)
    np.multiply(q, q, out=q)
    np.multiply(q, -0.5, out=q)
    np.exp(q, out=q)
    np.multiply(q, 0.3989422804014327, out=q)
    np.multiply(q, work, out=q)


def loop(both: Both) -> Callable[[], Figures]:
    """Plain Python, the sides' logarithms taken out of the loop."""

    def work() -> Figures:
        packs = [(math.log(v), s * s) for v, s in zip(both.above.tolist(),
                                                      both.above_std.tolist(), strict=True)]
        engines = [(math.log(v), s * s) for v, s in zip(both.below.tolist(),
                                                        both.below_std.tolist(), strict=True)]
        cells = []
        for over, first in packs:
            for under, second in engines:
                middle, sd = over - under, math.sqrt(first + second)
                cells.append((
                    math.exp(middle), math.exp(middle - Z95 * sd), math.exp(middle + Z95 * sd),
                    0.5 * math.erfc(middle / sd * math.sqrt(0.5)),
                ))
        return _as_figures(cells, (len(packs), len(engines)))

    return work


def _as_figures(cells: list[tuple[float, ...]], shape: tuple[int, int]) -> Figures:
    ratio, low, high, chance = (np.reshape(part, shape) for part in zip(*cells, strict=True))
    return ratio, low, high, chance


def by_uncertainties(both: Both) -> Callable[[], Figures]:
    """The library `uncertainties`, each side one variable, symmetric intervals."""
    from uncertainties import ufloat

    above = [ufloat(v, v * s) for v, s in zip(both.above, both.above_std, strict=True)]
    below = [ufloat(v, v * s) for v, s in zip(both.below, both.below_std, strict=True)]

    def work() -> Figures:
        cells = []
        for pack in above:
            for engine in below:
                ratio = pack / engine
                value, sd = ratio.nominal_value, ratio.std_dev
                cells.append((value, value - Z95 * sd, value + Z95 * sd,
                              0.5 * math.erfc((value - 1.0) / sd * math.sqrt(0.5))))
        return _as_figures(cells, (len(above), len(below)))

    return work


def by_pint(both: Both) -> Callable[[], Array]:
    """The library `pint`: the ratio alone, each side a quantity."""
    import pint

    unit = pint.UnitRegistry()
    above = [unit.Quantity(v, "N*m") for v in both.above.tolist()]
    below = [unit.Quantity(v, "N*m") for v in both.below.tolist()]

    def work() -> Array:
        return np.array([[(p / e).to("").magnitude for e in below] for p in above])

    return work
