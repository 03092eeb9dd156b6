"""Saving what a form says: one record for one form however often it is sent, nobody's save lost.

A refusal of the catalogue comes back under the names of the form, so that the page can be drawn
again as it was filled in. Nothing is written before the whole form is in order.
"""

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Generic, TypeVar

from fastapi import Depends
from sqlalchemy.engine import Engine
from sqlmodel import Session
from starlette.datastructures import FormData
from starlette.requests import Request

from app import documents
from app.documents import Document, Q
from app.errors import BadInput, DuplicateName, Problem, StaleRecord, StorageUnavailable
from app.mechanics.inputs import EngineInputs, PackInputs
from app.records import database
from app.records.base import NOT_SAID
from app.records.database import WriteSession
from app.services.catalogue import Catalogue
from app.services.own_verdicts import OwnVerdict, inputs_unsaved, verdicts_with
from app.services.standing import Standing
from app.services.stored import Context, Stored
from app.services.team_settings import measured_by
from app.web.deps import WHO
from app.web.forms.box_labels import box_label
from app.web.forms.figures import FormRead, refused
from app.web.forms.reader import FormReader
from app.web.forms.typed_again import remember
from app.web.visitor import visitor_of

D = TypeVar("D", bound=Document)

SUBMISSION = "submission"
"""Name of the box that makes a form one form, however often it is sent."""

VERSION = "version"
REASON = "reason"
"""Name of the box that says why a record is changed, for the history."""

ACTION = "do"
"""Name of the buttons that change the form itself and save nothing."""

LOOK = "look"
"""What the button does that asks what a change would turn."""

MOST_BOXES = 6000
"""Boxes that one form may have: fifty groups of springs with their readings, and room."""

_LONGEST_NAME = 200


async def _sent_form(request: Request) -> FormReader:
    data: FormData = await request.form(max_fields=MOST_BOXES, max_files=0)
    remember(request, data)
    form = FormReader(dict(data))
    form.by = visitor_of(request).name or None
    return form


SentForm = Annotated[FormReader, Depends(_sent_form)]
"""The form that was sent, as a handler asks for it."""


@dataclass(frozen=True)
class RecordKind(Generic[D]):
    """How one kind of record goes between its form and the catalogue."""

    catalogue: Catalogue[D]
    model: type[D]
    texts: Callable[[D], dict[str, str]]
    read: Callable[[FormReader, D | None], FormRead[D]]

    @property
    def noun(self) -> str:
        """What the record is called."""
        return self.catalogue.noun.kind


@dataclass(frozen=True)
class Stale(Generic[D]):
    """The record as somebody else saved it meanwhile."""

    document: D
    version: int
    changed_by: str
    changed_at: str


@dataclass(frozen=True)
class Outcome(Generic[D]):
    """What became of a form: a record, or the status to draw it again with."""

    stored: Stored[D] | None = None
    status: int = 200
    stale: Stale[D] | None = None
    failure: StorageUnavailable | None = None
    verdicts: Mapping[str, OwnVerdict] | None = None
    """Of the record as the form has it, where that was asked and nothing is saved."""


class _Looked(Exception):
    """Takes back what was written to look at it."""

    def __init__(self, inputs: PackInputs | EngineInputs) -> None:
        super().__init__()
        self.inputs = inputs


def new_token() -> str:
    """A token that makes a form one form, however often it is sent."""
    return secrets.token_urlsafe(16)


def who(form: FormReader, usual: str | None = None) -> str:
    """Whose change it is: the member's who is signed in, else the name in the form or the usual."""
    if form.by is not None:
        return form.by
    typed = " ".join(form.raw.get("stamp_by", "").split())[:_LONGEST_NAME]
    return typed or usual or NOT_SAID


def usual_name(session: Session) -> str:
    """Who did it where nobody signs in and no name was typed: the team's usual name, or WHO."""
    return measured_by(session) or WHO


def save_new(
    engine: Engine, kind: RecordKind[D], form: FormReader, like: D | None = None
) -> Outcome[D]:
    """Add the record that a form describes.

    Args:
        engine: the database.
        kind: of the record.
        form: as it was sent.
        like: the record that the form was filled from, for a copy.
    """
    token = form.text(SUBMISSION, longest=_LONGEST_NAME)

    def add(session: WriteSession, document: D) -> Stored[D]:
        return kind.catalogue.add(session, document, by=who(form), submission_token=token)

    return _save(engine, kind, form, like, add)


