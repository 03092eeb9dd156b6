"""Doubt of products: cumulants of logarithms, quantiles, slip probability, shares of variance.

Capacity, demand and their ratio are products, so the logarithm of each is a sum of independent
terms, and the cumulants of a sum are the sums of the cumulants. An input enters with its
first-order logarithmic weight c = (∂f/∂x)·x/f and contributes c^r κ_r.

Cumulants are arrays of shape (4, …): κ1 relative to ln of the nominal value, then κ2, κ3, κ4.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from app.mechanics.traced import Array, Column, Mask, Traced, in_order, variance

Z95 = 1.959964
# Below this relative half-width the closed forms lose digits by cancellation.
SERIES_BELOW = 0.05
# Above this relative standard uncertainty a normal factor would reach zero; read as log-normal.
NORMAL_UP_TO = 0.2
# A term of a sum with more relative doubt than this enters by the sum (see log_cumulants).
LINEAR_ABOVE = 0.5
# One rectangular doubt with more than this share of the variance: the ends can be off by 19 %.
DOMINANT_SHARE = 0.8
# The quantile polynomial is used no further from the middle, in standard units.
BRANCH_TO = 9.0


def rectangular_log_cumulants(relative_limit: ArrayLike) -> Array:
    """First four cumulants of ln(1 + ρ u), u uniform on [−1, 1].

    With h = artanh ρ: κ1 = ½ ln(1−ρ²) + h coth h − 1; κ2 = 1 − h²/sinh²h;
    κ3 = 2 h³ cosh h/sinh³h − 2; κ4 = 6 − h⁴ (4 cosh²h + 2)/sinh⁴h; below ρ = 0.05 their series.

    Args:
        relative_limit: ρ = a/|x| [1], any shape.

    Returns:
        Cumulants [1], shape (4, *shape of ρ).

    Range: 0 ≤ ρ < 1.
    Source: our derivation, held against numerical quadrature in the tests.
    """
    rho = np.asarray(relative_limit, dtype=np.float64)
    square = rho * rho
    series = np.stack(
        [
            -square / 6.0 - square**2 / 20.0,
            square / 3.0 + 7.0 * square**2 / 45.0 + 29.0 * square**3 / 315.0,
            -2.0 * square**2 / 15.0 - 128.0 * square**3 / 945.0,
            -2.0 * square**2 / 15.0 - 16.0 * square**3 / 315.0,
        ]
    )
    wide = rho >= SERIES_BELOW
    if not np.any(wide):
        return series
    h = np.arctanh(np.where(wide, rho, 0.5))
    sinh, cosh = np.sinh(h), np.cosh(h)
    closed = np.stack(
        [
            0.5 * np.log1p(-np.where(wide, square, 0.25)) + h * cosh / sinh - 1.0,
            1.0 - (h / sinh) ** 2,
            2.0 * (h / sinh) ** 3 * cosh - 2.0,
            6.0 - (h / sinh) ** 4 * (4.0 * cosh * cosh + 2.0),
        ]
    )
    return np.where(wide, closed, series)


def normal_log_cumulants(relative_std: ArrayLike) -> Array:
    """First four cumulants of ln X for a normal X, or of a log-normal one where the doubt is large.

    c = s/|x| ≤ 0.2: −c²/2 − 3c⁴/4; c² + 5c⁴/2; −3c⁴; 20c⁶. Above, the log-normal with the same
    mean and standard deviation: −½ ln(1+c²); ln(1+c²); 0; 0.

    Args:
        relative_std: c = s/|x| [1], any shape.

    Returns:
        Cumulants [1], shape (4, *shape of c).

    Range: c ≥ 0.
    Source: series of ln(1 + c z), our derivation; held against quadrature in the tests.
    """
    c = np.asarray(relative_std, dtype=np.float64)
    square = c * c
    narrow = np.stack(
        [
            -square / 2.0 - 0.75 * square**2,
            square + 2.5 * square**2,
            -3.0 * square**2,
            20.0 * square**3,
        ]
    )
    if not np.any(c > NORMAL_UP_TO):
        return narrow
    spread = np.log1p(square)
    zero = np.zeros_like(spread)
    return np.where(c > NORMAL_UP_TO, np.stack([-0.5 * spread, spread, zero, zero]), narrow)


def log_cumulants(figure: Traced, columns: Mapping[str, Column]) -> Array:
    """Cumulants of ln f from the cumulants of ln of its inputs.

    κ_r(ln f) = Σ c_i^r κ_r(ln x_i), c_i = (∂f/∂x_i) x_i/f. A term of a sum whose own doubt is
    large beside its value (a shim of 0.1 ± 0.2 mm) has no logarithm; the sum then is what is
    doubtful, by e = |∂f/∂x| a/f: κ_r of 1 + e u; from e = 1 on linearly, κ2 = e²/3, κ4 = −2e⁴/15.

    Args:
        figure: f > 0 with its partials, shape (records, 1).
        columns: the inputs by name; their units cancel.

    Returns:
        Cumulants [1], shape (4, records).

    Range: first order in sums and differences; exact for products of factors with ρ < 1, and for
        one such term above the line of a fraction.
    Source: JCGM 100:2008 5.1.2 for the weights; cumulants of a sum, our use.
    """
    records = figure.value.shape[0]
    total = np.zeros((4, records))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # Sorted, so that a record's sum has the same bits whatever it is stacked with.
        for name in sorted(figure.partials):
            column = columns[name]
            slope = figure.partials[name] / figure.value
            total += in_order(_input_cumulants(slope, column))
    return np.where(figure.value[:, 0] > 0.0, total, 0.0)


def _input_cumulants(slope: Array, column: Column) -> Array:
    weight = slope * column.value
    size = np.abs(column.value)
    powers = np.stack([weight, weight**2, weight**3, weight**4])
    # A factor's weight may come out a last digit below 1; it is a factor all the same.
    added = np.abs(weight) < 1.0 - 1e-9
    parts = np.zeros((4, *np.broadcast_shapes(weight.shape, column.value.shape)))
    if np.any(column.limit > 0.0):
        rho = column.limit / size
        as_term = (rho > LINEAR_ABOVE) & added | (rho >= 1.0)
        effect = np.abs(slope) * column.limit
        relative, scale = _own_or_term(as_term, rho, powers, effect)
        beyond = as_term & (effect >= 1.0)
        known = np.where(np.isfinite(relative) & ~beyond, relative, 0.0)
        parts = parts + np.where(known > 0.0, scale * rectangular_log_cumulants(known), 0.0)
        # A term that can outweigh the whole sum has no logarithm at all.
        square, zero = effect**2, np.zeros_like(effect)
        linear = np.stack([zero, square / 3.0, zero, -2.0 * square * square / 15.0])
        parts = parts + np.where(beyond & (column.limit > 0.0), linear, 0.0)
    if np.any(column.std > 0.0):
        c = np.where(column.std > 0.0, column.std / size, 0.0)
        as_term = ~np.isfinite(c) | ((c > LINEAR_ABOVE) & added)
        relative, scale = _own_or_term(as_term, c, powers, np.abs(slope) * column.std)
        known = np.where(np.isfinite(relative), relative, 0.0)
        parts = parts + np.where(known > 0.0, scale * normal_log_cumulants(known), 0.0)
    return parts


def _own_or_term(
    as_term: Mask, own: Array, powers: Array, effect: Array
) -> tuple[Array, Array]:
    """Relative doubt and the powers of its weight: the input's own, or the sum's by this term."""
    return np.where(as_term, effect, own), np.where(as_term, 1.0, powers)


def ratio_cumulants(above: Array, below: Array) -> Array:
    """Cumulants of ln(A/B) for independent A and B: κ_r(A) + (−1)^r κ_r(B).

    Args:
        above: cumulants of ln A [1], shape (4, …).
        below: cumulants of ln B [1], shape (4, …), broadcast against above.

    Returns:
        Cumulants [1], shape (4, …).

    Range: any; A and B must share no doubtful input.
    Source: cumulants of a sum of independent variables.
    """
    signs = np.array([-1.0, 1.0, -1.0, 1.0]).reshape((4,) + (1,) * (below.ndim - 1))
    ratio: Array = above + signs * below
    return ratio


def normal_probability(z: ArrayLike) -> Array:
    """Φ(z), the standard normal distribution, absolute error below 7.5e-8.

    Φ(z) = 1 − φ(z)(b1 t + … + b5 t⁵), t = 1/(1 + 0.2316419 z) for z ≥ 0, by symmetry below.

    Args:
        z: standard units [1], any shape.

    Returns:
        Probability [1], same shape.

    Range: any finite or infinite z.
    Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 26.2.17.
    """
    z = np.asarray(z, dtype=np.float64)
    size = np.minimum(np.abs(z), 40.0)
    t = 1.0 / (1.0 + 0.2316419 * size)
    poly = t * (
        0.319381530
        + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429)))
    )
    tail = np.exp(-0.5 * size * size) * (poly * 0.3989422804014327)
    chance: Array = np.where(z > 0.0, 1.0 - tail, tail)
    return chance


@dataclass(frozen=True, eq=False)
class Quantiles:
    """The quantile polynomial of a nearly normal variable, in standard units.

    x(z) = z + (z²−1) g1/6 + (z³−3z) g2/24 − (2z³−5z) g1²/36 = ((a z + b) z + c) z + d, with its
    monotone branch [low, high] around z = 0. g1 skewness, g2 excess kurtosis, any shape.
    """

    a: Array
    b: Array
    c: Array
    d: Array
    low: Array
    high: Array

    @classmethod
    def of(cls, skewness: Array, kurtosis: Array) -> "Quantiles":
        """The Cornish–Fisher polynomial of third order and the branch that holds 0."""
        squared = skewness * skewness
        a = kurtosis / 24.0 - squared / 18.0
        b = skewness / 6.0
        c = 1.0 - kurtosis / 8.0 + squared * (5.0 / 36.0)
        return cls.on_branch(a, b, c)

    @classmethod
    def on_branch(cls, a: Array, b: Array, c: Array) -> "Quantiles":
        """The polynomial with these factors (d = −b) and its branch that holds 0."""
        # A slope below zero at the middle itself has no branch; read such a case as normal.
        upset = c <= 0.0
        if np.any(upset):
            a, b, c = np.where(upset, 0.0, a), np.where(upset, 0.0, b), np.where(upset, 1.0, c)
        with np.errstate(divide="ignore", invalid="ignore"):
            root = np.sqrt(b * b - 3.0 * a * c)
            q = -(b + np.copysign(root, b))
            first, second = q / (3.0 * a), c / q
            low = np.maximum(
                np.where(first < 0.0, first, -np.inf), np.where(second < 0.0, second, -np.inf)
            )
            high = np.minimum(
                np.where(first > 0.0, first, np.inf), np.where(second > 0.0, second, np.inf)
            )
        return cls(a, b, c, -b, np.maximum(low, -BRANCH_TO), np.minimum(high, BRANCH_TO))

    def at(self, z: ArrayLike) -> Array:
        """x(z), z held on the monotone branch."""
        z = np.clip(z, self.low, self.high)
        x: Array = ((self.a * z + self.b) * z + self.c) * z + self.d
        return x

    def inverse(self, x: Array) -> Array:
        """Z with x(z) = x on the monotone branch; −inf or inf beyond its ends.

        Newton's steps from the third-order inverse expansion, held inside a shrinking bracket.
        """
        low, high = self.low, self.high
        z = np.clip(x, low, high)
        lower, upper = low, high
        for _ in range(_STEPS):
            miss = ((self.a * z + self.b) * z + self.c) * z + self.d - x
            lower = np.where(miss < 0.0, z, lower)
            upper = np.where(miss > 0.0, z, upper)
            with np.errstate(divide="ignore", invalid="ignore"):
                step = z - miss / ((3.0 * self.a * z + 2.0 * self.b) * z + self.c)
            inside = (step >= lower) & (step <= upper)
            z = np.where(inside, step, 0.5 * (lower + upper))
        z = np.where(x <= self.at(low), -np.inf, z)
        return np.where(x >= self.at(high), np.inf, z)


# Newton doubles the digits at each step; six from a start within one unit reach 1e-12.
_STEPS = 8


def standardised(cumulants: Array) -> tuple[Array, Array, Array, Array]:
    """Mean, standard deviation, skewness and excess kurtosis of ln f.

    μ = κ1, σ = √κ2, g1 = κ3/σ³, g2 = κ4/σ⁴; 0 for the last two where σ = 0.

    Args:
        cumulants: [1], shape (4, …).

    Returns:
        Four arrays [1], shape (…).

    Range: κ2 ≥ 0.
    Source: definitions of the standardised cumulants.
    """
    mean, second, third, fourth = cumulants
    sd = np.sqrt(second)
    safe = np.where(second > 0.0, second, 1.0)
    return mean, sd, third / (safe * np.sqrt(safe)), fourth / (safe * safe)


def interval(value: Array, cumulants: Array) -> tuple[Array, Array]:
    """The 95 % interval of a positive figure: value · exp(κ1 + σ x(±1.959964)).

    Args:
        value: nominal value, any unit, shape (…).
        cumulants: of ln f relative to ln value [1], shape (4, …).

    Returns:
        Lower and upper end [unit of value], shape (…); both equal it without doubt.

    Range: value > 0; 0 stays 0.
    Source: Cornish & Fisher's expansion to third order (Kendall & Stuart, vol. 1, 6.25).
    """
    mean, sd, g1, g2 = standardised(cumulants)
    curve = Quantiles.of(g1, g2)
    low = np.where(sd > 0.0, value * np.exp(mean + sd * curve.at(-Z95)), value)
    high = np.where(sd > 0.0, value * np.exp(mean + sd * curve.at(Z95)), value)
    return low, high


def slip_probability(ratio: Array, cumulants: Array) -> Array:
    """P(ratio < 1): Φ(z*) with x(z*) = (ln 1 − ln ratio − κ1)/σ on the interval's own curve.

    Args:
        ratio: nominal available/required [1], shape (…).
        cumulants: of ln ratio relative to its nominal value [1], shape (4, …).

    Returns:
        Probability [1], shape (…); 0 or 1 without doubt and beyond the monotone branch.

    Range: ratio ≥ 0; a ratio of 0 slips for certain.
    Source: inverse of the expansion named at `interval`.
    """
    mean, sd, g1, g2 = standardised(cumulants)
    with np.errstate(divide="ignore", invalid="ignore"):
        x = (-np.log(ratio) - mean) / np.where(sd > 0.0, sd, 1.0)
    chance = normal_probability(Quantiles.of(g1, g2).inverse(x))
    certain = np.where(ratio < 1.0, 1.0, 0.0)
    return np.where(np.isnan(ratio), np.nan, np.where((sd > 0.0) & (ratio > 0.0), chance, certain))


def shares(figure: Traced, columns: Mapping[str, Column]) -> list[tuple[str, int, float]]:
    """Share of each input in the first-order variance of one record's figure, largest first.

    (∂f/∂x_i u_i)²/Σ; all 0 when there is no doubt at all.

    Args:
        figure: with its partials, shape (1, 1).
        columns: the inputs by name; their units cancel.

    Returns:
        (input name, group, share [1]) of every input that f depends on.

    Range: one record at a time.
    Source: JCGM 100:2008, equation (10); EA-4/02 for the uncertainty budget.
    """
    total = float(variance(figure, columns)[0, 0])
    rows = []
    for name, partial in figure.partials.items():
        terms = np.atleast_2d(partial**2 * columns[name].variance)[0]
        rows += [(name, g, float(t) / total if total > 0.0 else 0.0) for g, t in enumerate(terms)]
    return sorted(rows, key=lambda row: -row[2])
