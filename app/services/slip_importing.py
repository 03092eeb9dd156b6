"""Slip tests brought in from a file: first what would change, line by line, then all or nothing."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from sqlmodel import Session

from app.documents import SlipTest, TorqueReading, beyond_range
from app.documents.base import Document
from app.errors import BadInput, NotFound, Problem
from app.records.database import WriteSession
from app.records.listing import active_name_taken
from app.records.slip_test_queries import instruments_by_public_id
from app.records.slip_tests import SlipTest as SlipTestRow
from app.services.catalogue import slip_tests
from app.services.slip_fitting import runs_of
from app.services.stored import Context, Stored

Action = Literal["new", "changed", "unchanged", "refused"]


@dataclass(frozen=True, slots=True)
class SentRun:
    """One line of a file: its number in the spreadsheet, the record it is of, its run.

    `document` is None where the line can't be read; `problems` say why, by column.
    """

    row: int
    id: str
    version: int | None
    document: SlipTest | None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class Difference:
    """One figure that would change."""

    name: str
    before: object
    after: object


@dataclass(frozen=True, slots=True)
class Intended:
    """What one line would do."""

    row: int
    action: Action
    name: str
    sent: SentRun
    document: SlipTest | None
    differences: tuple[Difference, ...] = ()
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class ImportPlan:
    """What a whole file would do."""

    lines: tuple[Intended, ...]

    def count(self, action: Action) -> int:
        """Lines that would do this."""
        return sum(line.action == action for line in self.lines)

    @property
    def writes(self) -> int:
        """Records that would be written."""
        return self.count("new") + self.count("changed")


def plan_import(session: Session, sent: Sequence[SentRun]) -> ImportPlan:
    """What every line would do; nothing is written."""
    twice = {key for key, n in Counter(s.id for s in sent if s.id).items() if n > 1}
    gauges = instruments_by_public_id(
        session, {s.document.instrument for s in sent if s.document and s.document.instrument}
    )
    known: dict[str, list[Stored[SlipTest]]] = {}
    names: dict[str, int] = defaultdict(int)
    lines = []
    for one in sent:
        problems = list(one.problems)
        if one.id in twice:
            problems.append(Problem("id", f"The id {one.id} stands in two lines. Keep one."))
        if one.document is not None and one.document.instrument:
            row = gauges[one.document.instrument]
            limits = row["range_low_nm"], row["range_high_nm"]
            problems += _beyond(one.document.readings, *limits)
        if problems or one.document is None:
            lines.append(Intended(one.row, "refused", "", one, None, problems=tuple(problems)))
            continue
        line = _intended(session, one, one.document, known)
        if line.action in ("new", "changed") and line.document and line.document.name:
            names[line.document.name] += 1
            if names[line.document.name] > 1:
                told = Problem("name", "This name stands in two lines. Leave it blank in one.")
                line = replace(line, action="refused", problems=(told,))
        lines.append(line)
    return ImportPlan(tuple(lines))


def _beyond(
    readings: Sequence[TorqueReading], low: float | None, high: float | None
) -> list[Problem]:
    return [
        Problem("readings_N_m", f"{found.question} Write ! after it where it was read so, or the "
                                "bound that it is.")
        for reading in readings
        if (found := beyond_range(reading, low, high))
    ]


def _intended(
    session: Session,
    one: SentRun,
    document: SlipTest,
    known: dict[str, list[Stored[SlipTest]]],
) -> Intended:
    if not one.id:
        pack = document.pack or ""
        if pack not in known:
            known[pack] = runs_of(session, pack)
        for stored in known[pack]:
            if not differences_of(stored.document, document, but=("name",)):
                return Intended(one.row, "unchanged", stored.name, one, None)
        if document.name and active_name_taken(session, SlipTestRow, document.name):
            told = Problem("name", f"There is already a run called “{document.name}”.")
            return Intended(one.row, "refused", "", one, None, problems=(told,))
        return Intended(one.row, "new", document.name or "named when saved", one, document)
    try:
        standing = slip_tests.get(session, one.id)
    except NotFound as fact:
        told = Problem("id", f"{fact.message} Leave the id blank to add it anew.")
        return Intended(one.row, "refused", "", one, None, problems=(told,))
    if one.version is not None and one.version != standing.version:
        told = Problem("version", f"It was changed since: the log has version {standing.version}. "
                                  "Take the file anew from there.")
        return Intended(one.row, "refused", standing.name, one, None, problems=(told,))
    if document.name is None:
        document = document.model_copy(update={"name": standing.name})
    document = _with_typed(standing.document, document)
    found = differences_of(standing.document, document)
    action: Action = "changed" if found else "unchanged"
    return Intended(one.row, action, standing.name, one, document, found)


def _with_typed(standing: SlipTest, document: SlipTest) -> SlipTest:
    """The document with the words that its unchanged readings were typed in."""
    readings = list(document.readings)
    for i, reading in enumerate(readings[: len(standing.readings)]):
        before = standing.readings[i]
        if _bare(before) == _bare(reading):
            readings[i] = before
    return document.model_copy(update={"readings": readings})


def _bare(reading: TorqueReading) -> TorqueReading:
    return reading.model_copy(update={"typed": None, "typed_high": None})


def differences_of(
    before: SlipTest, after: SlipTest, but: Sequence[str] = ()
) -> tuple[Difference, ...]:
    """What differs between two runs, the words of readings aside."""
    found = []
    for name in type(after).model_fields:
        one, other = getattr(before, name), getattr(after, name)
        if name == "readings":
            one, other = [_bare(r) for r in one], [_bare(r) for r in other]
        if name not in but and one != other:
            found.append(Difference(name, _shown(one), _shown(other)))
    return tuple(found)


def _shown(value: object) -> object:
    if isinstance(value, list):
        return [one.written() if isinstance(one, Document) else one for one in value]
    return value


def carry_out(
    session: WriteSession, sent: Sequence[SentRun], *, by: str, batch: str, expected: int
) -> ImportPlan:
    """Write what a file asks for: every line of it, in one transaction.

    Args:
        session: to write with.
        sent: the lines.
        by: who brings them in.
        batch: names the import in the history.
        expected: records that the look beforehand said would be written.

    Raises:
        BadInput: a line is refused, or another number would be written than was shown.
    """
    plan = plan_import(session, sent)
    if plan.count("refused"):
        raise BadInput([Problem("", "A line is refused now: look at the file again.")])
    if plan.writes != expected:
        told = "The log was changed since you looked: see again what would change."
        raise BadInput([Problem("", told)])
    context = Context(reason="brought in from CSV", batch=batch)
    for line in plan.lines:
        if line.document is None:
            continue
        if line.action == "new":
            slip_tests.add(session, line.document, by=by, context=context)
        elif line.action == "changed":
            standing = slip_tests.get(session, line.sent.id)
            slip_tests.change(
                session, line.sent.id, standing.version, line.document, by=by, context=context
            )
    return plan
