from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.documents import SlipTest
from app.errors import BadInput
from app.presentation.csv_text import csv_text, parse_csv
from app.presentation.slip_csv import (
    COLUMNS,
    check_header,
    csv_row,
    readings_cell,
    readings_of,
    slip_test_of,
)

torques = st.floats(1e-6, 1e8)
readings = st.one_of(
    st.builds(lambda x: {"torque_nm": x}, torques),
    st.builds(lambda x, y: {"low_nm": min(x, y), "high_nm": max(x, y)}, torques, torques),
    st.builds(lambda x: {"at_least_nm": x, "as_read": True}, torques),
    st.builds(lambda x: {"at_most_nm": x}, torques),
)
text = st.text(st.characters(exclude_categories=["C"]), min_size=1, max_size=30).map(str.strip)
runs = st.fixed_dictionaries(
    {"pack": st.just("abc"), "lubrication": st.sampled_from(["dry", "oiled"]),
     "friction": st.sampled_from(["static", "sliding"]),
     "readings": st.lists(readings, min_size=1, max_size=5)},
    optional={
        "by": text, "notes": text, "springs_fitted": st.integers(1, 12),
        "speed_rpm": st.floats(0.0, 1e4), "temperature_c": st.floats(-200.0, 300.0),
        "wear_mm": st.floats(0.0, 5.0), "instrument": st.just("def"),
        "oil_on_plates": st.booleans(), "excluded_reason": st.just("=why"),
    },
)


@given(runs)
def test_a_run_goes_through_csv_unchanged(raw: dict[str, Any]) -> None:
    test = SlipTest.model_validate(raw)
    line = csv_row("k", 3, test, {"abc": "Six", "def": "Gauge"})
    (row,) = parse_csv(csv_text(COLUMNS, [line]).encode())
    assert (row["id"], row["version"], row["pack_name"]) == ("k", "3", "Six")
    assert slip_test_of(row, {"abc": "abc"}, {"def": "def"}) == test


@given(st.lists(readings, min_size=1, max_size=5))
def test_readings_come_back_from_their_cell(raw: list[dict[str, Any]]) -> None:
    test = SlipTest.model_validate(
        {"pack": "a", "lubrication": "dry", "friction": "static", "readings": raw})
    assert readings_of(readings_cell(test.readings)) == [
        {"as_read": True, **{k: float(v) for k, v in r.items() if k != "as_read"}}
        if r.get("as_read") else {k: float(v) for k, v in r.items()} for r in raw
    ]


@pytest.mark.parametrize("cell", ["", ";", "a lot", "5..", "=60", ">60", "-5", "5 6", "nan"])
def test_what_is_no_reading_is_refused_with_how_to_write_it(cell: str) -> None:
    with pytest.raises(BadInput, match=r"41\.\.44 a span"):
        readings_of(cell)


def test_a_pack_may_be_named_by_its_name_and_units_stand_in_the_header() -> None:
    row = {"pack_name": "Six", "lubrication": "dry", "friction": "static", "readings_N_m": "5"}
    assert slip_test_of(row, {"Six": "abc"}, {}).pack == "abc"
    assert {"readings_N_m", "speed_r_min", "temperature_C", "wear_mm"} <= set(COLUMNS)
    assert COLUMNS[:2] == ("id", "version")


@pytest.mark.parametrize(
    ("changed", "column"),
    [
        ({"pack_name": "Nobody"}, "pack_name"),
        ({"instrument_name": "None"}, "instrument_name"),
        ({"lubrication": ""}, "lubrication"),
        ({"temperature_C": "warm"}, "temperature_C"),
        ({"speed_r_min": "1,000"}, "speed_r_min"),
        ({"springs_fitted": "2.5"}, "springs_fitted"),
        ({"oil_on_plates": "perhaps"}, "oil_on_plates"),
        ({"excluded": "true"}, ""),
        ({"readings_N_m": "44..41"}, "readings_N_m"),
        ({"readings_N_m": "some"}, "readings_N_m"),
    ],
)
def test_a_refusal_stands_under_its_column(changed: dict[str, str], column: str) -> None:
    row = {"pack_name": "Six", "lubrication": "dry", "friction": "static", "readings_N_m": "5"}
    with pytest.raises(BadInput) as refusal:
        slip_test_of(row | changed, {"Six": "abc"}, {})
    assert [p.field for p in refusal.value.problems] == [column]


def test_columns_that_are_unknown_or_missing_are_named() -> None:
    assert check_header(COLUMNS) == []
    assert check_header(["pack", "lubrication", "friction", "readings_N_m"]) == []
    problems = " ".join(p.message for p in check_header(["colour", "lubrication"]))
    for name in ("“colour”", "“friction”", "“readings_N_m”", "“pack_name”"):
        assert name in problems
