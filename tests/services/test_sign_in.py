from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa
from argon2 import PasswordHasher

from app.errors import HaveToWait, StorageUnavailable, WrongSignIn
from app.records.database import read_session, writing, writing_apart
from app.services import members, own_account, passwords, sign_in
from app.services.sign_in import (
    IDLE,
    LONGEST,
    MEMBER,
    SEEN_EVERY,
    SESSION,
    Device,
    NewSession,
    end_session,
    session_of,
    token_of,
)
from tests.people import PASSWORDS

HERE = Device("198.51.100.7", "Firefox on Linux")
START = datetime(2026, 3, 1, 8, 0, tzinfo=UTC)


class Clock:
    """The time as the services are told it."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.at = START
        monkeypatch.setattr(sign_in, "now", lambda: self.at)

    def pass_by(self, **time: float) -> None:
        self.at += timedelta(**time)


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    return Clock(monkeypatch)


def enter(engine: sa.Engine, name: str = "Ed", password: str | None = None) -> NewSession:
    return sign_in.sign_in(engine, name, password or PASSWORDS[name], HERE)


def sessions(engine: sa.Engine) -> list[sa.RowMapping]:
    with engine.connect() as connection:
        return list(connection.execute(sa.select(SESSION)).mappings())


def test_name_and_password_begin_a_session(people: sa.Engine) -> None:
    begun = enter(people)
    found = session_of(people, begun.id)
    assert found == begun.member
    assert (found.name, found.role) == ("Ed", "editor")
    (row,) = sessions(people)
    assert (row["browser"], row["address"]) == ("Firefox on Linux", "198.51.100.7")


def test_only_a_digest_of_the_id_is_kept(people: sa.Engine) -> None:
    begun = enter(people)
    assert len(begun.id) >= 43  # 256 bits, six to a sign
    assert begun.id not in repr([dict(row) for row in sessions(people)])
    assert session_of(people, sessions(people)[0]["id_digest"]) is None


def test_each_sign_in_has_an_id_of_its_own(people: sa.Engine) -> None:
    assert len({enter(people).id for _ in range(4)}) == 4


@pytest.mark.parametrize("name", ["ed", " ED ", "Ed"])
def test_a_name_counts_in_whatever_case(people: sa.Engine, name: str) -> None:
    assert enter(people, name.strip(), PASSWORDS["Ed"]).member.name == "Ed"


@pytest.mark.parametrize(
    ("name", "password"),
    [
        ("Ed", "wrong"),
        ("Ed", ""),
        ("Nobody", PASSWORDS["Ed"]),
        ("", ""),
        ("Ed\ud800", "\ud800"),
        ("Ed\0", "\0"),
    ],
)
def test_whatever_is_wrong_is_told_in_the_same_words(
    people: sa.Engine, name: str, password: str
) -> None:
    with pytest.raises(WrongSignIn) as told:
        sign_in.sign_in(people, name, password, HERE)
    assert told.value.message == WrongSignIn().message
    assert sessions(people) == []


def test_an_unknown_name_a_disabled_member_and_a_wrong_password_cost_one_hash_each(
    people: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    with writing(people) as session:
        ed = members.member_by_name(session, "Ed")
        members.disable(session, ed.public_id, ed.version, by="Ada")
        members.add_member(session, "New", "viewer", by="Ada")
    checked: list[str] = []
    verify = PasswordHasher.verify

    def counting(self: PasswordHasher, kept: str, password: str) -> bool:
        checked.append(kept)
        return verify(self, kept, password)

    monkeypatch.setattr(PasswordHasher, "verify", counting)
    for name in ("Nobody", "Ed", "New", "Vi"):
        checked.clear()
        with pytest.raises(WrongSignIn):
            enter(people, name, PASSWORDS["Ed"])
        assert len(checked) == 1, name


def test_failures_make_the_next_try_wait_for_known_and_unknown_names_alike(
    people: sa.Engine, clock: Clock
) -> None:
    for i, name in enumerate(("Ed", "Nobody")):
        device = Device(f"203.0.113.{i}", "Firefox on Linux")
        for _ in range(5):
            with pytest.raises(WrongSignIn):
                sign_in.sign_in(people, name, "wrong", device)
        with pytest.raises(HaveToWait) as told:
            sign_in.sign_in(people, name, PASSWORDS["Ed"], device)
        assert told.value.seconds == 1
        assert told.value.message == HaveToWait(1).message
    clock.pass_by(seconds=1)
    assert enter(people).member.name == "Ed"


def test_while_one_has_to_wait_no_password_is_looked_at(
    people: sa.Engine, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    for _ in range(5):
        with pytest.raises(WrongSignIn):
            enter(people, "Ed", "wrong")
    monkeypatch.setattr(passwords, "matches", None)
    with pytest.raises(HaveToWait):
        enter(people)


def test_a_session_in_use_ends_after_a_week(people: sa.Engine, clock: Clock) -> None:
    begun = enter(people)
    while clock.at < START + LONGEST - timedelta(hours=20):
        clock.pass_by(hours=20)
        assert session_of(people, begun.id) is not None
    clock.at = START + LONGEST
    assert session_of(people, begun.id) is None


def test_a_session_out_of_use_ends_after_a_day_and_never_before_twenty_hours(
    people: sa.Engine, clock: Clock
) -> None:
    assert timedelta(hours=20) <= IDLE < LONGEST == timedelta(days=7)
    begun = enter(people)
    clock.pass_by(hours=23, minutes=59)
    assert session_of(people, begun.id) is not None
    clock.pass_by(hours=24)
    assert session_of(people, begun.id) is None


def test_reading_pages_writes_the_time_of_use_now_and_then_only(
    people: sa.Engine, clock: Clock
) -> None:
    begun = enter(people)
    clock.pass_by(minutes=9)
    session_of(people, begun.id)
    assert sessions(people)[0]["last_seen_at"] == START
    clock.pass_by(minutes=1)
    session_of(people, begun.id)
    assert sessions(people)[0]["last_seen_at"] == START + SEEN_EVERY


def test_a_full_disk_stops_nobody_from_reading(
    people: sa.Engine, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun = enter(people)
    clock.pass_by(hours=1)

    def full(_engine: sa.Engine) -> None:
        raise StorageUnavailable("the disk is full")

    monkeypatch.setattr(sign_in, "writing_apart", full)
    assert session_of(people, begun.id) == begun.member


def test_sessions_that_are_over_are_cleared_away(people: sa.Engine, clock: Clock) -> None:
    enter(people)
    clock.pass_by(days=8)
    enter(people)
    assert len(sessions(people)) == 1


def test_signing_out_ends_that_session_and_no_other(people: sa.Engine) -> None:
    one, other = enter(people), enter(people)
    end_session(people, one.id)
    assert session_of(people, one.id) is None
    assert session_of(people, other.id) is not None


@pytest.mark.parametrize("change", [members.disable, members.reset])
def test_disabling_and_resetting_end_every_session_and_token_at_once(
    people: sa.Engine, change: object
) -> None:
    begun, kept = enter(people), enter(people, "Ada")
    token = own_account.add_token(people, begun.member, "logger")
    with writing(people) as session:
        ed = members.member_by_name(session, "Ed")
        change(session, ed.public_id, ed.version, by="Ada")  # type: ignore[operator]
    # Nor do they come back with the member.
    for disabled_at in (None, START):
        with writing_apart(people) as connection:
            mine = sa.update(MEMBER).where(MEMBER.c.name == "Ed")
            connection.execute(mine.values(disabled_at=disabled_at))
        assert session_of(people, begun.id) is None
        assert token_of(people, token) is None
    assert session_of(people, kept.id) is not None
    with pytest.raises(WrongSignIn):
        enter(people)


def test_a_session_or_token_left_behind_by_a_disabled_member_opens_nothing(
    people: sa.Engine,
) -> None:
    begun = enter(people)
    token = own_account.add_token(people, begun.member, "logger")
    with writing_apart(people) as connection:
        connection.execute(sa.update(MEMBER).values(disabled_at=START))
    assert session_of(people, begun.id) is None
    assert token_of(people, token) is None


def test_a_new_role_holds_from_the_next_request_on(people: sa.Engine) -> None:
    begun = enter(people)
    with writing(people) as session:
        ed = members.member_by_name(session, "Ed")
        members.set_role(session, ed.public_id, ed.version, "viewer", by="Ada")
    found = session_of(people, begun.id)
    assert found is not None
    assert found.role == "viewer"


def test_a_hash_by_older_settings_is_made_anew_at_the_next_sign_in(people: sa.Engine) -> None:
    old = PasswordHasher(time_cost=2, memory_cost=16, parallelism=1).hash(PASSWORDS["Ed"])
    mine = sa.update(MEMBER).where(MEMBER.c.name == "Ed").values(password_hash=old)
    with writing_apart(people) as connection:
        connection.execute(mine)
    enter(people)
    with read_session(people) as session:
        kept = members.member_by_name(session, "Ed").password_hash
    assert kept is not None
    assert kept != old
    assert not passwords.is_outdated(kept)
    assert enter(people).member.name == "Ed"


@pytest.mark.parametrize("meanwhile", ["disabled", "password changed"])
def test_what_changes_while_the_password_is_looked_at_is_heeded(
    people: sa.Engine, monkeypatch: pytest.MonkeyPatch, meanwhile: str
) -> None:
    matches = passwords.matches

    def and_then(kept: str | None, password: str) -> bool:
        found = matches(kept, password)
        values = (
            {"disabled_at": START}
            if meanwhile == "disabled"
            else {"password_hash": passwords.make_hash("another one altogether")}
        )
        with writing_apart(people) as connection:
            connection.execute(sa.update(MEMBER).where(MEMBER.c.name == "Ed").values(values))
        return found

    monkeypatch.setattr(passwords, "matches", and_then)
    with pytest.raises(WrongSignIn):
        enter(people)
    assert sessions(people) == []
