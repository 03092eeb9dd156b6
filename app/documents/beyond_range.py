"""A reading beyond its instrument's range: what the tester is asked, and the bound it may mean."""

from dataclasses import dataclass

from app.documents.slip_test import TorqueReading


@dataclass(frozen=True, slots=True)
class BeyondRange:
    """The question, the words for "it was read so", the words for the bound, and the bound."""

    question: str
    as_read: str
    as_bound: str
    bound: TorqueReading


def beyond_range(
    reading: TorqueReading, low_nm: float | None, high_nm: float | None
) -> BeyondRange | None:
    """What to ask of a reading outside the range from low_nm to high_nm.

    Nothing is asked where the tester has said already that it was read so.

    >>> beyond_range(TorqueReading(torque_nm=64), None, 60.0).question
    'The gauge ends at 60 N·m: is 64 a value, or at least 60?'
    """
    if reading.as_read:
        return None
    low, high = reading.ends
    said = {
        "value": (f"{_as_typed(reading.typed, low)} a value", f"{_f(low)} N·m was read"),
        "span": (f"{_f(low)} to {_f(high)} a span", f"{_f(low)} to {_f(high)} N·m was read"),
        "at_least": (f"it at least {_f(low)}", f"It held at {_f(low)} N·m"),
        "at_most": (f"it at most {_f(high)}", f"It slipped below {_f(high)} N·m"),
    }[reading.kind]
    if high_nm is not None and (high or low or 0.0) > high_nm and reading.kind != "at_most":
        bound = high_nm if low is None else min(low, high_nm)
        return BeyondRange(
            f"The gauge ends at {_f(high_nm)} N·m: is {said[0]}, or at least {_f(bound)}?",
            said[1],
            f"At least {_f(bound)} N·m",
            TorqueReading(at_least_nm=bound, typed=reading.typed),
        )
    if low_nm is not None and (low or high or 0.0) < low_nm and reading.kind != "at_least":
        bound = low_nm if high is None else max(high, low_nm)
        return BeyondRange(
            f"The gauge begins at {_f(low_nm)} N·m: is {said[0]}, or at most {_f(bound)}?",
            said[1],
            f"At most {_f(bound)} N·m",
            TorqueReading(at_most_nm=bound, typed=reading.typed),
        )
    return None


def _as_typed(typed: str | None, torque: float | None) -> str:
    """A torque, after what was typed where that had another unit.

    >>> _as_typed("95 lbf·ft", 128.8027), _as_typed("64", 64.0)
    ('95 lbf·ft (128.8 N·m)', '64')
    """
    if typed is None or not any(sign.isalpha() for sign in typed):
        return _f(torque)
    return typed if _f(torque) in typed else f"{typed} ({torque:.4g} N·m)"


def _f(torque: float | None) -> str:
    return "" if torque is None else f"{torque:.6g}"
