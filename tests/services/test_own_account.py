import pytest
import sqlalchemy as sa

from app.errors import BadInput, HaveToWait, NotFound, WrongSignIn
from app.records.members import ApiToken
from app.services.own_account import (
    MOST_TOKENS,
    account_of,
    add_token,
    change_password,
    end_other_sessions,
    end_own_session,
    remove_token,
)
from app.services.sign_in import Device, NewSession, session_of, sign_in, token_of
from tests.people import PASSWORDS

HERE = Device("198.51.100.7", "Firefox on Linux")
WORDS = "a brass drift and two shims"


def enter(engine: sa.Engine, name: str = "Ed") -> NewSession:
    return sign_in(engine, name, PASSWORDS[name], HERE)


def test_one_sees_one_s_own_sessions_and_tokens_only(people: sa.Engine) -> None:
    mine, other = enter(people), enter(people, "Vi")
    add_token(people, mine.member, "logger")
    found = account_of(people, mine.member.member)
    assert [row["public_id"] for row in found.sessions] == [mine.member.session]
    assert [row["name"] for row in found.tokens] == ["logger"]
    assert account_of(people, other.member.member).tokens == ()


def test_another_s_session_or_token_can_not_be_ended(people: sa.Engine) -> None:
    mine, other = enter(people), enter(people, "Vi")
    token = add_token(people, mine.member, "logger")
    key = account_of(people, mine.member.member).tokens[0]["public_id"]
    with pytest.raises(NotFound):
        end_own_session(people, other.member, mine.member.session)
    with pytest.raises(NotFound):
        remove_token(people, other.member, key)
    assert session_of(people, mine.id) is not None
    assert token_of(people, token) is not None


def test_one_session_can_be_ended_or_all_but_this(people: sa.Engine) -> None:
    here, phone, tablet = enter(people), enter(people), enter(people)
    other = enter(people, "Vi")
    end_own_session(people, here.member, phone.member.session)
    assert session_of(people, phone.id) is None
    assert end_other_sessions(people, here.member) == 1
    assert session_of(people, tablet.id) is None
    assert session_of(people, here.id) is not None
    assert session_of(people, other.id) is not None


def test_a_change_of_password_ends_every_session_and_goes_on_under_a_new_id(
    people: sa.Engine,
) -> None:
    here, phone = enter(people), enter(people)
    begun = change_password(people, here.member, PASSWORDS["Ed"], WORDS, HERE)
    assert begun.id not in (here.id, phone.id)
    assert session_of(people, here.id) is None
    assert session_of(people, phone.id) is None
    found = session_of(people, begun.id)
    assert found is not None
    assert found.name == "Ed"
    with pytest.raises(WrongSignIn):
        enter(people)
    assert sign_in(people, "Ed", WORDS, HERE).member.name == "Ed"


def test_the_current_password_is_needed_and_guessing_it_has_to_wait(people: sa.Engine) -> None:
    here = enter(people)
    for _ in range(5):
        with pytest.raises(WrongSignIn):
            change_password(people, here.member, "wrong", WORDS, HERE)
    with pytest.raises(HaveToWait):
        change_password(people, here.member, PASSWORDS["Ed"], WORDS, HERE)
    assert session_of(people, here.id) is not None


@pytest.mark.parametrize("wanted", ["short", "password1", PASSWORDS["Ed"]])
def test_a_new_password_is_held_to_the_same_rules_and_differs(
    people: sa.Engine, wanted: str
) -> None:
    here = enter(people)
    with pytest.raises(BadInput):
        change_password(people, here.member, PASSWORDS["Ed"], wanted, HERE)
    assert session_of(people, here.id) is not None


def test_a_token_acts_for_its_member_and_only_a_digest_is_kept(people: sa.Engine) -> None:
    here = enter(people)
    token = add_token(people, here.member, " rig   logger ")
    found = token_of(people, token)
    assert found is not None
    assert (found.name, found.role, found.session) == ("Ed", "editor", "")
    with people.connect() as connection:
        (row,) = connection.execute(sa.select(ApiToken.__table__)).mappings()
    assert row["name"] == "rig logger"
    assert row["last_used_at"] is not None
    assert token not in repr(dict(row))
    assert token_of(people, row["token_digest"]) is None


def test_a_token_that_was_removed_is_no_good(people: sa.Engine) -> None:
    here = enter(people)
    token = add_token(people, here.member, "logger")
    remove_token(people, here.member, account_of(people, here.member.member).tokens[0]["public_id"])
    assert token_of(people, token) is None


def test_a_session_is_no_token_and_a_token_no_session(people: sa.Engine) -> None:
    here = enter(people)
    assert token_of(people, here.id) is None
    assert session_of(people, add_token(people, here.member, "logger")) is None


def test_tokens_have_a_name_and_an_end_to_their_number(people: sa.Engine) -> None:
    here = enter(people)
    for name in ("", "  ", "x" * 101, "a\nb\x00"):
        with pytest.raises(BadInput):
            add_token(people, here.member, name)
    for i in range(MOST_TOKENS):
        add_token(people, here.member, f"logger {i}")
    with pytest.raises(BadInput, match="Remove"):
        add_token(people, here.member, "one more")
