"""What the database itself holds people to."""

from datetime import timedelta

import pytest
import sqlalchemy as sa

from app.records.base import now
from app.records.database import catalogue_revision, read_session, writing, writing_apart
from app.records.members import ApiToken, Member, MemberSession, SetupToken

SECRET_COLUMNS = {"password_hash", "id_digest", "code_digest", "token_digest"}


def member(**more: object) -> Member:
    told = {"name": "Ada", "name_key": "ada", "role": "admin"}
    return Member(created_by="a", changed_by="a", **(told | more))


def test_a_role_that_is_none_is_refused(database: sa.Engine) -> None:
    with pytest.raises(sa.exc.IntegrityError), writing(database) as session:
        session.add(member(role="owner"))


def test_a_name_is_one_member_s_in_whatever_case(database: sa.Engine) -> None:
    with writing(database) as session:
        session.add(member())
    with pytest.raises(sa.exc.IntegrityError), writing(database) as session:
        session.add(member(name="ADA"))


@pytest.mark.parametrize("kind", [MemberSession, SetupToken, ApiToken])
def test_a_session_a_code_and_a_token_belong_to_a_member(
    database: sa.Engine, kind: type[MemberSession]
) -> None:
    values = {
        "public_id": "abcdefghjk",
        "id_digest": "d",
        "code_digest": "d",
        "token_digest": "d",
        "name": "n",
        "browser": "b",
        "address": "a",
        "created_at": now(),
        "last_seen_at": now(),
        "ends_at": now() + timedelta(hours=1),
        "member_id": 999,
    }
    table = kind.__table__
    row = {name: value for name, value in values.items() if name in table.c}
    with pytest.raises(sa.exc.IntegrityError), writing_apart(database) as connection:
        connection.execute(sa.insert(table).values(row))


def test_signing_in_throws_nothing_away_that_was_worked_out(database: sa.Engine) -> None:
    with read_session(database) as session:
        before = catalogue_revision(session)
    with writing_apart(database) as connection:
        connection.execute(sa.text("DELETE FROM failed_tries"))
    with read_session(database) as session:
        assert catalogue_revision(session) == before
