import threading

import pytest
from argon2 import PasswordHasher, extract_parameters
from argon2.low_level import Type
from zxcvbn.frequency_lists import FREQUENCY_LISTS

from app.services import passwords
from app.services.passwords import (
    AT_ONCE,
    common_passwords,
    is_outdated,
    make_hash,
    matches,
    password_problem,
)
from tests.people import cheap_hashes


@pytest.fixture(scope="module")
def kept() -> str:
    return make_hash("four worn plates in oil")


def test_a_hash_is_argon2id_above_the_least_that_is_advised(kept: str) -> None:
    found = extract_parameters(kept)
    assert found.type is Type.ID
    assert found.memory_cost >= 19 * 1024
    assert found.time_cost >= 2
    assert found.parallelism == 1
    assert found.salt_len >= 16


def test_only_the_password_itself_matches(kept: str) -> None:
    assert matches(kept, "four worn plates in oil")
    for other in ("Four worn plates in oil", "four worn plates in oil ", ""):
        assert not matches(kept, other)


def test_an_unknown_member_costs_the_same_work(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def verify(_self: PasswordHasher, kept: str, _password: str) -> bool:
        asked.append(kept)
        return True

    monkeypatch.setattr(PasswordHasher, "verify", verify)
    assert not matches(None, "whatever")
    (dummy,) = asked
    ours = (passwords.MEMORY_KIB, passwords.PASSES, passwords.LANES)
    found = extract_parameters(dummy)
    assert (found.memory_cost, found.time_cost, found.parallelism) == ours


def test_the_hash_of_nobody_is_a_sound_one_that_nothing_matches() -> None:
    # A malformed one would be refused before any work is done, and so be told by its time.
    assert not is_outdated(passwords._nobodys())
    assert not matches(passwords._nobodys(), "")


def test_a_damaged_hash_matches_nothing() -> None:
    assert not matches("$argon2id$broken", "a password")


def test_an_accent_may_be_one_sign_or_two() -> None:
    kept = make_hash("caf\u00e9 au lait")
    assert matches(kept, "cafe\u0301 au lait")


def test_a_hash_by_lower_settings_is_outdated(kept: str) -> None:
    assert not is_outdated(kept)
    assert is_outdated(PasswordHasher(time_cost=1, memory_cost=19 * 1024, parallelism=1).hash("a"))


def test_no_more_than_two_are_worked_out_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    both_in, room_left = threading.Barrier(AT_ONCE), []

    def working(_self: PasswordHasher, _password: str) -> str:
        both_in.wait(10)
        room_left.append(passwords._turn.acquire(blocking=False))
        both_in.wait(10)
        return "hash"

    monkeypatch.setattr(PasswordHasher, "hash", working)
    threads = [threading.Thread(target=make_hash, args=("a password",)) for _ in range(AT_ONCE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert AT_ONCE == 2
    assert room_left == [False, False]


@pytest.mark.parametrize(
    "password",
    [
        "a b c d e",
        "   spaces   ",
        "x" * 32 + "y" * 16 + "z" * 16 + "w" * 16,
        "four worn plates",
        "ÄÖÜ-plätze",
        "密码密码一二三四",
        "🔩" * 5 + "abc",
        "nodigitsnocapitals",
    ],
)
def test_any_signs_are_taken_and_none_are_demanded(password: str) -> None:
    assert password_problem(password, "Ada") is None


@pytest.mark.parametrize(
    ("password", "told"),
    [
        ("", "at least 8"),
        ("seven77", "at least 8"),
        ("x" * 1001, "at most 1000"),
        ("password", "tried first"),
        ("PassWord", "tried first"),
        ("baseball", "tried first"),
        ("aaaaaaaaaaaa", "easily guessed"),
        ("gripledger1", "easily guessed"),
        ("Adalovelace99!", "easily guessed"),
    ],
)
def test_what_is_too_short_or_tried_first_is_refused(password: str, told: str) -> None:
    assert told in str(password_problem(password, "Ada Lovelace"))


def test_every_one_of_the_three_thousand_commonest_is_refused() -> None:
    long_enough = [word for word in FREQUENCY_LISTS["passwords"] if len(word) >= 8][:3000]
    assert len(long_enough) == 3000
    assert [word for word in long_enough if password_problem(word, "Ada") is None] == []
    assert len(common_passwords()) == 30_000


@pytest.mark.parametrize("length", [64, 128, 1000])
def test_a_long_password_counts_to_its_last_sign(
    length: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    cheap_hashes(monkeypatch)
    password = "".join(chr(97 + i % 23) for i in range(length))
    kept = make_hash(password)
    assert password_problem(password, "Ada") is None
    assert matches(kept, password)
    assert not matches(kept, password[:-1] + "?")
