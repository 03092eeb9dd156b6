"""One check."""

import dataclasses

import pytest

from app.comparison.check import Check


def test_a_check_is_a_value_that_stays_as_it_is() -> None:
    one = Check("can release", "fail", "the springs go solid before full lift", "geometry")
    assert one == Check(*dataclasses.astuple(one))
    with pytest.raises(dataclasses.FrozenInstanceError):
        one.outcome = "pass"  # type: ignore[misc]  # what is tried
