"""Add, change, put aside and find the catalogue's records.

Everything here flushes and never commits: the request or command that opened the session does.
Each change is written to the history in the same transaction.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, TypeVar

from sqlalchemy.orm.exc import StaleDataError
from sqlmodel import Session

from app.documents import Document
from app.documents.doubts import with_defaults
from app.documents.text import LONGEST_NAME
from app.errors import DuplicateName, NotFound, StaleRecord
from app.records import listing
from app.records.base import now
from app.records.bookkeeping import Change, Submission
from app.records.database import WriteSession, raise_revision
from app.records.source_queries import submission
from app.services import bulk
from app.services.bench_nouns import FindingNoun, InstrumentNoun, SlipTestNoun
from app.services.bulk_rows import BULK
from app.services.checked import unchecked_when_changed
from app.services.keeping_nouns import ComparisonNoun, ShortlistNoun
from app.services.nouns import EngineNoun, FacingNoun, OfferNoun, PackNoun
from app.services.readable import Readable
from app.services.stored import NO_CONTEXT, Context, Stored
from app.services.team_settings import doubt_overrides

D = TypeVar("D", bound=Document)


class Catalogue(Readable[D]):
    """The records of one kind."""

    def add(
        self,
        session: WriteSession,
        document: D,
        *,
        by: str,
        submission_token: str | None = None,
        context: Context = NO_CONTEXT,
    ) -> Stored[D]:
        """Keep a new record; a form that was sent before gives the record it made then.

        Raises:
            DuplicateName: a record in use has this name.
            BadInput: the document names something that is not there.
        """
        raise_revision(session)
        if submission_token is not None:
            sent = submission(session, submission_token)
            if sent is not None and sent.noun == self.noun.kind:
                return self.get(session, sent.record, put_aside_too=True)
        document = self._completed(session, document, None)
        make: Any = self.noun.table
        row = make(created_by=by, changed_by=by)
        self._keep(session, row, document, by)
        if submission_token is not None:
            session.add(
                Submission(token=submission_token, noun=self.noun.kind, record=row.public_id)
            )
        stored = self.get(session, row.public_id)
        self._remember(session, "add", stored, None, by, context)
        return stored

    def change(
        self,
        session: WriteSession,
        public_id: str,
        version: int,
        document: D,
        *,
        by: str,
        context: Context = NO_CONTEXT,
    ) -> Stored[D]:
        """Replace a record's document, which must have been read at `version`.

        Nothing is written when nothing differs. A change of any figure withdraws "checked by".

        Raises:
            NotFound: there is no such record in use.
            StaleRecord: somebody saved it since; carries the record as it stands.
            DuplicateName: another record in use has the new name.
        """
        before, row = self._to_change(session, public_id, version)
        document = self._completed(session, document, before.document)
        document = unchecked_when_changed(before.document, document)
        if document == before.document:
            return before
        row.changed_at, row.changed_by = now(), by
        self._keep(session, row, document, by)
        stored = self.get(session, public_id)
        self._remember(session, "change", stored, before.document, by, context)
        return stored

    def put_aside(
        self,
        session: WriteSession,
        public_id: str,
        version: int,
        *,
        by: str,
        context: Context = NO_CONTEXT,
    ) -> Stored[D]:
        """Take a record out of use; it keeps all it has and can be brought back.

        Raises:
            NotFound, StaleRecord: as `change`.
            InUse: others still name it.
        """
        before, row = self._to_change(session, public_id, version)
        self.noun.before_put_aside(session, row)
        row.put_aside_at = row.changed_at = now()
        row.put_aside_by = row.changed_by = by
        self._flush(session, row)
        stored = self.get(session, public_id, put_aside_too=True)
        self._remember(session, "put aside", stored, before.document, by, context)
        return stored

    def bring_back(
        self,
        session: WriteSession,
        public_id: str,
        *,
        by: str,
        context: Context = NO_CONTEXT,
    ) -> Stored[D]:
        """Take a record into use again; one that is in use already is given back as it is.

        Raises:
            NotFound: there is no such record.
            DuplicateName: its name was given to another meanwhile.
        """
        raise_revision(session)
        row = self.noun.find(session, public_id)
        if row is None:
            raise NotFound(self.noun.kind, public_id)
        if row.put_aside_at is None:
            return self.get(session, public_id)
        if listing.active_name_taken(session, self.noun.table, row.name, row.id):
            raise DuplicateName(self.noun.kind, row.name)
        row.put_aside_at = row.put_aside_by = None
        row.changed_at, row.changed_by = now(), by
        self._flush(session, row)
        stored = self.get(session, public_id)
        self._remember(session, "bring back", stored, stored.document, by, context)
        return stored

    def add_many(
        self,
        session: WriteSession,
        documents: Sequence[D],
        *,
        by: str,
        context: Context = NO_CONTEXT,
    ) -> list[str]:
        """Keep new records in one go; their ids in the order of the documents.

        Raises:
            DuplicateName, BadInput: as `add`; a problem's path begins with the document's place.
        """
        completed = self.completed(session, documents)
        rows = BULK.get(self.noun.kind)
        if rows is None:
            return [self.add(session, d, by=by, context=context).id for d in completed]
        return bulk.add_many(self.noun, rows, session, completed, by, context)

    def change_many(
        self,
        session: WriteSession,
        wanted: Sequence[bulk.Wanted[D]],
        *,
        by: str,
        context: Context = NO_CONTEXT,
    ) -> None:
        """Replace the documents of many records, which must stand as they were read.

        Raises:
            NotFound, StaleRecord, DuplicateName, BadInput: as `change`.
        """
        settled = [
            replace(w, document=unchecked_when_changed(w.before, w.document)) for w in wanted
        ]
        rows = BULK.get(self.noun.kind)
        if rows is not None:
            bulk.change_many(self.noun, rows, session, settled, by, context)
            return
        for w in settled:
            own = replace(context, undoes=w.undoes)
            self.change(session, w.id, w.version, w.document, by=by, context=own)

    def move_many(
        self,
        session: WriteSession,
        records: Sequence[bulk.Moved],
        *,
        aside: bool,
        by: str,
        context: Context = NO_CONTEXT,
    ) -> None:
        """Put many records aside, or bring them back, as they were read.

        Raises:
            NotFound, StaleRecord, DuplicateName, InUse: as `put_aside` and `bring_back`.
        """
        if self.noun.kind in BULK:
            bulk.move_many(self.noun, session, records, by, context, aside=aside)
            return
        for r in records:
            own = replace(context, undoes=r.undoes)
            if aside:
                self.put_aside(session, r.id, r.version, by=by, context=own)
            else:
                self.bring_back(session, r.id, by=by, context=own)

    def completed(self, session: Session, documents: Sequence[D]) -> list[D]:
        """New documents with what is filled in on saving.

        Raises:
            BadInput: a usual doubt is as large as its figure; the path begins with the place.
        """
        doubts = doubt_overrides(session)
        return [
            with_defaults(self.noun.complete(document, doubts), doubts, f"{i}.")
            for i, document in enumerate(documents)
        ]

    def copy(self, session: Session, public_id: str, *, name: str | None = None) -> D:
        """A record's document under a free name, to be looked over and added.

        Raises:
            NotFound: there is no such record in use.
        """
        document = self.get(session, public_id).document
        base, n = name or str(getattr(document, "name", "")), 1
        free = name or _with_ending(base, " (copy)")
        while listing.active_name_taken(session, self.noun.table, free):
            n += 1
            free = _with_ending(base, f" {n}" if name else f" (copy {n})")
        return type(document).model_validate(document.written() | {"name": free, "checked": None})

    def _completed(self, session: Session, document: D, standing: D | None) -> D:
        doubts = doubt_overrides(session)
        document = self.noun.named(session, document, standing)
        return with_defaults(self.noun.complete(document, doubts), doubts)

    def _to_change(
        self, session: WriteSession, public_id: str, version: int
    ) -> tuple[Stored[D], Any]:
        """The record as it stands and the row to change.

        The revision is raised first: from here on nobody else can change it (see `database`).
        """
        raise_revision(session)
        standing = self.get(session, public_id)
        if standing.version != version:
            raise StaleRecord(self.noun.kind, public_id, version, standing.written())
        row = self.noun.find(session, public_id)
        if row is None:
            raise NotFound(self.noun.kind, public_id)
        return standing, row

    def _keep(self, session: WriteSession, row: Any, document: D, by: str) -> None:
        name = str(getattr(document, "name", ""))
        with session.no_autoflush:
            if listing.active_name_taken(session, self.noun.table, name, row.id):
                raise DuplicateName(self.noun.kind, name)
            try:
                self.noun.keep(session, row, document, by)
            except StaleDataError:
                raise self._stale(session, row) from None

    def _flush(self, session: WriteSession, row: Any) -> None:
        try:
            session.flush()
        except StaleDataError:
            raise self._stale(session, row) from None

    def _stale(self, session: WriteSession, row: Any) -> StaleRecord:
        public_id, version = str(row.public_id), int(row.version)
        session.rollback()
        standing = self.get(session, public_id, put_aside_too=True)
        return StaleRecord(self.noun.kind, public_id, version, standing.written())

    def _remember(
        self,
        session: WriteSession,
        action: str,
        stored: Stored[D],
        before: D | None,
        by: str,
        context: Context,
    ) -> None:
        session.add(
            Change(
                by=by,
                action=action,
                noun=self.noun.kind,
                record=stored.id,
                name=stored.name,
                version=stored.version,
                before=None if before is None else before.written(),
                after=None if action == "put aside" else stored.document.written(),
                reason=context.reason,
                request_id=context.request_id,
                batch=context.batch,
                undoes=context.undoes,
            )
        )
        session.flush()


def _with_ending(name: str, ending: str) -> str:
    """The name with an ending, shortened so that the whole is no longer than a name may be."""
    return name[: LONGEST_NAME - len(ending)].rstrip() + ending


packs = Catalogue(PackNoun())
engines = Catalogue(EngineNoun())
facings = Catalogue(FacingNoun())
offers = Catalogue(OfferNoun())
instruments = Catalogue(InstrumentNoun())
slip_tests = Catalogue(SlipTestNoun())
findings = Catalogue(FindingNoun())
comparisons = Catalogue(ComparisonNoun())
shortlist = Catalogue(ShortlistNoun())
