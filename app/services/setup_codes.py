"""Set-up codes: the way to a first password, and to a new one after a reset.

A code works once, for half an hour. One without a member makes the first administrator, and only
while there is none: it is printed on the terminal of whoever runs the server. One for a member is
handed over by an administrator, who never knows the password that is chosen with it.
"""

from datetime import timedelta

import sqlalchemy as sa
from sqlalchemy.engine import Engine

from app.errors import HaveToWait, WrongCode
from app.records.base import Row, now, table_of
from app.records.members import SetupToken, name_key
from app.services import throttle
from app.services.secret_text import digest, new_code, plain_code
from app.services.sign_in import MEMBER

LASTS = timedelta(minutes=30)

_CODE: sa.Table = table_of(SetupToken)


def make_code(connection: sa.Connection, member_id: int | None) -> str:
    """A new code for a member, or for the first administrator; earlier ones end."""
    drop_codes(connection, member_id)
    code, at = new_code(), now()
    row = {"member_id": member_id, "created_at": at, "ends_at": at + LASTS}
    connection.execute(sa.insert(_CODE).values(code_digest=digest(code), **row))
    return code


def drop_codes(connection: sa.Connection, member_id: int | None) -> None:
    """End the codes that are out for a member, or for the first administrator."""
    mine = _CODE.c.member_id.is_(None) if member_id is None else _CODE.c.member_id == member_id
    connection.execute(sa.delete(_CODE).where(mine))


def member_of_code(engine: Engine, code: str, name: str, address: str) -> int | None:
    """The key of the member whose code this is; None for the first administrator's code.

    Raises:
        HaveToWait: too many tries from this address failed of late.
        WrongCode: there is no such code for this name, or not any more.
    """
    place = throttle.address_key(address)
    seconds = throttle.take_turn(engine, [place], now())
    if seconds:
        raise HaveToWait(seconds)
    with engine.connect() as connection:
        found = _found(connection, code, name)
    throttle.take_back(engine, None, place)
    member_id: int | None = found["member_id"]
    return member_id


def spend(connection: sa.Connection, code: str, name: str) -> None:
    """Mark a code as used, unless it was used meanwhile.

    Raises:
        WrongCode: it was.
    """
    found = _found(connection, code, name)
    unused = (_CODE.c.id == found["id"]) & _CODE.c.used_at.is_(None)
    if connection.execute(sa.update(_CODE).where(unused).values(used_at=now())).rowcount != 1:
        raise WrongCode


def _found(connection: sa.Connection, code: str, name: str) -> Row:
    """The row of a code that is good for a name.

    Raises:
        WrongCode: there is none.
    """
    chosen = (
        sa.select(_CODE.c.id, _CODE.c.member_id, MEMBER.c.name_key, MEMBER.c.disabled_at)
        .select_from(_CODE.outerjoin(MEMBER, _CODE.c.member_id == MEMBER.c.id))
        .where(
            _CODE.c.code_digest == digest(plain_code(code)),
            _CODE.c.used_at.is_(None),
            _CODE.c.ends_at > now(),
        )
    )
    row = connection.execute(chosen).mappings().first()
    if row is None:
        raise WrongCode
    if row["member_id"] is None:
        admins = (MEMBER.c.role == "admin") & MEMBER.c.disabled_at.is_(None)
        if connection.execute(sa.select(MEMBER.c.id).where(admins).limit(1)).first() is not None:
            raise WrongCode
    elif row["name_key"] != name_key(name) or row["disabled_at"] is not None:
        raise WrongCode
    return row
