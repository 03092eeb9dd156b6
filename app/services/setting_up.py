"""A set-up code turned into a password and a session, in one transaction."""

import sqlalchemy as sa
from sqlalchemy.engine import Engine

from app.errors import BadInput, Problem
from app.records.base import now
from app.records.database import writing, writing_apart
from app.services import passwords
from app.services.members import add_member
from app.services.setup_codes import member_of_code, spend
from app.services.sign_in import MEMBER, Device, NewSession, begin_session, end_sessions_of


def set_up(engine: Engine, code: str, name: str, password: str, device: Device) -> NewSession:
    """Choose the password that a code is for, and sign in.

    Raises:
        HaveToWait: too many tries from this address failed of late.
        WrongCode: there is no such code for this name, or not any more.
        BadInput: name or password can't be taken; the code stays good.
    """
    member_id = member_of_code(engine, code, name, device.address)
    if member_id is None:
        return _first_administrator(engine, code, name, password, device)
    problem = passwords.password_problem(password, name)
    if problem is not None:
        raise BadInput([Problem("password", problem)])
    kept = passwords.make_hash(password)
    with writing_apart(engine) as connection:
        spend(connection, code, name)
        mine = MEMBER.c.id == member_id
        new = {"password_hash": kept, "password_at": now()}
        connection.execute(sa.update(MEMBER).where(mine).values(new))
        end_sessions_of(connection, member_id)
        row = connection.execute(sa.select(MEMBER).where(mine)).one()
        return begin_session(connection, row._mapping, device)


def _first_administrator(
    engine: Engine, code: str, name: str, password: str, device: Device
) -> NewSession:
    with writing(engine) as session:
        spend(session.connection(), code, name)
        member = add_member(session, name, "admin", by=name, password=password)
        chosen = sa.select(MEMBER).where(MEMBER.c.id == member.id)
        row = session.connection().execute(chosen).one()
        return begin_session(session.connection(), row._mapping, device)
