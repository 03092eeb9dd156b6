"""Many ratios at once: interval and slip probability of every pack against every engine.

What `doubt.interval` and `doubt.slip_probability` say of a cell, in the fewest passes over memory:
logarithms are taken of the sides and not of the cells, the quantile polynomial is made once for
the interval and the probability, every pass writes into a ready array that stays in the
processor's cache, and the polynomial is only inverted where the answer is neither 0 nor 1.

A cell's figures are made by the same steps whatever it stands beside, so that it has the same bits
alone and on a board. Cells that the quick steps do not suit go to `doubt` itself.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.mechanics import doubt
from app.mechanics.doubt import BRANCH_TO, Z95
from app.mechanics.traced import Array

# x(±Z) = ±Z (1 + (Z²/24 − 1/8) g2 + (5/36 − Z²/18) g1²) + (Z² − 1) g1/6: the polynomial of
# `doubt.Quantiles` at the interval's ends, sorted by its odd and even part.
_ODD_KURTOSIS = Z95 * (Z95 * Z95 / 24.0 - 1.0 / 8.0)
_ODD_SQUARE = Z95 * (5.0 / 36.0 - Z95 * Z95 / 18.0)
_EVEN = (Z95 * Z95 - 1.0) / 6.0
_GUESSES, _STEPS = 2, 4
_CLOSE = 1e-5
"""Newton's last step: the next would be of the order of its square."""
_ARRAYS = 16


@dataclass(frozen=True, eq=False)
class LogSide:
    """One side of many ratios: value, its logarithm shifted by κ1, cumulants, relative variance.

    Shapes (records,), (records,), (4, records), (records,).
    """

    value: Array
    log: Array
    cumulants: Array
    relative_variance: Array

    @classmethod
    def of(cls, value: Array, cumulants: Array, relative_variance: Array) -> "LogSide":
        """The side with its logarithms; that of 0 is −∞."""
        return cls(value, np.log(value) + cumulants[0], cumulants, relative_variance)

    def rows(self, index: NDArray[np.intp] | slice) -> "LogSide":
        """The side of some records only."""
        return LogSide(
            self.value[index], self.log[index], self.cumulants[:, index],
            self.relative_variance[index],
        )


@dataclass(frozen=True, eq=False)
class Block:
    """Figures of a block of ratios [1], each (packs, engines); they last until the next block."""

    ratio: Array
    std: Array
    low: Array
    high: Array
    p_slip: Array
    spare: Array

    def without(self, factors: Array) -> Array:
        """The ratios with each engine's factor taken out again, R · factor [1]."""
        return np.multiply(self.ratio, factors, out=self.spare)


