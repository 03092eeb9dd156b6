"""Values that remember how they depend on their inputs, for whole arrays at once.

A `Traced` is an array with its first partial derivatives to each named input (forward mode). The
mechanics are written as plain arithmetic, so the same function serves a float, an array of draws
and a traced value; an input used twice is one variable, because its partials add up.

Shapes: the first axis counts records (packs, engines or draws), the second the spring groups of a
record. A figure of the whole record has length 1 there and broadcasts over its groups.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Value = TypeVar("Value", float, Array, "Traced")


@dataclass(frozen=True, eq=False)
class Column:
    """An input over all records: value, rectangular half-width and standard uncertainty.

    Shapes (records, 1) or (records, groups). NaN in `value` means not known. Where `limit` and
    `std` are 0 the value is exact; a record has one or the other, never both.
    """

    value: Array
    limit: Array
    std: Array

    @property
    def doubtful(self) -> bool:
        """Whether any record has doubt in this input."""
        return bool(np.any(self.limit > 0.0) or np.any(self.std > 0.0))

    @property
    def variance(self) -> Array:
        """u² = a²/3 + s² (JCGM 100:2008, 4.3.7)."""
        return self.limit**2 / 3.0 + self.std**2


class Traced:
    """An array with its partial derivatives to the doubtful inputs it came from."""

    __slots__ = ("partials", "value")
    # numpy must hand `array * traced` to our __rmul__ instead of looping over elements.
    __array_ufunc__ = None

    def __init__(self, value: ArrayLike, partials: Mapping[str, Array] | None = None) -> None:
        self.value: Array = np.asarray(value, dtype=np.float64)
        self.partials: Mapping[str, Array] = partials or {}

    @classmethod
    def of(cls, name: str, column: Column) -> "Traced":
        """The input itself: partial 1 to its own name, none where it is exact everywhere."""
        if not column.doubtful:
            return cls(column.value)
        return cls(column.value, {name: np.ones_like(column.value)})

    def _unary(self, value: Array, slope: Array) -> "Traced":
        return Traced(value, {n: slope * p for n, p in self.partials.items()})

    def _binary(
        self, other: Any, combine: Callable[[Array, Array], Array],
        slopes: Callable[[Array, Array], tuple[Array, Array]],
    ) -> "Traced":
        right = lift(other)
        value = combine(self.value, right.value)
        if not self.partials and not right.partials:
            return Traced(value)
        to_left, to_right = slopes(self.value, right.value)
        partials = {n: to_left * p for n, p in self.partials.items()}
        for name, partial in right.partials.items():
            term = to_right * partial
            partials[name] = partials[name] + term if name in partials else term
        return Traced(value, partials)

    def __add__(self, other: Any) -> "Traced":
        return self._binary(other, np.add, lambda *_: (_ONE, _ONE))

    __radd__ = __add__

    def __sub__(self, other: Any) -> "Traced":
        return self._binary(other, np.subtract, lambda *_: (_ONE, -_ONE))

    def __rsub__(self, other: Any) -> "Traced":
        return lift(other) - self

    def __mul__(self, other: Any) -> "Traced":
        return self._binary(other, np.multiply, lambda a, b: (b, a))

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> "Traced":
        return self._binary(other, np.divide, lambda a, b: (1.0 / b, -a / (b * b)))

    def __rtruediv__(self, other: Any) -> "Traced":
        return lift(other) / self

    def __pow__(self, exponent: float) -> "Traced":
        return self._unary(self.value**exponent, exponent * self.value ** (exponent - 1.0))

    def __neg__(self) -> "Traced":
        return Traced(-self.value, {n: -p for n, p in self.partials.items()})

    def tan(self) -> "Traced":
        """Tangent of an angle [rad], any shape."""
        value = np.tan(self.value)
        return self._unary(value, 1.0 + value * value)

    def log(self) -> "Traced":
        """Natural logarithm of a positive number [1], any shape."""
        return self._unary(np.log(self.value), 1.0 / self.value)

    def at_least_zero(self) -> "Traced":
        """max(0, x): a slack spring presses with nothing, whatever its doubt."""
        return where(self.value > 0.0, self, Traced(np.where(np.isnan(self.value), np.nan, 0.0)))

    def sum_groups(self, widths: Mapping[str, int]) -> "Traced":
        """Sum over the group axis; a group's own input keeps a partial per group.

        widths says how long each input's group axis is: a figure of the whole record (1) moves
        all groups together, so its partials add; a group's figure stays apart from its
        neighbours.
        """
        value = in_order(self.value)[..., None]
        partials = {}
        for name, partial in self.partials.items():
            full = np.broadcast_to(partial, self.value.shape)
            own = widths.get(name, 1) > 1
            partials[name] = full if own else in_order(full)[..., None]
        return Traced(value, partials)


_ONE = np.ones(())


def lift(value: Any) -> Traced:
    """A Traced of anything numeric; a plain number or array is exact.

    Args:
        value: a number, an array or a Traced, in any unit.

    Returns:
        The same in the same unit [as given], traced.

    Range: any.
    Source: our arrangement.
    """
    return value if isinstance(value, Traced) else Traced(value)


def where(mask: Mask, yes: Traced, no: Traced) -> Traced:
    """Yes where the mask holds, else no, with the partials of the chosen side only.

    Args:
        mask: which to take, broadcast against both.
        yes: taken where the mask holds, any unit.
        no: taken elsewhere, same unit.

    Returns:
        The chosen figures in the same unit [as given]; an unknown side that is not chosen leaves
        no trace.

    Range: any.
    Source: our arrangement.
    """
    value = np.where(mask, yes.value, no.value)
    names = [*yes.partials, *(n for n in no.partials if n not in yes.partials)]
    zero = np.zeros(())
    return Traced(
        value,
        {
            n: np.where(mask, yes.partials.get(n, zero), no.partials.get(n, zero))
            for n in names
        },
    )


def variance(figure: Traced, columns: Mapping[str, Column]) -> Array:
    """First-order variance, u² = Σ (∂f/∂x_i · u_i)².

    Args:
        figure: f with its partials, (records, 1) or (records, groups).
        columns: the inputs by name.

    Returns:
        u² [unit of f, squared], shape of f.

    Range: independent inputs.
    Source: JCGM 100:2008, equation (10).
    """
    total = np.zeros(figure.value.shape)
    # Sorted, so that a record's sum has the same bits whatever it is stacked with.
    for name in sorted(figure.partials):
        partial = figure.partials[name]
        term = np.broadcast_to(partial * partial * columns[name].variance, _wide(figure, partial))
        if term.shape[-1:] != figure.value.shape[-1:]:
            term = in_order(term)[..., None]
        total = total + term
    return total


def in_order(values: Array) -> Array:
    """Sum over the last axis, from its first element to its last.

    numpy adds eight and more in pairs; then the zeros that fill up a record's groups on a board
    would change the last digit of its sum.

    Args:
        values: in any unit, shape (…, n).

    Returns:
        Their sum in the same unit [as given], shape (…).

    Range: n ≥ 1.
    Source: definition.
    """
    total = values[..., 0]
    for group in range(1, values.shape[-1]):
        total = total + values[..., group]
    return total


def _wide(figure: Traced, partial: Array) -> tuple[int, ...]:
    # np.broadcast_shapes makes an array of each shape to find this.
    return np.broadcast(figure.value, partial).shape
