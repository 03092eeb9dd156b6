"""The pages on which a record is added, copied and changed: alike for packs and for engines."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Generic, TypeVar

from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import Response

from app.documents import Document
from app.presentation.turned_verdicts import turned_lines, turned_words
from app.records import database
from app.services.own_verdicts import own_verdicts
from app.services.standing import standing
from app.services.stored import Stored
from app.services.team_settings import measured_by
from app.web.forms.form_views import FormView, stale_view, still_as_copied
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import (
    ACTION,
    LOOK,
    SUBMISSION,
    VERSION,
    Outcome,
    RecordKind,
    as_copied,
    look_at_change,
    new_token,
    save_change,
    save_new,
    sent_version,
)
from app.web.htmx import is_htmx, redirect
from app.web.notices import Notice
from app.web.render import page
from app.web.visitor import visitor_of

D = TypeVar("D", bound=Document)


@dataclass(frozen=True)
class FormPages(Generic[D]):
    """The form pages of one kind of record.

    Attributes:
        kind: how its form becomes a document.
        path: address of its list.
        template: of its form.
        beginning: what stands in the boxes of a blank form.
        more: what the form shows besides, from the session and what stands in the boxes.
        change_form: does what a button of the form itself asks for and gives the name of the box
            to go on at; None where the form is to be saved.
    """

    kind: RecordKind[D]
    path: str
    template: str
    beginning: Mapping[str, str]
    more: Callable[[Session, FormReader], Mapping[str, Any]]
    change_form: Callable[[FormReader], str | None]

    def blank(self, request: Request, session: Session) -> Response:
        """A blank form."""
        form = FormReader({**self.beginning, **_stamp(request, session), SUBMISSION: new_token()})
        return page(request, self.template, self._new_view(session, form))

    def add(self, request: Request, form: FormReader) -> Response:
        """Add a record, or change the form itself."""
        return self._saved_new(request, form, None)

    def copy(self, request: Request, session: Session, key: str) -> Response:
        """A form filled from another record, under a free name."""
        catalogue = self.kind.catalogue
        source = catalogue.get(session, key)
        texts = {**self.beginning, **self.kind.texts(catalogue.copy(session, key))}
        form = FormReader({**texts, **_stamp(request, session), SUBMISSION: new_token()})
        return page(request, self.template, self._new_view(session, form, source))

    def add_copy(self, request: Request, form: FormReader, key: str) -> Response:
        """Add a record that was filled from another."""
        with database.read_session(request.app.state.engine) as session:
            source = self.kind.catalogue.get(session, key, put_aside_too=True)
        return self._saved_new(request, form, source)

    def edit(self, request: Request, session: Session, key: str) -> Response:
        """A record's form as it was filled in."""
        stored = self.kind.catalogue.get(session, key)
        texts = {**self.beginning, **self.kind.texts(stored.document), **_stamp(request, session)}
        form = FormReader({**texts, VERSION: str(stored.version)})
        return page(request, self.template, self._edit_view(session, form, stored))

    def change(self, request: Request, form: FormReader, key: str) -> Response:
        """Change a record, or change the form itself."""
        engine = request.app.state.engine
        # Closed before the save: a reader that is open would hold the writer up.
        with database.read_session(engine) as session:
            stored = self.kind.catalogue.get(session, key)
            before = own_verdicts(session, self.kind.noun, key)
            now = standing(session)
        outcome: Outcome[D] = Outcome()
        focus = None
        if form.raw.get(ACTION) == LOOK:
            outcome = look_at_change(engine, self.kind, form, key, stored.document, now)
        elif (focus := self.change_form(form)) is None:
            outcome = save_change(engine, self.kind, form, key, stored.document)
            if outcome.stored is not None:
                with database.read_session(engine) as session:
                    turned = turned_words(before, own_verdicts(session, self.kind.noun, key))
                return self._done(request, outcome.stored, form, turned)
            _leave_to_script(request, outcome)
        with database.read_session(engine) as session:
            view = self._edit_view(session, form, stored, outcome, focus or "")
        if outcome.verdicts is not None:
            view = replace(view, turns=turned_lines(before, outcome.verdicts))
        return page(request, self.template, view, outcome.status)

    def _saved_new(self, request: Request, form: FormReader, source: Stored[D] | None) -> Response:
        engine = request.app.state.engine
        outcome: Outcome[D] = Outcome()
        focus = self.change_form(form)
        if focus is None:
            like = None if source is None else as_copied(source.document, source.name)
            outcome = save_new(engine, self.kind, form, like)
            if outcome.stored is not None:
                return self._done(request, outcome.stored, form)
            _leave_to_script(request, outcome)
        with database.read_session(engine) as session:
            view = self._new_view(session, form, source, focus or "")
            return page(request, self.template, view, outcome.status)

    def _done(
        self, request: Request, stored: Stored[D], form: FormReader, turned: str = ""
    ) -> Response:
        told = " ".join(part for part in (f"{self.kind.noun.capitalize()} saved.", turned) if part)
        unusual = len(form.cautions)
        if unusual:
            figures = "1 figure is" if unusual == 1 else f"{unusual} figures are"
            told = f"{told} {figures} unusual: see below."
        return redirect(request, f"{self.path}/{stored.id}", Notice(told))

    def _new_view(
        self,
        session: Session,
        form: FormReader,
        source: Stored[D] | None = None,
        focus: str = "",
    ) -> FormView:
        noun = self.kind.noun
        shown: dict[str, Any] = {
            "heading": f"New {noun}",
            "action": f"{self.path}/new",
            "cancel": self.path,
            "draft": f"{noun}-new",
        }
        if source is not None:
            shown = {
                "heading": f"New {noun}, copied from {source.name}",
                "action": f"{self.path}/{source.id}/copy",
                "cancel": f"{self.path}/{source.id}",
                "draft": f"{noun}-copy-{source.id}",
                "copied_from": source.name,
                "copied": still_as_copied(form, self.kind.texts(source.document)),
            }
        return FormView(
            form=form,
            save=f"Save {noun}",
            submission=form.raw.get(SUBMISSION, "") or new_token(),
            focus=focus,
            **shown,
            **self.more(session, form),
        )

    def _edit_view(
        self,
        session: Session,
        form: FormReader,
        stored: Stored[D],
        outcome: Outcome[D] | None = None,
        focus: str = "",
    ) -> FormView:
        noun, version, told = self.kind.noun, sent_version(form), None
        if outcome is not None and outcome.stale is not None:
            stale = outcome.stale
            version = stale.version
            theirs = {**self.beginning, **self.kind.texts(stale.document)}
            told = stale_view(stale, theirs, form)
        return FormView(
            heading=f"Change {stored.name}",
            form=form,
            action=f"{self.path}/{stored.id}/edit",
            cancel=f"{self.path}/{stored.id}",
            draft=f"{noun}-{stored.id}-v{version}",
            save=f"Save {noun}",
            version=version,
            stale=told,
            focus=focus,
            **self.more(session, form),
        )


def _leave_to_script(request: Request, outcome: Outcome[Any]) -> None:
    """Leave a failed storage to the script, which keeps the form and offers to try again."""
    if outcome.failure is not None and is_htmx(request):
        raise outcome.failure


def _stamp(request: Request, session: Session) -> dict[str, str]:
    """Where the figures come from, unless another choice is made: measured, today.

    By the member who is signed in, else by the team's usual name. A figure whose doubt is left
    blank would count as exact if nobody said how it is known, and look the surest of all; so a
    form begins with the usual doubts of measured figures, and not with none.
    """
    name = visitor_of(request).name or measured_by(session)
    return {"stamp_by": name, "stamp_at": date.today().isoformat(), "stamp_how": "measured"}