def save_change(
    engine: Engine, kind: RecordKind[D], form: FormReader, public_id: str, standing: D
) -> Outcome[D]:
    """Change a record to what a form describes, unless somebody else did so meanwhile.

    Args:
        engine: the database.
        kind: of the record.
        form: as it was sent, with the version that it was filled from.
        public_id: of the record.
        standing: the record as it is.
    """
    version = sent_version(form)

    def change(session: WriteSession, document: D) -> Stored[D]:
        why = Context(reason=form.text(REASON))
        return kind.catalogue.change(
            session, public_id, version, document, by=who(form), context=why
        )

    return _save(engine, kind, form, standing, change)


def look_at_change(
    engine: Engine,
    kind: RecordKind[D],
    form: FormReader,
    public_id: str,
    standing: D,
    now: Standing,
) -> Outcome[D]:
    """The verdicts that a form would make, by the rules of `save_change`; nothing stays changed.

    Args:
        engine: the database.
        kind: of the record, a pack or an engine.
        form: as it was sent, with the version that it was filled from.
        public_id: of the record.
        standing: the record as it is.
        now: the catalogue as it is.
    """
    version = sent_version(form)

    def change(session: WriteSession, document: D) -> Stored[D]:
        kind.catalogue.change(session, public_id, version, document, by=who(form))
        raise _Looked(inputs_unsaved(session, kind.noun, public_id))

    try:
        return _save(engine, kind, form, standing, change)
    except _Looked as looked:
        return Outcome(verdicts=verdicts_with(looked.inputs, now))


def sent_version(form: FormReader) -> int:
    """The version that a form was filled from; 0, which no record has, where none was sent."""
    text = form.raw.get(VERSION, "").strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def _save(
    engine: Engine,
    kind: RecordKind[D],
    form: FormReader,
    known: D | None,
    write: Callable[[WriteSession, D], Stored[D]],
) -> Outcome[D]:
    names: Mapping[str, str] = {}
    try:
        reading = kind.read(form, known)
        names = reading.names
        with database.writing(engine) as session:
            return Outcome(write(session, reading.document))
    except BadInput as refusal:
        if not form.problems:
            refused(form, refusal.problems, names)
        form.problems = in_order(form)
        return Outcome(status=422)
    except DuplicateName as fact:
        form.say("name", fact.message)
        return Outcome(status=422)
    except StaleRecord as fact:
        return Outcome(status=409, stale=_stale(kind, fact))
    except StorageUnavailable as fact:
        form.say("", fact.message)
        return Outcome(status=503, failure=fact)


def in_order(form: FormReader) -> list[Problem]:
    """The problems in the order of the boxes, each naming the figure that it is about.

    A browser sends the boxes in the order of the page.
    """
    place = {name: i for i, name in enumerate(form.raw)}
    found = sorted(form.problems, key=lambda problem: place.get(problem.field, len(place)))
    return [_named(problem) for problem in found]


def _named(problem: Problem) -> Problem:
    """The same words stand in the summary, where it must be clear what they are about."""
    text = problem.message
    if problem.field in ("", "name") or not text.startswith(("Write ", "Choose ")):
        return problem
    return Problem(problem.field, f"{box_label(problem.field)}: {text[:1].lower()}{text[1:]}")


def _stale(kind: RecordKind[D], fact: StaleRecord) -> Stale[D]:
    current: Mapping[str, Any] = fact.current
    document = documents.read(kind.model, current["document"]).document
    changed_at = str(current["changed_at"])[:16].replace("T", " ")
    return Stale(document, int(current["version"]), str(current["changed_by"]), changed_at)


def as_copied(document: D, name: str) -> D:
    """The document with every figure marked as copied from the record of this name."""
    changed: dict[str, Any] = {}
    for key, value in document:
        if isinstance(value, Q):
            changed[key] = _copied(value, name)
        elif isinstance(value, Document):
            changed[key] = as_copied(value, name)
        elif isinstance(value, list) and value and isinstance(value[0], Document):
            changed[key] = [as_copied(part, name) for part in value]
    return document.model_copy(update=changed) if changed else document


def _copied(q: Q, name: str) -> Q:
    """A figure that nobody typed (the document's own default) stays unmarked."""
    if q.typed is None and q.how is None and q.plus_minus is None and q.std is None:
        return q
    told = "; ".join(part for part in (f"copied from {name}", q.with_what) if part)
    return q.model_copy(update={"with_what": told[:_LONGEST_NAME]})
