"""Torques and ratios as a board shows them: in the chosen unit, true to their verdict."""

from app.comparison.board_view import BoardView, TorqueUnit
from app.comparison.cell import Reading
from app.presentation.numbers import (
    MINUS,
    NBSP,
    NOT_KNOWN,
    number_text,
    quantity_text,
    ratio_text,
    with_unit,
)
from app.units import to_unit

UNIT_LABEL: dict[TorqueUnit, str] = {"nm": "N·m", "lbf_ft": "lbf·ft"}
DECIMALS = 1
"""Of a torque in a table: a tenth of a newton metre is finer than any doubt met here."""
_FAST_BELOW = 1000.0


def torque_in(value: float, unit: TorqueUnit) -> float:
    """A torque [N·m] in the shown unit."""
    return value if unit == "nm" else to_unit(value, "torque", "lbf·ft")


def shown_reading(figure: Reading, unit: TorqueUnit) -> Reading:
    """A torque's reading [N·m] in the shown unit."""
    if unit == "nm":
        return figure
    return Reading(
        *(torque_in(x, unit) for x in (figure.value, figure.std, figure.low, figure.high))
    )


def torque_number(value: float, unit: TorqueUnit) -> str:
    """A torque [N·m] in the shown unit, without the unit."""
    return number_text(torque_in(value, unit), decimals=DECIMALS)


def torque_text(value: float, unit: TorqueUnit) -> str:
    """A torque [N·m] with its unit."""
    return with_unit(torque_number(value, unit), UNIT_LABEL[unit])


def torque_with_doubt(figure: Reading | None, unit: TorqueUnit) -> str:
    """A torque with its standard uncertainty: value ± u."""
    if figure is None:
        return NOT_KNOWN
    shown = shown_reading(figure, unit)
    return quantity_text(shown.value, shown.std, UNIT_LABEL[unit], digits=4)


def fast_ratio(value: float) -> str:
    """As `ratio_text`, quickly for the ordinary case.

    >>> fast_ratio(1.234), fast_ratio(0.996), fast_ratio(1.0)
    ('1.23', '0.996', '1.00')
    """
    text = f"{value:.2f}"
    if 0.0 <= value < _FAST_BELOW and (float(text) >= 1.0) == (value >= 1.0):
        return text
    return ratio_text(value)


def span_text(low: str, high: str) -> str:
    """The two ends of an interval, joined by a dash; by "to" where one is negative."""
    return f"{low} to {high}" if MINUS in low + high else f"{low}–{high}"


def ratio_span(figure: Reading) -> str:
    """The interval of a ratio."""
    return span_text(fast_ratio(figure.low), fast_ratio(figure.high))


def torque_span(figure: Reading, unit: TorqueUnit) -> str:
    """The interval of a torque [N·m] in the shown unit, without the unit."""
    shown = shown_reading(figure, unit)
    return span_text(
        number_text(shown.low, decimals=DECIMALS), number_text(shown.high, decimals=DECIMALS)
    )


def state_words(view: BoardView) -> str:
    """The state of a comparison in words.

    >>> state_words(BoardView())
    'oiled, sliding, new'
    >>> state_words(BoardView(worst=("lubrication",)))
    'the worst of oiled or dry, sliding, new'
    """
    parts: list[str] = [
        "oiled or dry" if "lubrication" in view.worst else view.lubrication,
        "sliding or static" if "friction" in view.worst else view.friction,
    ]
    if "wear" in view.worst:
        parts.append("new or worn to each pack’s limit")
    elif view.wear_mm is None:
        parts.append("worn to each pack’s limit")
    elif view.wear_mm == 0.0:
        parts.append("new")
    else:
        parts.append(f"worn by {number_text(view.wear_mm)}{NBSP}mm")
    if view.radius == "uniform_pressure":
        parts.append("facings flat (uniform pressure)")
    if view.speed_rpm is not None:
        parts.append(f"at {number_text(view.speed_rpm)}{NBSP}r/min")
    if view.spline_friction is not None:
        parts.append(f"splines with friction {number_text(view.spline_friction)}")
    return ("the worst of " if view.worst else "") + ", ".join(parts)
