"""Signing in and out: sessions are rows of the database, so any server process knows them.

A session ends a week after signing in, or when it was not used for a day and a night. A day, since
nobody should lose a half-filled form over lunch or overnight; a week, so that a lost phone does not
stay signed in. Its id is random, kept only as a digest, and never taken from the browser.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Engine

from app.errors import HaveToWait, StorageUnavailable, WrongSignIn
from app.records.base import Row, now, public_id, table_of
from app.records.database import writing_apart
from app.records.members import ApiToken, Member, MemberSession, SetupToken, name_key
from app.services import passwords, throttle
from app.services.secret_text import digest, new_session_id

LONGEST = timedelta(days=7)
IDLE = timedelta(hours=24)
SEEN_EVERY = timedelta(minutes=10)
"""The time of last use is kept to this: a page that is only read should write nothing."""

MEMBER: sa.Table = table_of(Member)
SESSION: sa.Table = table_of(MemberSession)
TOKEN: sa.Table = table_of(ApiToken)


@dataclass(frozen=True)
class SignedIn:
    """A member who asks: in a session, or by a script's token (then `session` is empty)."""

    member: str
    name: str
    role: str
    session: str


@dataclass(frozen=True)
class NewSession:
    """A session just begun; `id` is the secret for the cookie and is kept nowhere else."""

    id: str
    member: SignedIn


@dataclass(frozen=True)
class Device:
    """Where somebody signs in from, in words for the list of sessions."""

    address: str
    browser: str


def sign_in(engine: Engine, name: str, password: str, device: Device) -> NewSession:
    """Begin a session for the member whose name and password these are.

    An unknown name, a member without a password yet and one who was disabled are answered like a
    wrong password, after as much work.

    Raises:
        HaveToWait: too many tries failed of late.
        WrongSignIn: the two do not belong together.
    """
    checked = check_password(engine, name, password, device.address)
    new_hash = passwords.make_hash(password) if passwords.is_outdated(checked.kept) else None
    with writing_apart(engine) as connection:
        # As it was checked: somebody may have disabled the member or changed the password since.
        mine = (MEMBER.c.id == checked.id) & (MEMBER.c.password_hash == checked.kept)
        row = connection.execute(
            sa.select(MEMBER).where(mine, MEMBER.c.disabled_at.is_(None)).with_for_update()
        ).first()
        if row is None:
            raise WrongSignIn
        if new_hash is not None:
            connection.execute(sa.update(MEMBER).where(mine).values(password_hash=new_hash))
        connection.execute(sa.delete(SESSION).where(SESSION.c.ends_at < now()))
        return begin_session(connection, row._mapping, device)


@dataclass(frozen=True)
class Checked:
    """A member whose password was right, with the hash that it was checked against."""

    id: int
    public_id: str
    kept: str


def check_password(engine: Engine, name: str, password: str, address: str) -> Checked:
    """The member whose name and password these are; a failure counts against both.

    Raises:
        HaveToWait, WrongSignIn: as `sign_in`.
    """
    account, place = throttle.account_key(name), throttle.address_key(address)
    seconds = throttle.take_turn(engine, [account, place], now())
    if seconds:
        raise HaveToWait(seconds)
    with engine.connect() as connection:
        chosen = sa.select(MEMBER).where(MEMBER.c.name_key == name_key(name))
        row = connection.execute(chosen).first()
    kept = None if row is None else row.password_hash
    right = passwords.matches(kept, password)
    if not right or row is None or kept is None or row.disabled_at is not None:
        raise WrongSignIn
    throttle.take_back(engine, account, place)
    return Checked(row.id, row.public_id, kept)


def begin_session(connection: sa.Connection, member: Row, device: Device) -> NewSession:
    """Begin a session for a member, under a new random id."""
    secret, key, at = new_session_id(), public_id(), now()
    connection.execute(
        sa.insert(SESSION).values(
            public_id=key,
            member_id=member["id"],
            id_digest=digest(secret),
            created_at=at,
            last_seen_at=at,
            ends_at=at + LONGEST,
            browser=device.browser,
            address=device.address,
        )
    )
    return NewSession(secret, SignedIn(member["public_id"], member["name"], member["role"], key))


def session_of(engine: Engine, secret: str) -> SignedIn | None:
    """Who is signed in under a session's id, None where the session has ended."""
    at = now()
    found = _with_member(engine, SESSION, SESSION.c.id_digest == digest(secret))
    if found is None or at >= found["ends_at"] or at - found["last_seen_at"] >= IDLE:
        return None
    _note_use(engine, SESSION, "last_seen_at", found, at)
    return SignedIn(found["member"], found["name"], found["role"], found["public_id"])


def token_of(engine: Engine, secret: str) -> SignedIn | None:
    """Whose script this token belongs to, None where it is not known."""
    found = _with_member(engine, TOKEN, TOKEN.c.token_digest == digest(secret))
    if found is None:
        return None
    _note_use(engine, TOKEN, "last_used_at", found, now())
    return SignedIn(found["member"], found["name"], found["role"], "")


def end_session(engine: Engine, secret: str) -> None:
    """End the session of this id, if there is one."""
    with writing_apart(engine) as connection:
        connection.execute(sa.delete(SESSION).where(SESSION.c.id_digest == digest(secret)))


def end_sessions_of(connection: sa.Connection, member_id: int, but: str = "") -> int:
    """End a member's sessions, all or all but one, and give how many."""
    chosen = sa.delete(SESSION).where(SESSION.c.member_id == member_id, SESSION.c.public_id != but)
    return int(connection.execute(chosen).rowcount)


def sign_everybody_out(engine: Engine) -> None:
    """End every session and every code: a database that was put back has those of its time.

    A copy of before there were members has none.
    """
    tables = (SESSION, table_of(SetupToken))
    with writing_apart(engine) as connection:
        for table in tables:
            if engine.dialect.has_table(connection, table.name):
                connection.execute(sa.delete(table))


def _with_member(engine: Engine, table: sa.Table, which: Any) -> Row | None:
    """A row of a table with its member's id, name and role, unless the member was disabled."""
    person = (MEMBER.c.public_id.label("member"), MEMBER.c.name.label("name"), MEMBER.c.role)
    own = [column for column in table.c if column.name != "name"]
    chosen = sa.select(*own, *person).join(MEMBER, table.c.member_id == MEMBER.c.id)
    with engine.connect() as connection:
        row = connection.execute(chosen.where(which, MEMBER.c.disabled_at.is_(None))).first()
    return None if row is None else row._mapping


def _note_use(engine: Engine, table: sa.Table, column: str, row: Row, at: datetime) -> None:
    if row[column] is not None and at - row[column] < SEEN_EVERY:
        return
    try:
        with writing_apart(engine) as connection:
            mine = sa.update(table).where(table.c.id == row["id"])
            connection.execute(mine.values({column: at}))
    except StorageUnavailable:
        # Reading goes on while the disk is full or somebody saves for long; the time is not kept.
        return
