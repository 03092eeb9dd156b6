"""What members see and change of their own: sessions, password, tokens of their scripts."""

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Engine

from app.errors import BadInput, NotFound, Problem, WrongSignIn
from app.records.base import now, public_id
from app.records.database import writing_apart
from app.services import passwords
from app.services.secret_text import digest, new_token
from app.services.sign_in import (
    IDLE,
    MEMBER,
    SESSION,
    TOKEN,
    Device,
    NewSession,
    SignedIn,
    begin_session,
    check_password,
    end_sessions_of,
)

LONGEST_TOKEN_NAME = 100
MOST_TOKENS = 20


@dataclass(frozen=True)
class Account:
    """What is open for one member: sessions and tokens, as rows, newest first."""

    sessions: tuple[dict[str, Any], ...]
    tokens: tuple[dict[str, Any], ...]


def account_of(engine: Engine, member: str) -> Account:
    """The sessions and tokens of a member."""
    at = now()
    live = (SESSION.c.ends_at > at) & (SESSION.c.last_seen_at > at - IDLE)
    sessions = _of(SESSION, member).where(live).order_by(SESSION.c.last_seen_at.desc())
    tokens = _of(TOKEN, member).order_by(TOKEN.c.created_at.desc())
    with engine.connect() as connection:
        return Account(
            tuple(dict(row) for row in connection.execute(sessions).mappings()),
            tuple(dict(row) for row in connection.execute(tokens).mappings()),
        )


def change_password(
    engine: Engine, who: SignedIn, current: str, wanted: str, device: Device
) -> NewSession:
    """Change a member's password; every session ends, and this one goes on under a new id.

    Raises:
        HaveToWait: too many tries failed of late.
        WrongSignIn: the current password is another.
        BadInput: the new password can't be taken.
    """
    problem = passwords.password_problem(wanted, who.name)
    if problem is None and wanted == current:
        problem = "Write a password that differs from the current one."
    if problem is not None:
        raise BadInput([Problem("password", problem)])
    checked = check_password(engine, who.name, current, device.address)
    kept = passwords.make_hash(wanted)
    with writing_apart(engine) as connection:
        mine = (MEMBER.c.id == checked.id) & (MEMBER.c.password_hash == checked.kept)
        new = {"password_hash": kept, "password_at": now()}
        changed = connection.execute(sa.update(MEMBER).where(mine).values(new))
        row = connection.execute(sa.select(MEMBER).where(MEMBER.c.id == checked.id)).one()
        if changed.rowcount != 1 or row.disabled_at is not None:
            raise WrongSignIn
        end_sessions_of(connection, checked.id)
        return begin_session(connection, row._mapping, device)


def end_own_session(engine: Engine, who: SignedIn, key: str) -> None:
    """End one of a member's own sessions.

    Raises:
        NotFound: it is not one of theirs, or has ended.
    """
    _remove(engine, SESSION, who.member, key, "session")


def end_other_sessions(engine: Engine, who: SignedIn) -> int:
    """End every session of a member but this one, and give how many."""
    with writing_apart(engine) as connection:
        return end_sessions_of(connection, _key(connection, who.member), but=who.session)


def add_token(engine: Engine, who: SignedIn, name: str) -> str:
    """Make a token for a script, and give it: it is shown once and kept as a digest.

    Raises:
        BadInput: it has no name, or there are enough.
    """
    plain = " ".join(name.split())
    if not plain or len(plain) > LONGEST_TOKEN_NAME or not plain.isprintable():
        told = f"Write what the token is for, in 1 to {LONGEST_TOKEN_NAME} printable characters."
        raise BadInput([Problem("name", told)])
    secret = new_token()
    with writing_apart(engine) as connection:
        member_id = _key(connection, who.member)
        count = sa.select(sa.func.count()).select_from(TOKEN).where(TOKEN.c.member_id == member_id)
        if connection.execute(count).scalar_one() >= MOST_TOKENS:
            told = f"Remove a token first: {MOST_TOKENS} are the most."
            raise BadInput([Problem("name", told)])
        row = {"public_id": public_id(), "member_id": member_id, "name": plain}
        secrets = {"token_digest": digest(secret), "created_at": now()}
        connection.execute(sa.insert(TOKEN).values(row | secrets))
    return secret


def remove_token(engine: Engine, who: SignedIn, key: str) -> None:
    """Remove one of a member's own tokens.

    Raises:
        NotFound: it is not one of theirs.
    """
    _remove(engine, TOKEN, who.member, key, "token")


def _of(table: sa.Table, member: str) -> sa.Select[tuple[object, ...]]:
    joined = table.join(MEMBER, table.c.member_id == MEMBER.c.id)
    return sa.select(*table.c).select_from(joined).where(MEMBER.c.public_id == member)


def _key(connection: sa.Connection, member: str) -> int:
    chosen = sa.select(MEMBER.c.id).where(MEMBER.c.public_id == member)
    return int(connection.execute(chosen).scalar_one())


def _remove(engine: Engine, table: sa.Table, member: str, key: str, kind: str) -> None:
    owner = sa.select(MEMBER.c.id).where(MEMBER.c.public_id == member).scalar_subquery()
    mine = sa.delete(table).where(table.c.public_id == key, table.c.member_id == owner)
    with writing_apart(engine) as connection:
        if connection.execute(mine).rowcount != 1:
            raise NotFound(kind, key)
