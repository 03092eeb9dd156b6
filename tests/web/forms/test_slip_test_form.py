"""The form of a slip test: any run goes into the boxes and comes out the same."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.documents import SlipTest
from app.errors import BadInput
from app.web.forms.reader import FormReader
from app.web.forms.slip_test_form import (
    add_row,
    read_slip_test,
    reading_in_row,
    rows_shown,
    slip_test_texts,
)

torques = st.floats(0.01, 5000.0).map(lambda x: round(x, 3))
readings = st.one_of(
    st.builds(lambda x: {"torque_nm": x}, torques),
    st.builds(lambda x, y: {"low_nm": min(x, y), "high_nm": max(x, y)}, torques, torques),
    st.builds(lambda x: {"at_least_nm": x}, torques),
    st.builds(lambda x: {"at_most_nm": x, "as_read": True}, torques),
)
runs = st.fixed_dictionaries(
    {
        "pack": st.just("abc"),
        "lubrication": st.sampled_from(["dry", "oiled"]),
        "friction": st.sampled_from(["static", "sliding"]),
        "readings": st.lists(readings, min_size=1, max_size=6),
    },
    optional={
        "name": st.just("Run 1"),
        "springs_fitted": st.integers(1, 12),
        "speed_rpm": st.floats(0.0, 5000.0),
        "temperature_c": st.floats(-40.0, 300.0),
        "runs_since_assembly": st.integers(0, 500),
        "oil_on_plates": st.booleans(),
        "heat": st.sampled_from(["cold", "hot"]),
        "direction": st.sampled_from(["clockwise", "anticlockwise"]),
        "notes": st.sampled_from(["a\nb", "<b>"]),
    },
)


@given(runs)
def test_a_run_goes_through_the_form_unchanged(raw: dict[str, Any]) -> None:
    test = SlipTest.model_validate(raw)
    once = read_slip_test(FormReader(slip_test_texts(test)), test).document
    # What was never typed is now: the second time nothing differs any more.
    again = read_slip_test(FormReader(slip_test_texts(once)), once).document
    assert again == once
    plain = {"readings": [r.model_copy(update={"typed": None, "typed_high": None})
                          for r in once.readings]}
    assert once.model_copy(update=plain) == test


def test_an_answer_turns_a_value_into_the_bound_that_was_meant() -> None:
    texts = {"pack": "abc", "lubrication": "dry", "friction": "static",
             "readings.0.low": "64", "readings.0.as_read": "at_least 60"}
    (reading,) = read_slip_test(FormReader(texts)).document.readings
    assert (reading.at_least_nm, reading.typed, reading.as_read) == (60.0, "64", False)


@pytest.mark.parametrize("answer", ["at_least", "at_least -5", "at_least 1e9", "maybe"])
def test_another_answer_is_none(answer: str) -> None:
    texts = {"pack": "abc", "lubrication": "dry", "friction": "static",
             "readings.0.low": "64", "readings.0.as_read": answer}
    (reading,) = read_slip_test(FormReader(texts)).document.readings
    assert (reading.torque_nm, reading.as_read) == (64.0, False)


def test_rows_grow_with_what_is_typed() -> None:
    form = FormReader({})
    assert rows_shown(form) == [0, 1, 2]
    form = FormReader({f"readings.{n}.low": "5" for n in range(3)})
    assert rows_shown(form) == [0, 1, 2]
    assert add_row(form) == "readings.3.low"
    assert rows_shown(form) == [0, 1, 2, 3]
    assert add_row(FormReader({})) == "readings.3.low", "three blank ones are there already"


def test_a_row_that_can_not_be_read_yet_is_none() -> None:
    form = FormReader({"readings.0.low": "some", "readings.1.low": "5"})
    assert reading_in_row(form, 0) is None
    found = reading_in_row(form, 1)
    assert found is not None
    assert found.torque_nm == 5.0
    assert form.problems == []


def test_every_problem_is_said_once_at_its_box() -> None:
    form = FormReader({"readings.0.low": "x", "readings.1.kind": "span", "readings.1.low": "5",
                       "excluded": "yes"})
    with pytest.raises(BadInput):
        read_slip_test(form)
    assert sorted(p.field for p in form.problems) == [
        "excluded_reason", "friction", "lubrication", "pack", "readings.0.low", "readings.1.high",
    ]
