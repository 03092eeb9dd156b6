"""What the rows of a file would do to the catalogue: new, changed, unchanged, or not readable."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from app.documents import Document
from app.documents.flat import Column, problem_heading
from app.documents.flat_headings import ID, VERSION
from app.documents.flat_reading import CellProblem, FileColumns, read_row
from app.errors import BadInput
from app.mechanics.table_files import normalised
from app.records.base import NOT_SAID, folded
from app.records.import_queries import records_named
from app.records.listing import columns, rows_by_public_id
from app.services.bulk import document_name
from app.services.bulk_rows import BULK
from app.services.catalogue import Catalogue
from app.services.checked import unchecked_when_changed
from app.services.stored import Stored


@dataclass(frozen=True, slots=True)
class RowFound:
    """What one row would do.

    Attributes:
        number: of the row in the file, the header being 1.
        status: new, changed, unchanged or bad.
        record: id of the record that it is about, None for a new one.
        version: of that record.
        document: in its written form, None for a row that can't be read.
    """

    number: int
    status: str
    record: str | None = None
    version: int | None = None
    document: dict[str, Any] | None = None
    problems: tuple[CellProblem, ...] = ()

    def written(self) -> dict[str, Any]:
        """As a row of the table of imports."""
        return {
            "number": self.number,
            "status": self.status,
            "record": self.record,
            "version": self.version,
            "document": self.document,
            "problems": [[p.heading, p.found, p.expected] for p in self.problems] or None,
        }


Numbered = tuple[int, Mapping[str, str]]


@dataclass(frozen=True, slots=True)
class _Placed:
    """A row with the record that it is about, before its figures are read."""

    number: int
    cells: Mapping[str, str]
    standing: Stored[Any] | None


class RowReader:
    """Reads the rows of one file, a block at a time; names are kept apart over all of it."""

    def __init__(self, catalogue: Catalogue[Any], file_columns: Sequence[Column]) -> None:
        self.catalogue = catalogue
        self.columns = FileColumns(file_columns)
        self.kind = catalogue.noun.kind
        self._names: dict[str, int] = {}

    def read(self, session: Session, rows: Sequence[Numbered]) -> list[RowFound]:
        """What some rows would do."""
        placed, found = self._placed(session, rows)
        documents: list[tuple[_Placed, Document]] = []
        for row in placed:
            before = None if row.standing is None else row.standing.document
            read = read_row(
                self.catalogue.noun.model,
                self.columns,
                row.cells,
                None if before is None else before.written(),
            )
            if read.document is None:
                found.append(RowFound(row.number, "bad", problems=read.problems))
            else:
                documents.append((row, _same_facing(before, read.document)))
        settled, refused = self._completed(session, documents)
        found += refused
        settled, refused = self._with_what_they_name(session, settled)
        found += refused
        found += self._told(session, settled)
        return sorted(found, key=lambda one: one.number)

    def _placed(
        self, session: Session, rows: Sequence[Numbered]
    ) -> tuple[list[_Placed], list[RowFound]]:
        """Rows with their records; those that name none that stands as they say are bad."""
        ids = [cells[ID].strip() for _, cells in rows if cells[ID].strip()]
        names = [folded(cells["name"]) for _, cells in rows if not cells[ID].strip()]
        table = columns(self.catalogue.noun.table)
        named = {name: key for name, (key, _) in records_named(session, table, names).items()}
        aside = {
            key
            for key, row in rows_by_public_id(session, self.catalogue.noun.table, ids).items()
            if row["put_aside_at"] is not None
        }
        stored = self.catalogue.get_many(session, [*ids, *named.values()])
        by_id = {one.id: one for one in stored}
        placed, bad = [], []
        for number, cells in rows:
            key, version = cells[ID].strip(), cells[VERSION].strip()
            standing = by_id.get(key)
            problem = None
            if key and standing is None:
                problem = CellProblem(ID, key[:60], self._no_such(key in aside))
            elif standing is not None and version != str(standing.version):
                problem = CellProblem(VERSION, version[:60], _stale(standing))
            elif not key and version:
                told = "Leave the version blank for a new record, or give its id too."
                problem = CellProblem(VERSION, version[:60], told)
            if problem is not None:
                bad.append(RowFound(number, "bad", problems=(problem,)))
                continue
            if standing is None:
                standing = by_id.get(named.get(folded(cells["name"]), ""))
            placed.append(_Placed(number, cells, standing))
        return placed, bad

    def _no_such(self, aside: bool) -> str:
        if aside:
            return f"This {self.kind} was put aside. Bring it back first, or take the row out."
        return f"There is no {self.kind} with this id. Leave id and version blank for a new one."

    def _completed(
        self, session: Session, rows: Sequence[tuple[_Placed, Document]]
    ) -> tuple[list[tuple[_Placed, Document]], list[RowFound]]:
        """The documents with the usual doubts, as they would be kept."""
        try:
            done = self.catalogue.completed(session, [document for _, document in rows])
            return [(row, document) for (row, _), document in zip(rows, done, strict=True)], []
        except BadInput:
            pass  # which of them it is shows one by one
        kept, bad = [], []
        for row, document in rows:
            try:
                (done_one,) = self.catalogue.completed(session, [document])
                kept.append((row, done_one))
            except BadInput as refusal:
                bad.append(self._refused(row, refusal))
        return kept, bad

    def _with_what_they_name(
        self, session: Session, rows: Sequence[tuple[_Placed, Document]]
    ) -> tuple[list[tuple[_Placed, Document]], list[RowFound]]:
        """Rows whose facing, or pack, is there."""
        bulk = BULK[self.kind]
        standing = self._facing_keys(session, rows)
        try:
            bulk.values(session, [document for _, document in rows], standing)
        except BadInput as refusal:
            places: dict[int, list[CellProblem]] = {}
            for problem in refusal.problems:
                place, _, path = problem.field.partition(".")
                heading = problem_heading(self.catalogue.noun.model, path)
                text = rows[int(place)][0].cells.get(heading, "")
                places.setdefault(int(place), []).append(
                    CellProblem(heading, text[:60], problem.message)
                )
            bad = [RowFound(rows[i][0].number, "bad", problems=tuple(p)) for i, p in places.items()]
            return [row for i, row in enumerate(rows) if i not in places], bad
        return list(rows), []

    def _facing_keys(
        self, session: Session, rows: Sequence[tuple[_Placed, Document]]
    ) -> list[int | None]:
        ids = [row.standing.id for row, _ in rows if row.standing is not None]
        found = rows_by_public_id(session, self.catalogue.noun.table, ids)
        keys = {key: row["facing_id"] for key, row in found.items() if "facing_id" in row}
        return [keys.get(row.standing.id) if row.standing else None for row, _ in rows]

    def _told(self, session: Session, rows: Sequence[tuple[_Placed, Document]]) -> list[RowFound]:
        """New, changed or unchanged; a name that is given twice is bad."""
        names = [folded(document_name(document)) for _, document in rows]
        table = columns(self.catalogue.noun.table)
        taken = records_named(session, table, names)
        found = []
        for (row, document), name in zip(rows, names, strict=True):
            problem = self._name_problem(row, document, name, taken)
            if problem is not None:
                found.append(RowFound(row.number, "bad", problems=(problem,)))
                continue
            found.append(self._one_told(row, document))
        return found

    def _name_problem(
        self,
        row: _Placed,
        document: Document,
        name: str,
        taken: Mapping[str, tuple[str, int]],
    ) -> CellProblem | None:
        first = self._names.setdefault(name, row.number)
        shown = document_name(document)
        if first != row.number:
            return CellProblem("name", shown, f"Row {first} has this name. Give each its own.")
        key, version = taken.get(name, ("", 0))
        own = "" if row.standing is None else row.standing.id
        if key and key != own:
            return CellProblem("name", shown, f"Another {self.kind} has this name. Choose another.")
        new = not row.cells[ID].strip()
        if new and row.standing is not None and document != row.standing.document:
            told = (
                f"There is a {self.kind} of this name with other figures. To change it, write its "
                f"id {key} and version {version}; for a new one, choose another name."
            )
            return CellProblem("name", shown, told)
        return None

    def _one_told(self, row: _Placed, document: Document) -> RowFound:
        if row.standing is None:
            return RowFound(row.number, "new", document=document.written())
        standing = row.standing
        document = unchecked_when_changed(standing.document, document)
        status = "unchanged" if document == standing.document else "changed"
        return RowFound(row.number, status, standing.id, standing.version, document.written())

    def _refused(self, row: _Placed, refusal: BadInput) -> RowFound:
        found = []
        for problem in refusal.problems:
            _, _, path = problem.field.partition(".")
            heading = problem_heading(self.catalogue.noun.model, path)
            found.append(CellProblem(heading, row.cells.get(heading, "")[:60], problem.message))
        return RowFound(row.number, "bad", problems=tuple(found))


def _stale(standing: Stored[Any]) -> str:
    known = standing.changed_by != NOT_SAID
    by = f"by {standing.changed_by}" if known else "with no name given"
    return (
        f"The record is at version {standing.version} now, saved {by}. Export it again and make "
        "the change there."
    )


def _same_facing(before: Document | None, document: Document) -> Document:
    """The document with its facing written as the record has it, where both mean the same."""
    mine, own = getattr(document, "facing", None), getattr(before, "facing", None)
    if mine and own and mine != own and normalised(mine) == normalised(own):
        return document.model_copy(update={"facing": own})
    return document
