"""Slip tests as CSV: a line a run, its readings in one cell, and back again.

A cell of readings holds them in order, parted by semicolons: ``57.5`` a value, ``41..44`` a span,
``>=60`` at least, ``<=5`` at most, all in N·m; ``!`` after one says that it was read so although
it lies beyond the gauge's range.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from app.documents import SlipTest, TorqueReading, read
from app.errors import BadInput, Problem

COLUMNS: tuple[str, ...] = (
    "id",
    "version",
    "name",
    "pack",
    "pack_name",
    "date",
    "by",
    "lubrication",
    "friction",
    "springs_fitted",
    "direction",
    "speed_r_min",
    "temperature_C",
    "runs_since_assembly",
    "wear_mm",
    "instrument",
    "instrument_name",
    "readings_N_m",
    "oil_on_plates",
    "heat",
    "facings",
    "excluded",
    "excluded_reason",
    "notes",
)
RUN_COLUMNS = ("exported_at_utc", "app_version")
NEEDED = ("lubrication", "friction", "readings_N_m")

_TEXTS = (
    "name", "date", "by", "lubrication", "friction", "direction", "heat", "facings",
    "excluded_reason", "notes",
)
_COUNTS = ("springs_fitted", "runs_since_assembly")
_NUMBERS = {"speed_r_min": "speed_rpm", "temperature_C": "temperature_c", "wear_mm": "wear_mm"}
_BACK = {"speed_rpm": "speed_r_min", "temperature_c": "temperature_C", "readings": "readings_N_m"}
_FIGURE = r"([0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?)"
_SPAN = re.compile(rf"{_FIGURE}\s*\.\.\s*{_FIGURE}")
_BOUND = re.compile(rf"(>=|<=)\s*{_FIGURE}")
_VALUE = re.compile(_FIGURE)
_NUMBER = re.compile(rf"-?{_FIGURE}")
HOW_TO_WRITE = (
    "Write readings in N·m parted by semicolons: 57.5 a value, 41..44 a span, >=60 at least, "
    "<=5 at most."
)


def csv_columns() -> list[str]:
    """Headings, units in the names."""
    return [*COLUMNS, *RUN_COLUMNS]


def csv_row(key: str, version: int, test: SlipTest, names: Mapping[str, str]) -> list[object]:
    """One run as a line, without the facts of the file.

    Args:
        key: id of the record.
        version: of the record.
        test: its document.
        names: of packs and instruments by their ids.
    """
    own: dict[str, object] = {name: getattr(test, name) for name in (*_TEXTS, *_COUNTS)}
    own |= {column: getattr(test, name) for column, name in _NUMBERS.items()}
    own |= {
        "id": key,
        "version": version,
        "pack": test.pack,
        "pack_name": names.get(test.pack or ""),
        "instrument": test.instrument,
        "instrument_name": names.get(test.instrument or ""),
        "readings_N_m": readings_cell(test.readings),
        "oil_on_plates": test.oil_on_plates,
        "excluded": test.excluded,
    }
    return [own[column] for column in COLUMNS]


def readings_cell(readings: Sequence[TorqueReading]) -> str:
    """The readings of a run in one cell.

    >>> readings_cell([TorqueReading(torque_nm=57.5), TorqueReading(at_least_nm=60)])
    '57.5; >=60'
    """
    return "; ".join(_reading_cell(reading) for reading in readings)


def _reading_cell(reading: TorqueReading) -> str:
    low, high = (None if end is None else repr(end).removesuffix(".0") for end in reading.ends)
    text = {
        "value": str(low), "span": f"{low}..{high}", "at_least": f">={low}",
        "at_most": f"<={high}",
    }[reading.kind]
    return f"{text}!" if reading.as_read else text


def readings_of(cell: str) -> list[dict[str, Any]]:
    """The readings that a cell writes down.

    Raises:
        BadInput: a part of it is no reading; the sentence quotes it.
    """
    parts = [part.strip() for part in cell.split(";") if part.strip()]
    if not parts:
        raise BadInput([Problem("readings_N_m", f"There is no reading. {HOW_TO_WRITE}")])
    return [_reading(part) for part in parts]


def _reading(part: str) -> dict[str, Any]:
    bare = part.removesuffix("!").strip()
    answer: dict[str, Any] = {"as_read": True} if part.endswith("!") else {}
    if span := _SPAN.fullmatch(bare):
        return answer | {"low_nm": float(span[1]), "high_nm": float(span[2])}
    if bound := _BOUND.fullmatch(bare):
        name = "at_least_nm" if bound[1] == ">=" else "at_most_nm"
        return answer | {name: float(bound[2])}
    if _VALUE.fullmatch(bare):
        return answer | {"torque_nm": float(bare)}
    raise BadInput([Problem("readings_N_m", f"“{part[:40]}” is no reading. {HOW_TO_WRITE}")])


def check_header(columns: Sequence[str]) -> list[Problem]:
    """What keeps a file's columns from being read."""
    known = {*COLUMNS, *RUN_COLUMNS}
    problems = [
        Problem("file", f"The column “{name[:60]}” is not known. The columns are: "
                        f"{', '.join(COLUMNS)}.")
        for name in columns if name not in known
    ]
    problems += [
        Problem("file", f"The column “{name}” is missing.") for name in NEEDED
        if name not in columns
    ]
    if "pack" not in columns and "pack_name" not in columns:
        problems.append(Problem("file", "The column “pack_name” is missing: say which pack."))
    return problems


def slip_test_of(
    row: Mapping[str, str], packs: Mapping[str, str], gauges: Mapping[str, str]
) -> SlipTest:
    """The run that a line writes down, as the document reads it.

    Args:
        row: texts by heading.
        packs: ids of packs by their ids and by their names.
        gauges: ids of instruments by their ids and by their names.

    Raises:
        BadInput: with everything that is wrong, each under its column.
    """
    problems: list[Problem] = []
    raw: dict[str, Any] = {name: text for name in _TEXTS if (text := _text(row, name))}
    for name in _COUNTS:
        if (text := _text(row, name)) is not None:
            raw[name] = int(text) if text.isascii() and text.isdecimal() else text
    for column, name in _NUMBERS.items():
        if (text := _text(row, column)) is not None:
            raw[name] = float(text) if _NUMBER.fullmatch(text) else text
    for column in ("oil_on_plates", "excluded"):
        if (text := _text(row, column)) is not None:
            raw[column] = {"true": True, "false": False}.get(text.lower(), text)
    for column, known in (("pack", packs), ("instrument", gauges)):
        named = _text(row, column) or _text(row, f"{column}_name")
        if named is None:
            continue
        if named in known:
            raw[column] = known[named]
        else:
            told = f"There is no {column} “{named[:60]}” in use. Write its name as it is recorded."
            problems.append(Problem(f"{column}_name", told))
    try:
        raw["readings"] = readings_of(row.get("readings_N_m", ""))
    except BadInput as refusal:
        problems += refusal.problems
        raw["readings"] = [{"torque_nm": 1.0}]
    try:
        document = read(SlipTest, raw).document
    except BadInput as refusal:
        problems += [
            Problem(_column(p.field), p.message) for p in refusal.problems
            if not (p.field == "pack" and problems)
        ]
        raise BadInput(problems) from refusal
    if problems:
        raise BadInput(problems)
    return document


def _text(row: Mapping[str, str], name: str) -> str | None:
    # A browser sends line ends in its own way.
    return row.get(name, "").replace("\r\n", "\n").strip() or None


def _column(path: str) -> str:
    head = path.split(".")[0]
    return _BACK.get(head, head)