class Bench:
    """Ready arrays for blocks of up to so many cells; call it with numpy's warnings off."""

    def __init__(self, cells: int) -> None:
        self.cells = cells
        self._arrays = np.empty((_ARRAYS, cells))
        self._marks = np.empty(cells, np.bool_)

    def block(self, above: LogSide, below: LogSide) -> Block:
        """Every ratio of one side to the other.

        κ_r(ln R) = κ_r(above) + (−1)^r κ_r(below); ends R · exp(κ1 + σ x(±1.959964)); probability
        Φ(x⁻¹(−(ln R + κ1)/σ)).

        Args:
            above: N records, torque [N·m].
            below: M records, torque [N·m]; N · M at most the bench's cells.

        Returns:
            Block of shape (N, M).

        Range: as `doubt.interval` and `doubt.slip_probability`, from which it differs by rounding.
        Source: theirs.
        """
        shape = above.value.size, below.value.size
        cells = shape[0] * shape[1]
        flat = self._arrays[:, :cells]
        wide = flat.reshape(_ARRAYS, *shape)
        ratio, std, low, high, chance, _, sd, inverse, skew, kurtosis, x, work = flat[:12]
        k, m = above.cumulants, below.cumulants

        def outer(combine: np.ufunc, a: Array, b: Array, place: int) -> None:
            combine(a[:, None], b, out=wide[place])

        outer(np.divide, above.value, below.value, 0)
        outer(np.add, above.relative_variance, below.relative_variance, 1)
        np.sqrt(std, out=std)
        np.multiply(std, ratio, out=std)
        outer(np.subtract, k[0], m[0], 5)
        outer(np.add, k[1], m[1], 6)
        certain = self._without_doubt(sd) if _may_be_certain(k[1], m[1]) else None
        np.sqrt(sd, out=sd)
        np.reciprocal(sd, out=inverse)
        np.subtract(below.log, above.log[:, None], out=wide[10])
        np.multiply(x, inverse, out=x)
        outer(np.subtract, k[2], m[2], 8)
        outer(np.add, k[3], m[3], 9)
        np.multiply(inverse, inverse, out=work)
        np.multiply(skew, work, out=skew)
        np.multiply(skew, inverse, out=skew)
        np.multiply(kurtosis, work, out=kurtosis)
        np.multiply(kurtosis, work, out=kurtosis)
        self._ends(flat)
        self._chance(flat)
        if certain is not None:
            low[certain] = high[certain] = ratio[certain]
            chance[certain] = np.where(ratio[certain] < 1.0, 1.0, 0.0)
        if np.isnan(above.value).any() or np.isnan(below.value).any():
            chance[np.isnan(ratio)] = np.nan
        return Block(*wide[:6])

    def _without_doubt(self, variance: Array) -> NDArray[np.bool_]:
        found: NDArray[np.bool_] = np.equal(variance, 0.0)
        variance[found] = 1.0
        return found

    def _ends(self, flat: Array) -> None:
        ratio, _, low, high, _, shift, sd, inverse, skew, kurtosis, _, work = flat[:12]
        np.multiply(skew, skew, out=work)
        np.multiply(work, _ODD_SQUARE, out=work)
        np.multiply(kurtosis, _ODD_KURTOSIS, out=inverse)
        np.add(work, inverse, out=work)
        np.add(work, Z95, out=work)
        np.multiply(work, sd, out=work)
        np.multiply(skew, sd, out=inverse)
        np.multiply(inverse, _EVEN, out=inverse)
        np.add(inverse, shift, out=inverse)
        np.subtract(inverse, work, out=low)
        np.add(inverse, work, out=high)
        np.exp(low, out=low)
        np.exp(high, out=high)
        np.multiply(low, ratio, out=low)
        np.multiply(high, ratio, out=high)
        at = _bent(skew, kurtosis)
        if at.size:
            curve = doubt.Quantiles.of(skew[at], kurtosis[at])
            low[at] = ratio[at] * np.exp(shift[at] + sd[at] * curve.at(-Z95))
            high[at] = ratio[at] * np.exp(shift[at] + sd[at] * curve.at(Z95))

    def _chance(self, flat: Array) -> None:
        """Φ(x⁻¹(x)) of each cell.

        With the sign taken out, y = a z³ + b z² + c z rises from 0 to Y at the end h of its
        branch, where z is beyond reach: h = c/(√(b² − 3ac) − b).
        """
        chance, a, end, c, skew, kurtosis, x, y = (flat[i] for i in (4, 5, 6, 7, 8, 9, 10, 11))
        b, side, top, work = flat[12:]
        np.multiply(skew, 1.0 / 6.0, out=b)
        np.add(x, b, out=y)
        np.copysign(1.0, y, out=side)
        np.multiply(b, side, out=b)
        np.absolute(y, out=y)
        np.multiply(skew, skew, out=work)
        np.multiply(work, 5.0 / 36.0, out=c)
        np.multiply(work, 1.0 / 18.0, out=work)
        np.multiply(kurtosis, 1.0 / 24.0, out=a)
        np.subtract(a, work, out=a)
        np.multiply(kurtosis, 0.125, out=work)
        np.subtract(c, work, out=c)
        np.add(c, 1.0, out=c)
        np.multiply(a, c, out=work)
        np.multiply(work, -3.0, out=work)
        np.multiply(b, b, out=end)
        np.add(work, end, out=work)
        np.sqrt(work, out=work)
        np.subtract(work, b, out=work)
        np.multiply(c, 1.0 / BRANCH_TO, out=end)
        # fmax passes over the NaN of a branch without an end.
        np.fmax(work, end, out=work)
        np.divide(c, work, out=end)
        np.multiply(a, end, out=top)
        np.add(top, b, out=top)
        np.multiply(top, end, out=top)
        np.add(top, c, out=top)
        np.multiply(top, end, out=top)
        marks = np.less(y, top, out=self._marks[: x.size])
        # Beyond its branch a cell is certain.
        np.multiply(side, 0.5, out=chance)
        np.add(chance, 0.5, out=chance)
        if not c.min() > 0.0:
            marks |= ~(c > 0.0)
        at = np.flatnonzero(marks)
        if at.size:
            chance[at] = _inverted(
                a[at], b[at], c[at], y[at], end[at], top[at], side[at]
            )


