from datetime import UTC, datetime

import pytest

from app.presentation.people import (
    ROLE_OPTIONS,
    ROLE_WORDS,
    browser_words,
    session_lines,
    state_words,
    time_words,
    token_lines,
)
from app.records.members import ROLES

AT = datetime(2026, 3, 1, 8, 5, 59, tzinfo=UTC)


@pytest.mark.parametrize(
    ("agent", "words"),
    [
        (
            "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0",
            "Firefox on Linux",
        ),
        (
            "Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 (KHTML, like Gecko) "
            "Chrome/150.0.0.0 Mobile Safari/537.36",
            "Chrome on Android",
        ),
        (
            "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) "
            "Chrome/150.0.0.0 Safari/537.36 Edg/150.0.0.0",
            "Edge on Windows",
        ),
        (
            "Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X) AppleWebKit/605.1.15 "
            "(KHTML, like Gecko) Version/19.0 Mobile/15E148 Safari/604.1",
            "Safari on iPhone",
        ),
        ("curl/8", "A browser that does not say its name"),
        ("", "A browser that does not say its name"),
        ("<script>alert(1)</script>" * 1000, "A browser that does not say its name"),
    ],
)
def test_a_browser_is_told_in_two_words(agent: str, words: str) -> None:
    assert browser_words(agent) == words


def test_every_role_has_its_words() -> None:
    assert tuple(ROLE_WORDS) == ROLES == tuple(key for key, _ in ROLE_OPTIONS)


def test_times_are_told_to_the_minute_in_utc() -> None:
    assert time_words(AT) == "2026-03-01 08:05 UTC"
    assert time_words(None) == "never"


def test_the_session_that_asks_is_marked() -> None:
    row = {"browser": "b", "address": "a", "created_at": AT, "last_seen_at": AT, "ends_at": AT}
    lines = session_lines([row | {"public_id": "one"}, row | {"public_id": "two"}], "two")
    assert [line.is_this for line in lines] == [False, True]


def test_a_token_that_was_never_used_says_so() -> None:
    row = {"public_id": "k", "name": "logger", "created_at": AT, "last_used_at": None}
    (line,) = token_lines([row])
    assert (line.name, line.used) == ("logger", "never")


@pytest.mark.parametrize(
    ("disabled", "has_password", "words"),
    [
        (True, True, "Disabled"),
        (True, False, "Disabled"),
        (False, True, "Can sign in"),
        (False, False, "Has no password yet"),
    ],
)
def test_a_state_is_told_in_words(disabled: bool, has_password: bool, words: str) -> None:
    assert state_words(disabled, has_password) == words
