"""Slip tests, instruments and findings between their rows and their documents."""

from collections.abc import Iterable
from typing import Any

from app.documents import Finding, Instrument, SlipTest, TorqueReading
from app.records.base import Row, folded
from app.records.pack_rows import search_text

_INSTRUMENT = (
    "name", "range_low_nm", "range_high_nm", "relative_accuracy", "resolution_nm", "notes",
)
_TEST = (
    "name", "date", "by", "lubrication", "friction", "springs_fitted", "direction", "speed_rpm",
    "temperature_c", "runs_since_assembly", "wear_mm", "oil_on_plates", "heat", "facings",
    "excluded", "excluded_reason", "notes",
)
_FINDING = ("name", "date", "by", "outcome", "measured", "notes")


def instrument_values(document: Instrument) -> dict[str, Any]:
    """The columns of an instrument's row."""
    return {name: getattr(document, name) for name in _INSTRUMENT} | {
        "name_key": folded(document.name),
        "search_text": search_text(document.name, document.notes),
    }


def instrument_document(row: Row) -> Instrument:
    """The document that an instrument's row holds."""
    return Instrument.model_validate({name: row[name] for name in _INSTRUMENT})


def slip_test_values(
    document: SlipTest, pack_id: int, instrument_id: int | None
) -> dict[str, Any]:
    """The columns of a run's row; its readings have rows of their own."""
    name = document.name or ""
    return {key: getattr(document, key) for key in _TEST} | {
        "name": name,
        "name_key": folded(name),
        "search_text": search_text(name, document.by, document.notes, document.excluded_reason),
        "pack_id": pack_id,
        "instrument_id": instrument_id,
    }


def reading_values(document: SlipTest) -> list[dict[str, Any]]:
    """The columns of a run's readings, in order."""
    found = []
    for position, reading in enumerate(document.readings):
        low, high = reading.ends
        found.append({
            "position": position, "kind": reading.kind, "low_nm": low, "high_nm": high,
            "typed": reading.typed, "typed_high": reading.typed_high, "as_read": reading.as_read,
        })
    return found


def reading_document(row: Row) -> TorqueReading:
    """The reading that a row holds."""
    torques: dict[str, dict[str, Any]] = {
        "value": {"torque_nm": row["low_nm"]},
        "span": {"low_nm": row["low_nm"], "high_nm": row["high_nm"]},
        "at_least": {"at_least_nm": row["low_nm"]},
        "at_most": {"at_most_nm": row["high_nm"]},
    }
    about = {name: row[name] for name in ("typed", "typed_high", "as_read")}
    return TorqueReading.model_validate(torques[row["kind"]] | about)


def slip_test_document(
    row: Row, readings: Iterable[Row], pack: str | None, instrument: str | None
) -> SlipTest:
    """The document that a run's rows hold; `pack` and `instrument` are public ids."""
    raw = {key: row[key] for key in _TEST} | {"pack": pack, "instrument": instrument}
    raw["readings"] = [reading_document(reading) for reading in readings]
    return SlipTest.model_validate(raw)


def finding_values(document: Finding, pack_id: int) -> dict[str, Any]:
    """The columns of a finding's row."""
    name = document.name or ""
    return {key: getattr(document, key) for key in _FINDING} | {
        "name": name,
        "name_key": folded(name),
        "search_text": search_text(name, document.by, document.measured, document.notes),
        "check_key": document.check,
        "pack_id": pack_id,
    }


def finding_document(row: Row, pack: str | None) -> Finding:
    """The document that a finding's row holds; `pack` is the public id of its pack."""
    raw = {key: row[key] for key in _FINDING} | {"pack": pack, "check": row["check_key"]}
    return Finding.model_validate(raw)
