"""What the `uncertainties` library says of a step, to hold a line of a working against."""

from typing import Any

import pytest
from uncertainties import nominal_value, std_dev, ufloat

from app.comparison.working_lines import WorkingLine
from app.mechanics.inputs import Quantity


def u(quantity: Quantity) -> Any:
    """An independent variable of the quantity's value and standard uncertainty; exact: a float."""
    std = quantity.standard_uncertainty
    return ufloat(quantity.value, std) if std else quantity.value


def agree(line: WorkingLine, expected: Any) -> None:
    """The line has the expected value and first-order standard uncertainty."""
    assert line.value == pytest.approx(nominal_value(expected), rel=1e-12), line.name
    assert line.std == pytest.approx(std_dev(expected), rel=1e-9), line.name
