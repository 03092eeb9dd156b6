from datetime import timedelta

import pytest
import sqlalchemy as sa

from app.errors import HaveToWait, WrongCode
from app.records.base import now
from app.records.database import read_session, writing, writing_apart
from app.records.members import SetupToken
from app.services import members, setup_codes
from app.services.setup_codes import drop_codes, make_code, member_of_code, spend

HERE = "198.51.100.7"


def code_for(engine: sa.Engine, name: str | None) -> str:
    with read_session(engine) as session:
        member_id = None if name is None else members.member_by_name(session, name).id
    with writing_apart(engine) as connection:
        return make_code(connection, member_id)


def kept(engine: sa.Engine) -> list[sa.RowMapping]:
    with engine.connect() as connection:
        return list(connection.execute(sa.select(SetupToken.__table__)).mappings())


def test_only_a_digest_of_a_code_is_kept_and_it_lasts_half_an_hour(database: sa.Engine) -> None:
    code = code_for(database, None)
    (row,) = kept(database)
    assert code not in repr(dict(row))
    assert row["ends_at"] - row["created_at"] == timedelta(minutes=30)


def test_a_code_is_good_for_its_member_and_no_other(people: sa.Engine) -> None:
    code = code_for(people, "Ed")
    with read_session(people) as session:
        ed = members.member_by_name(session, "Ed").id
    assert member_of_code(people, code.upper(), " ed", HERE) == ed
    for name in ("Vi", "", "Nobody"):
        with pytest.raises(WrongCode):
            member_of_code(people, code, name, HERE)


def test_a_code_works_once(people: sa.Engine) -> None:
    code = code_for(people, "Ed")
    with writing_apart(people) as connection:
        spend(connection, code, "Ed")
    with pytest.raises(WrongCode), writing_apart(people) as connection:
        spend(connection, code, "Ed")
    with pytest.raises(WrongCode):
        member_of_code(people, code, "Ed", HERE)


def test_a_code_is_over_after_half_an_hour(
    people: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    code, at = code_for(people, "Ed"), now()
    monkeypatch.setattr(setup_codes, "now", lambda: at + timedelta(minutes=29))
    assert member_of_code(people, code, "Ed", HERE)
    monkeypatch.setattr(setup_codes, "now", lambda: at + timedelta(minutes=30, seconds=1))
    with pytest.raises(WrongCode):
        member_of_code(people, code, "Ed", HERE)


def test_a_new_code_ends_the_one_before(people: sa.Engine) -> None:
    old, other = code_for(people, "Ed"), code_for(people, "Vi")
    new = code_for(people, "Ed")
    with pytest.raises(WrongCode):
        member_of_code(people, old, "Ed", HERE)
    assert member_of_code(people, new, "Ed", HERE)
    assert member_of_code(people, other, "Vi", HERE)


def test_codes_of_a_member_can_be_dropped(people: sa.Engine) -> None:
    code = code_for(people, "Ed")
    with read_session(people) as session:
        ed = members.member_by_name(session, "Ed").id
    with writing_apart(people) as connection:
        drop_codes(connection, ed)
    with pytest.raises(WrongCode):
        member_of_code(people, code, "Ed", HERE)


def test_a_code_of_a_disabled_member_is_no_good(people: sa.Engine) -> None:
    with writing(people) as session:
        ed = members.member_by_name(session, "Ed")
        members.disable(session, ed.public_id, ed.version, by="Ada")
    code = code_for(people, "Ed")
    with pytest.raises(WrongCode):
        member_of_code(people, code, "Ed", HERE)


def test_the_first_administrator_s_code_is_no_good_once_there_is_one(people: sa.Engine) -> None:
    code = code_for(people, None)
    with pytest.raises(WrongCode):
        member_of_code(people, code, "Mallory", HERE)


def test_guessing_has_to_wait(people: sa.Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    at = now()
    monkeypatch.setattr(setup_codes, "now", lambda: at)
    for _ in range(5):
        with pytest.raises(WrongCode):
            member_of_code(people, "aaaaa-aaaaa-aaaaa-aaaaa-aaaaa", "Ed", HERE)
    with pytest.raises(HaveToWait):
        member_of_code(people, code_for(people, "Ed"), "Ed", HERE)
