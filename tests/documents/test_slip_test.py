import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from app.documents import SlipTest, TorqueReading, read
from app.errors import BadInput
from app.mechanics.slip_readings import SlipReading

torques = st.floats(1e-3, 1e6)
RUN: dict[str, Any] = {
    "pack": "abc",
    "lubrication": "oiled",
    "friction": "sliding",
    "readings": [{"torque_nm": 50}],
}


@given(torques, torques)
def test_each_form_of_a_reading_becomes_the_mechanics_own(one: float, other: float) -> None:
    low, high = sorted((one, other))
    forms = {
        "value": ({"torque_nm": low}, SlipReading(low, low)),
        "span": ({"low_nm": low, "high_nm": high}, SlipReading(low, high)),
        "at_least": ({"at_least_nm": low}, SlipReading(low, math.inf)),
        "at_most": ({"at_most_nm": high}, SlipReading(0.0, high)),
    }
    for kind, (raw, expected) in forms.items():
        reading = TorqueReading.model_validate(raw)
        assert reading.kind == kind
        assert reading.to_reading() == expected


@pytest.mark.parametrize(
    "raw",
    [
        {},
        {"torque_nm": 5, "at_least_nm": 5},
        {"low_nm": 5},
        {"low_nm": 6, "high_nm": 5},
        {"torque_nm": 0},
        {"torque_nm": 5, "as_read": "yes"},
    ],
)
def test_a_reading_is_one_thing_and_in_order(raw: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        TorqueReading.model_validate(raw)


def test_a_run_of_which_little_is_known_can_be_kept() -> None:
    written = SlipTest.model_validate(RUN).written()
    assert written == RUN | {"readings": [{"torque_nm": 50.0, "as_read": False}], "excluded": False}


@pytest.mark.parametrize(
    ("changed", "path", "words"),
    [
        ({"readings": []}, "readings", "Add at least one reading."),
        ({"readings": [{}]}, "readings.0", "Give torque_nm"),
        ({"pack": " "}, "pack", "Say which pack was tested."),
        ({"lubrication": "wet"}, "lubrication", "'dry' or 'oiled'"),
        ({"temperature_c": -300}, "temperature_c", "-273.15"),
        ({"springs_fitted": 0}, "springs_fitted", "1 or a whole number"),
        ({"runs_since_assembly": -1}, "runs_since_assembly", "0 or a number"),
        ({"date": "soon"}, "date", "year-month-day"),
        ({"excluded": True, "excluded_reason": ""}, "excluded_reason", "why this run"),
        ({"excluded": True}, "", "why this run"),
    ],
)
def test_what_can_not_be_is_refused_at_its_place(
    changed: dict[str, Any], path: str, words: str
) -> None:
    with pytest.raises(BadInput) as refusal:
        read(SlipTest, RUN | changed)
    (problem,) = refusal.value.problems
    assert problem.field == path
    assert words in problem.message
