"""Members: who may use a shared server, and as what. Every change is written to the history.

Functions with a session flush and never commit, as in the catalogue.
"""

import unicodedata

import sqlalchemy as sa
from sqlalchemy.engine import Engine
from sqlalchemy.orm.exc import StaleDataError
from sqlmodel import Session, col, select

from app.errors import BadInput, DuplicateName, NotFound, Problem, StaleRecord
from app.records.base import NOT_SAID, folded, now
from app.records.bookkeeping import Change
from app.records.database import WriteSession, raise_revision
from app.records.members import ROLES, Member, name_key
from app.services import passwords
from app.services.setup_codes import drop_codes
from app.services.sign_in import MEMBER, TOKEN, end_sessions_of

KIND = "member"
LONGEST_NAME = 100
RESERVED = ("this computer", NOT_SAID, "gripledger")
"""Words that stand in the history where nobody is signed in."""


def has_administrator(engine: Engine) -> bool:
    """Whether somebody can sign in as an administrator, or could with a code."""
    with engine.connect() as connection:
        return _active_admins(connection) > 0


def all_members(session: Session) -> list[Member]:
    """Every member, disabled ones last, by name."""
    order = (col(Member.disabled_at).is_not(None), Member.name_key)
    return list(session.exec(select(Member).order_by(*order)))


def member_by_key(session: Session, key: str) -> Member:
    """One member by public id.

    Raises:
        NotFound: there is none.
    """
    chosen = select(Member).where(Member.public_id == key)
    found = session.exec(chosen.execution_options(populate_existing=True)).first()
    if found is None:
        raise NotFound(KIND, key)
    return found


def member_by_name(session: Session, name: str) -> Member:
    """One member by name, in whatever case.

    Raises:
        NotFound: there is none.
    """
    found = session.exec(select(Member).where(Member.name_key == name_key(name))).first()
    if found is None:
        raise NotFound(KIND, f"“{name}”")
    return found


def add_member(
    session: WriteSession, name: str, role: str, *, by: str, password: str | None = None
) -> Member:
    """Add a member; without a password a code has to be made for them.

    Raises:
        BadInput: the name, the role or the password can't be taken.
        DuplicateName: there is a member of this name, perhaps disabled.
    """
    raise_revision(session)
    plain = " ".join(unicodedata.normalize("NFC", name).split())
    problems = _problems(plain, role, password)
    if problems:
        raise BadInput(problems)
    if session.exec(select(Member).where(Member.name_key == name_key(plain))).first() is not None:
        raise DuplicateName(KIND, plain)
    member = Member(name=plain, name_key=name_key(plain), role=role, created_by=by, changed_by=by)
    if password is not None:
        member.password_hash, member.password_at = passwords.make_hash(password), now()
    session.add(member)
    session.flush()
    _remember(session, "add", member, None, by)
    return member


def set_role(session: WriteSession, key: str, version: int, role: str, *, by: str) -> Member:
    """Give a member another role.

    Raises:
        NotFound, StaleRecord: as the catalogue.
        BadInput: no such role, or the last administrator would be gone.
    """
    member = _to_change(session, key, version)
    if role not in ROLES:
        raise BadInput([Problem("role", f"Choose one of: {', '.join(ROLES)}.")])
    if role == member.role:
        return member
    before = _told(member)
    _keep_an_administrator(session, member)
    member.role = role
    return _changed(session, "change", member, before, by)


def disable(session: WriteSession, key: str, version: int, *, by: str) -> Member:
    """Shut a member out: every session, code and token of theirs ends at once.

    Raises:
        NotFound, StaleRecord, BadInput: as `set_role`.
    """
    member = _to_change(session, key, version)
    if member.disabled_at is not None:
        return member
    before = _told(member)
    _keep_an_administrator(session, member)
    member.disabled_at = now()
    _end_all(session, member)
    return _changed(session, "put aside", member, before, by)


def enable(session: WriteSession, key: str, version: int, *, by: str) -> Member:
    """Let a member in again, with the password they had.

    Raises:
        NotFound, StaleRecord: as `set_role`.
    """
    member = _to_change(session, key, version)
    if member.disabled_at is None:
        return member
    before = _told(member)
    member.disabled_at = None
    return _changed(session, "bring back", member, before, by)


def reset(session: WriteSession, key: str, version: int, *, by: str) -> Member:
    """Take a member's password away, with every session and token; a code begins anew.

    Raises:
        NotFound, StaleRecord: as `set_role`.
    """
    member = _to_change(session, key, version)
    before = _told(member)
    member.password_hash = member.password_at = None
    _end_all(session, member)
    return _changed(session, "change", member, before, by)


def end_sessions(session: WriteSession, key: str) -> int:
    """End every session of a member, and give how many there were."""
    member = member_by_key(session, key)
    return end_sessions_of(session.connection(), member.id or 0)


def _problems(name: str, role: str, password: str | None) -> list[Problem]:
    found = []
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        told = f"Write a name of 1 to {LONGEST_NAME} printable characters."
        found.append(Problem("name", told))
    elif folded(name) in RESERVED:
        found.append(Problem("name", "Write another name: this one has a meaning in the history."))
    if role not in ROLES:
        found.append(Problem("role", f"Choose one of: {', '.join(ROLES)}."))
    weak = None if password is None else passwords.password_problem(password, name)
    if weak is not None:
        found.append(Problem("password", weak))
    return found


def _to_change(session: WriteSession, key: str, version: int) -> Member:
    raise_revision(session)
    member = member_by_key(session, key)
    if member.version != version:
        raise StaleRecord(KIND, key, version, {"version": member.version, **_told(member)})
    return member


def _active_admins(connection: sa.Connection) -> int:
    chosen = sa.select(sa.func.count()).select_from(MEMBER)
    mine = (MEMBER.c.role == "admin") & MEMBER.c.disabled_at.is_(None)
    return int(connection.execute(chosen.where(mine)).scalar_one())


def _keep_an_administrator(session: WriteSession, member: Member) -> None:
    """Refuse to lose the last one: nobody could then let anybody in."""
    if member.role != "admin" or member.disabled_at is not None:
        return
    if _active_admins(session.connection()) < 2:
        told = "Make another member an administrator first: this is the only one."
        raise BadInput([Problem("role", told)])


def _end_all(session: WriteSession, member: Member) -> None:
    connection = session.connection()
    end_sessions_of(connection, member.id or 0)
    drop_codes(connection, member.id or 0)
    connection.execute(sa.delete(TOKEN).where(TOKEN.c.member_id == member.id))


def _told(member: Member) -> dict[str, object]:
    """What the history keeps: nothing of a password but whether there is one."""
    return {
        "name": member.name,
        "role": member.role,
        "disabled": member.disabled_at is not None,
        "password": "chosen" if member.password_hash else "not chosen yet",
    }


def _changed(
    session: WriteSession, action: str, member: Member, before: dict[str, object], by: str
) -> Member:
    member.changed_at, member.changed_by = now(), by
    try:
        session.flush()
    except StaleDataError:
        raise StaleRecord(KIND, member.public_id, member.version, before) from None
    _remember(session, action, member, before, by)
    return member


def _remember(
    session: WriteSession, action: str, member: Member, before: dict[str, object] | None, by: str
) -> None:
    session.add(
        Change(
            by=by,
            action=action,
            noun=KIND,
            record=member.public_id,
            name=member.name,
            version=member.version,
            before=before,
            after=_told(member),
        )
    )
    session.flush()
