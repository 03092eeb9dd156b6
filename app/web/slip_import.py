"""A CSV of slip tests as it was sent: its lines as runs, each problem under its column."""

from collections.abc import Iterable

from sqlmodel import Session

from app.errors import BadInput, Problem
from app.presentation.csv_text import CsvLimits, read_csv
from app.presentation.slip_csv import check_header, slip_test_of
from app.records.base import Row
from app.records.slip_test_queries import active_instruments, active_packs
from app.services.slip_importing import SentRun

LIMITS = CsvLimits(bytes=512 * 1024, rows=500, columns=60, cell=10_000)


def sent_runs(session: Session, data: bytes) -> list[SentRun]:
    """The lines of a file.

    Raises:
        BadInput: it is no such table, or its columns are not those of slip tests.
    """
    table = read_csv(data, LIMITS)
    problems = check_header(table.columns)
    if problems:
        raise BadInput(problems)
    packs = _by_id_and_name(active_packs(session))
    gauges = _by_id_and_name(active_instruments(session))
    return [_sent(i, row, packs, gauges) for i, row in enumerate(table.rows, start=2)]


def _by_id_and_name(rows: Iterable[Row]) -> dict[str, str]:
    found = {str(row["name"]): str(row["public_id"]) for row in rows}
    return found | {key: key for key in found.values()}


def _sent(
    number: int, row: dict[str, str], packs: dict[str, str], gauges: dict[str, str]
) -> SentRun:
    problems: list[Problem] = []
    text = row.get("version", "").strip()
    version: int | None = None
    if text:
        if text.isascii() and text.isdecimal() and len(text) < 10:
            version = int(text)
        else:
            problems.append(Problem("version", "Write the version as a whole number, or nothing."))
    try:
        document = slip_test_of(row, packs, gauges)
    except BadInput as refusal:
        return SentRun(number, row.get("id", "").strip(), version, None,
                       (*problems, *refusal.problems))
    return SentRun(number, row.get("id", "").strip(), version, document, tuple(problems))
