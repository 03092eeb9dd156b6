"""People of the team, for administrators: who may use the server, and as what."""

import logging
from collections.abc import Callable
from dataclasses import dataclass

from fastapi import APIRouter, Request
from sqlmodel import Session
from starlette.responses import Response

from app.errors import BadInput, DuplicateName, StaleRecord
from app.presentation.people import (
    ROLE_OPTIONS,
    ROLE_WORDS,
    MemberLine,
    SessionLine,
    session_lines,
    state_words,
    time_words,
)
from app.records import database
from app.records.database import WriteSession
from app.records.members import Member
from app.services import members
from app.services.own_account import account_of
from app.services.setup_codes import make_code
from app.web.deps import ReadSessionDep, WriteSessionDep
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import SentForm, sent_version
from app.web.htmx import redirect
from app.web.notices import Notice
from app.web.render import page
from app.web.routes.me import member_asking
from app.web.visitor import peer, visitor_of

log = logging.getLogger("gripledger.security")
router = APIRouter()

LIST = "pages/people/members.html"
ONE = "pages/people/member.html"
ALONE = "pages/people/alone.html"


@dataclass(frozen=True)
class MembersPage:
    """The list with the form for one more; `code` was made just now and is shown this once."""

    form: FormReader
    members: tuple[MemberLine, ...]
    code: str = ""
    code_for: str = ""
    roles: tuple[tuple[str, str], ...] = ROLE_OPTIONS


@dataclass(frozen=True)
class MemberPage:
    """One member, with what may be done."""

    form: FormReader
    key: str
    version: int
    name: str
    role: str
    state: str
    disabled: bool
    changed: str
    sessions: tuple[SessionLine, ...]
    code: str = ""
    roles: tuple[tuple[str, str], ...] = ROLE_OPTIONS


@router.get("/members")
def show_list(request: Request, session: ReadSessionDep) -> Response:
    """Everybody; where nobody signs in, what to do so that they can."""
    if not visitor_of(request).signs_in:
        return page(request, ALONE, None)
    return page(request, LIST, _list(session, FormReader({"role": "editor"})))


@router.post("/members")
def add(request: Request, form: SentForm) -> Response:
    """Add a member, and show the code with which they choose a password."""
    who, engine = member_asking(request), request.app.state.engine
    name, role = form.raw.get("name", ""), form.raw.get("role", "")
    try:
        with database.writing(engine) as session:
            member = members.add_member(session, name, role, by=who.name)
            code = make_code(session.connection(), member.id)
            key, name = member.public_id, member.name
    except BadInput as refusal:
        form.problems = list(refusal.problems)
    except DuplicateName as fact:
        form.say("name", fact.message)
    else:
        log.info("member %s added as %s by %s from %s", key, role, who.member, peer(request))
        with database.read_session(engine) as read:
            view = _list(read, FormReader({"role": "editor"}), code, name)
            return page(request, LIST, view)
    with database.read_session(engine) as read:
        return page(request, LIST, _list(read, form), 422)


@router.get("/members/{key}")
def show(request: Request, session: ReadSessionDep, key: str) -> Response:
    """One member."""
    member_asking(request)
    return _one(request, members.member_by_key(session, key))


@router.post("/members/{key}/role")
def change_role(request: Request, form: SentForm, key: str) -> Response:
    """Give another role."""
    who = member_asking(request)
    role = form.raw.get("role", "")

    def change(session: WriteSession) -> str:
        member = members.set_role(session, key, sent_version(form), role, by=who.name)
        return f"{member.name} is {ROLE_WORDS[member.role].lower()} now."

    return _changed(request, form, key, f"role {role[:20]}", change)


@router.post("/members/{key}/disable")
def disable(request: Request, form: SentForm, key: str) -> Response:
    """Shut out, at once and everywhere."""
    who = member_asking(request)

    def change(session: WriteSession) -> str:
        member = members.disable(session, key, sent_version(form), by=who.name)
        return f"{member.name} is disabled and signed out everywhere."

    return _changed(request, form, key, "disabled", change)


@router.post("/members/{key}/enable")
def enable(request: Request, form: SentForm, key: str) -> Response:
    """Let in again."""
    who = member_asking(request)

    def change(session: WriteSession) -> str:
        return f"{members.enable(session, key, sent_version(form), by=who.name).name} may sign in."

    return _changed(request, form, key, "enabled", change)


@router.post("/members/{key}/end-sessions")
def end_sessions(request: Request, session: WriteSessionDep, key: str) -> Response:
    """Sign a member out everywhere."""
    who = member_asking(request)
    count = members.end_sessions(session, key)
    log.info("%d sessions of %s ended by %s from %s", count, key, who.member, peer(request))
    return redirect(request, f"/members/{key}", Notice("Signed out everywhere."))


@router.post("/members/{key}/reset")
def reset(request: Request, form: SentForm, key: str) -> Response:
    """Take the password away and show a code for a new one."""
    who, engine = member_asking(request), request.app.state.engine
    try:
        with database.writing(engine) as session:
            member = members.reset(session, key, sent_version(form), by=who.name)
            code = make_code(session.connection(), member.id)
    except (BadInput, StaleRecord) as fact:
        return _again(request, form, key, fact)
    log.info("member %s reset by %s from %s", key, who.member, peer(request))
    with database.read_session(engine) as read:
        return _one(request, members.member_by_key(read, key), code=code)


def _changed(
    request: Request, form: FormReader, key: str, what: str, change: Callable[[WriteSession], str]
) -> Response:
    """Make one change, then show the member with what was done, or with what is wrong."""
    try:
        with database.writing(request.app.state.engine) as session:
            told = change(session)
    except (BadInput, StaleRecord) as fact:
        return _again(request, form, key, fact)
    by = member_asking(request).member
    log.info("member %s: %s, by %s from %s", key, what, by, peer(request))
    return redirect(request, f"/members/{key}", Notice(told))


def _again(request: Request, form: FormReader, key: str, fact: BadInput | StaleRecord) -> Response:
    form.problems = list(fact.problems) if isinstance(fact, BadInput) else []
    if isinstance(fact, StaleRecord):
        form.say("", "Somebody else changed this member meanwhile. Look again, then decide.")
    status = 409 if isinstance(fact, StaleRecord) else 422
    with database.read_session(request.app.state.engine) as session:
        return _one(request, members.member_by_key(session, key), form, status)


def _list(session: Session, form: FormReader, code: str = "", code_for: str = "") -> MembersPage:
    lines = tuple(
        MemberLine(
            key=member.public_id,
            name=member.name,
            role=ROLE_WORDS[member.role],
            state=_state(member),
            changed=time_words(member.changed_at),
        )
        for member in members.all_members(session)
    )
    return MembersPage(form, lines, code, code_for)


def _one(
    request: Request,
    member: Member,
    form: FormReader | None = None,
    status: int = 200,
    code: str = "",
) -> Response:
    account = account_of(request.app.state.engine, member.public_id)
    view = MemberPage(
        form=form or FormReader({"role": member.role}),
        key=member.public_id,
        version=member.version,
        name=member.name,
        role=ROLE_WORDS[member.role],
        state=_state(member),
        disabled=member.disabled_at is not None,
        changed=f"Changed by {member.changed_by}, {time_words(member.changed_at)}",
        sessions=session_lines(account.sessions, ""),
        code=code,
    )
    return page(request, ONE, view, status)


def _state(member: Member) -> str:
    return state_words(member.disabled_at is not None, member.password_hash is not None)