def _may_be_certain(above: Array, below: Array) -> bool:
    return bool(above.min() + below.min() <= 0.0)


def _bent(skew: Array, kurtosis: Array) -> NDArray[np.intp]:
    """Cells whose polynomial may not rise all the way between the interval's ends."""

    def least_slope(size: Array, most_square: Array, least: Array, most: Array) -> Array:
        # x'(z) = 3 a z² + 2 b z + c with a = g2/24 − g1²/18, b = g1/6, c = 1 − g2/8 + 5 g1²/36.
        falls = np.minimum(least / 8.0 - most_square / 6.0, 0.0)
        slope: Array = 1.0 - most / 8.0 - size * (Z95 / 3.0) + falls * (Z95 * Z95)
        return slope

    size = np.maximum(skew.max(), -skew.min())
    if least_slope(size, size * size, kurtosis.min(), kurtosis.max()) > 0.0:
        return np.empty(0, np.intp)
    slope = least_slope(np.abs(skew), skew * skew, kurtosis, kurtosis)
    return np.flatnonzero(~(slope > 0.0))


def _inverted(
    a: Array, b: Array, c: Array, y: Array, end: Array, top: Array, side: Array
) -> Array:
    """Φ(±z) of a z³ + b z² + c z = y on the branch from 0 to its end, shape (n,).

    With w = 1 − z/h, q = 1 − y/Y and C = c h/Y a branch that ends level has
    q = w² (3 − C + (C − 2) w), which gives the start for Newton's steps.
    """
    left = 1.0 - y / top
    slope = c * end
    slope /= top
    rest = 3.0 - slope
    slope -= 2.0
    w = np.sqrt(left)
    for _ in range(_GUESSES):
        w *= slope
        w += rest
        np.divide(left, w, out=w)
        np.sqrt(w, out=w)
    z = end - end * w
    endless = end >= 0.999999 * BRANCH_TO
    np.copyto(z, y / c, where=endless)
    triple, double = 3.0 * a, b + b
    for _ in range(_STEPS):
        miss = a * z
        rise = triple * z
        miss += b
        rise += double
        miss *= z
        rise *= z
        miss += c
        rise += c
        miss *= z
        miss -= y
        miss /= rise
        z -= miss
    chance = doubt.normal_probability(z * side)
    settled = (np.abs(miss) <= _CLOSE) & (z >= 0.0) & (z <= end)
    if not settled.all():
        # What is not settled, or has no branch of the usual shape, is held in a bracket.
        lost = np.flatnonzero(~settled)
        curve = doubt.Quantiles.on_branch(a[lost], (b * side)[lost], c[lost])
        x = ((y - b) * side)[lost]
        chance[lost] = doubt.normal_probability(curve.inverse(x))
    return chance
