from app.documents import Finding, Instrument, SlipTest
from app.records.slip_test_rows import (
    finding_document,
    finding_values,
    instrument_document,
    instrument_values,
    reading_values,
    slip_test_document,
    slip_test_values,
)


def test_a_run_comes_back_from_its_rows_with_every_form_of_reading() -> None:
    document = SlipTest.model_validate({
        "name": "Run 1", "pack": "abc", "date": "2026-11-20", "by": "Ann", "lubrication": "dry",
        "friction": "static", "springs_fitted": 3, "direction": "anticlockwise", "speed_rpm": 0,
        "temperature_c": -3.5, "runs_since_assembly": 0, "wear_mm": 0.2, "instrument": "def",
        "readings": [
            {"torque_nm": 50, "typed": "50"},
            {"low_nm": 50, "high_nm": 50, "typed": "50", "typed_high": "50"},
            {"at_least_nm": 60, "typed": "64"},
            {"at_most_nm": 5, "as_read": True},
        ],
        "oil_on_plates": False, "heat": "cold", "facings": "new", "excluded": True,
        "excluded_reason": "the arm moved", "notes": "=1+1",
    })
    values = slip_test_values(document, 3, 4)
    assert (values["pack_id"], values["instrument_id"]) == (3, 4)
    assert "the arm moved" in values["search_text"]
    assert slip_test_document(values, reading_values(document), "abc", "def") == document


def test_an_instrument_and_a_finding_come_back_from_their_rows() -> None:
    instrument = Instrument(
        name="Beam", range_low_nm=5, range_high_nm=60, relative_accuracy=0.04, resolution_nm=1
    )
    assert instrument_document(instrument_values(instrument)) == instrument
    finding = Finding.model_validate({
        "name": "x", "pack": "abc", "check": "spring_lengths", "outcome": "watch",
        "measured": "31.2 31.0 30.1", "notes": "one short", "date": "2026-11-20", "by": "Ann",
    })
    assert finding_document(finding_values(finding, 3), "abc") == finding
