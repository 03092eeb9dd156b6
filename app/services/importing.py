"""Files of records: taken in, looked through without writing, then kept in one go or not at all.

The files' rows lie in the database, so that any process can show them and go on with them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from sqlalchemy.engine import Engine
from sqlmodel import Session

from app.documents import Document
from app.documents.flat import Column
from app.documents.flat_headings import ID, known_share, read_headings
from app.errors import AppError, BadInput, NotFound, NotImported, Problem
from app.records import import_queries as queries
from app.records.base import Row, now, public_id
from app.records.database import WriteSession, read_session, writing
from app.services.bulk import Wanted, blocks
from app.services.catalogue import Catalogue, engines, offers, packs
from app.services.import_rows import RowReader
from app.services.stored import Context

KINDS: Mapping[str, Catalogue[Any]] = {"pack": packs, "engine": engines, "offer": offers}
"""What a file can hold, by the kind of its records."""

SILENT = timedelta(seconds=60)
"""A job that wrote nothing for so long was stopped half-way."""

ALL, GOOD = "all", "good"
"""All rows or none; or the good rows only."""

_BLOCK = 250
_OF_RESULTS = frozenset({"verdict", "ratio"})
_OF_SLIP_TESTS = "readings_N_m"


@dataclass(frozen=True, slots=True)
class Job:
    """A file as it stands.

    Attributes:
        counts: rows by status.
        stuck: whether it was stopped half-way.
    """

    id: str
    row: Row
    counts: Mapping[str, int]
    stuck: bool

    @property
    def catalogue(self) -> Catalogue[Any]:
        """Of the records that the file holds."""
        return KINDS[self.row["noun"]]

    @property
    def stage(self) -> str:
        """checking, checked, saving, saved or failed."""
        return str(self.row["stage"])

    def count(self, status: str) -> int:
        """Rows of one status."""
        return self.counts.get(status, 0)


def kind_of(headings: Sequence[str]) -> str:
    """The kind of record whose columns a file has.

    Raises:
        BadInput: it could be several, or none.
    """
    shares = {
        kind: known_share(catalogue.noun.model, headings) for kind, catalogue in KINDS.items()
    }
    best = max(shares.values())
    found = [kind for kind, share in shares.items() if share == best]
    if len(found) != 1 or best < 0.5:
        told = "The headings do not say what the file holds. Choose packs, engines or offers."
        raise BadInput([Problem("kind", told)])
    return found[0]


def refuse_results(headings: Sequence[str]) -> None:
    """Stop at a file that this program wrote and that holds no records of these kinds.

    Raises:
        BadInput: it holds verdicts, which follow from records, or slip tests.
    """
    found = set(headings)
    told = ""
    if found >= _OF_RESULTS:
        told = (
            "This file is a result: verdicts of a board, a comparison or the shortlist, worked out "
            "from packs and engines. It can't be imported. Import the packs, engines or offers "
            "themselves, as this page exports them; the verdicts follow from those."
        )
    elif _OF_SLIP_TESTS in found:
        told = "This file holds slip tests. Under Tests, “Bring runs in from CSV” takes it."
    if told:
        raise BadInput([Problem("file", told)])


def take_in(
    engine: Engine,
    headings: Sequence[str],
    rows: Sequence[Mapping[str, str]],
    *,
    kind: str | None,
    variant: str,
    by: str,
) -> str:
    """Keep a file to be looked through; the id of its job. Nothing is changed by it.

    Raises:
        BadInput: a column is missing, unknown or in another unit, an id stands twice, or the file
            is a result.
    """
    refuse_results(headings)
    noun = kind or kind_of(headings)
    if noun not in KINDS:
        raise BadInput([Problem("kind", f"Choose one of {', '.join(KINDS)}.")])
    read_headings(KINDS[noun].noun.model, headings)
    first: dict[str, int] = {}
    problems = []
    for number, cells in enumerate(rows, start=2):
        key = cells[ID].strip()
        if key and first.setdefault(key, number) != number:
            told = f"The id {key[:60]} stands in row {first[key]} and in row {number}. Keep one."
            problems.append(Problem(ID, told))
    if problems:
        raise BadInput(problems[:20])
    return queries.add_job(engine, by=by, noun=noun, variant=variant, headings=headings, rows=rows)


def job_of(session: Session, job: str) -> Job:
    """A file as it stands.

    Raises:
        NotFound: there is none, or it was thrown out after a week.
    """
    row = queries.job_row(session, job)
    if row is None:
        raise NotFound("import", job)
    running = row["stage"] in ("checking", "saving")
    stuck = running and row["beat"] < now() - SILENT
    return Job(job, row, queries.status_counts(session, row["id"]), stuck)


def bad_rows(session: Session, found: Job, limit: int) -> list[tuple[int, str, str, str]]:
    """Cells that can't be read: row, heading, what was found, what would be right."""
    rows = queries.job_rows(session, found.row["id"], ("bad",), limit)
    return [(row["number"], *problem) for row in rows for problem in row["problems"] or ()]


def begin_check(engine: Engine, job: str) -> bool:
    """Take a file to be looked through again; False where somebody is at it."""
    return queries.take_job(engine, job, ("checked", "failed"), "checking", now() - SILENT)


def begin_save(engine: Engine, job: str) -> bool:
    """Take a file to be kept; False where that was done or is being done."""
    return queries.take_job(engine, job, ("checked",), "saving", now() - SILENT)


def check(engine: Engine, job: str) -> None:
    """Look through a file's rows and note what each would do; writes nothing of the catalogue."""
    key = 0
    try:
        with read_session(engine) as session:
            found = job_of(session, job)
            key = found.row["id"]
            rows = [(r["number"], r["cells"]) for r in queries.job_rows(session, key)]
        reader = RowReader(found.catalogue, _columns(found))
        done = 0
        for block in blocks(rows, _BLOCK):
            with read_session(engine) as session:
                findings = reader.read(session, block)
            done += len(block)
            with queries.beside_the_catalogue(engine) as connection:
                queries.keep_findings(connection, key, [f.written() for f in findings])
                queries.set_job(connection, key, done=done)
        with queries.beside_the_catalogue(engine) as connection:
            queries.set_job(connection, key, stage="checked", done=done)
    except AppError as fact:
        _failed(engine, key, fact)
        raise


def save(engine: Engine, job: str, mode: str, *, by: str) -> str:
    """Keep what a file says, in one transaction; the batch of its changes.

    Raises:
        NotImported: rows can't be read and the file is to be kept as a whole; or it has nothing.
        StaleRecord, DuplicateName, BadInput, NotFound: the catalogue changed since it was looked
            through; nothing was written.
    """
    key = 0
    try:
        with read_session(engine) as session:
            found = job_of(session, job)
            key = found.row["id"]
            _refuse_what_cannot_be(found, mode)
            wanted = ("new", "changed")
            rows = queries.job_rows(session, key, wanted, cells=False)
        new = [r for r in rows if r["status"] == "new"]
        changed = [r for r in rows if r["status"] == "changed"]
        model: type[Document] = found.catalogue.noun.model
        documents = [model.model_validate(r["document"]) for r in new]
        batch = public_id()
        context = Context(reason=f"import of {found.row['noun']}s", batch=batch)
        with writing(engine) as session:
            if documents:
                found.catalogue.add_many(session, documents, by=by, context=context)
            if changed:
                wanted_changes = _wanted(session, found, changed)
                found.catalogue.change_many(session, wanted_changes, by=by, context=context)
            connection = session.connection()
            queries.drop_rows(connection, key, ("new", "changed", "unchanged"))
            queries.set_job(
                connection, key, stage="saved", done=len(rows), batch=batch, by=by, message=None
            )
        return batch
    except AppError as fact:
        _failed(engine, key, fact)
        raise


def _refuse_what_cannot_be(found: Job, mode: str) -> None:
    bad, good = found.count("bad"), found.count("new") + found.count("changed")
    if mode != GOOD and bad:
        rows = "1 row" if bad == 1 else f"{bad} rows"
        raise NotImported(f"Nothing was imported: {rows} cannot be read.")
    if not good:
        raise NotImported("There is nothing to change in this file.")


def _wanted(session: WriteSession, found: Job, rows: Sequence[Row]) -> list[Wanted[Any]]:
    """The changes with the records as they stand, in the order of the rows."""
    catalogue = found.catalogue
    standing = {s.id: s for s in catalogue.get_many(session, [r["record"] for r in rows])}
    made = []
    for row in rows:
        stored = standing.get(row["record"])
        if stored is None:
            raise NotFound(catalogue.noun.kind, row["record"])
        document = catalogue.noun.model.model_validate(row["document"])
        made.append(Wanted(stored.id, row["version"], stored.document, document))
    return made


def _columns(found: Job) -> tuple[Column, ...]:
    return read_headings(found.catalogue.noun.model, found.row["headings"]).columns


def _failed(engine: Engine, key: int, fact: AppError) -> None:
    stage = "checked" if isinstance(fact, NotImported) else "failed"
    with queries.beside_the_catalogue(engine) as connection:
        queries.set_job(connection, key, stage=stage, message=fact.message)
