"""People from the terminal: every command, what it prints, and what it refuses."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from click.testing import CliRunner, Result

from app.cli import main
from app.records.database import make_engine, read_session
from app.services.members import has_administrator, member_by_name
from app.services.setting_up import set_up
from app.services.sign_in import Device, session_of, sign_in
from tests.people import cheap_hashes

HERE = Device("198.51.100.7", "Firefox on Linux")
WORDS = "a brass drift and two shims"
CODE = re.compile(r"^((?:[a-z2-9]{5}-){4}[a-z2-9]{5})$", re.MULTILINE)


@pytest.fixture
def engine(
    database_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[sa.Engine]:
    monkeypatch.setenv("GRIPLEDGER_DATA_DIR", str(tmp_path))
    monkeypatch.setenv("GRIPLEDGER_DATABASE_URL", database_url)
    cheap_hashes(monkeypatch)
    made = make_engine(database_url)
    yield made
    made.dispose()


def member(*words: str, typed: str = "") -> Result:
    return CliRunner().invoke(main, ["member", *words], input=typed)


def code_in(result: Result) -> str:
    assert result.exit_code == 0, result.output
    return CODE.findall(result.output)[0]


def test_the_first_code_is_printed_and_works_once(engine: sa.Engine) -> None:
    old = code_in(member("setup-token"))
    code = code_in(member("setup-token"))
    assert old != code
    assert set_up(engine, code, "Ada", WORDS, HERE).member.role == "admin"
    again = member("setup-token")
    assert again.exit_code == 1
    assert "There is an administrator already" in again.output


def test_adding_asks_for_the_password_and_does_not_show_it(engine: sa.Engine) -> None:
    result = member("add", "Ada", "--role", "admin", typed=f"{WORDS}\n{WORDS}\n")
    assert result.exit_code == 0
    assert WORDS not in result.output
    assert has_administrator(engine)
    assert sign_in(engine, "Ada", WORDS, HERE).member.name == "Ada"
    with read_session(engine) as session:
        assert member_by_name(session, "Ada").created_by == "the terminal"


@pytest.mark.parametrize(
    ("typed", "told"), [("short\nshort\n", "at least 8"), ("password1\npassword1\n", "tried first")]
)
def test_a_weak_password_is_refused(engine: sa.Engine, typed: str, told: str) -> None:
    result = member("add", "Ada", typed=typed)
    assert result.exit_code == 1
    assert told in result.output
    assert not member("list").output.strip()


def test_adding_with_a_code_asks_for_nothing(engine: sa.Engine) -> None:
    code = code_in(member("add", "Vi", "--role", "viewer", "--code"))
    assert "Vi\tviewer\tno password yet" in member("list").output
    assert set_up(engine, code, "Vi", WORDS, HERE).member.role == "viewer"
    assert "Vi\tviewer\tmay sign in" in member("list").output


def test_a_name_is_given_once_and_a_role_is_one_of_three(engine: sa.Engine) -> None:
    code_in(member("add", "Vi", "--code"))
    assert "already a member" in member("add", "vi", "--code").output
    assert member("add", "Zoe", "--role", "owner").exit_code == 2


def test_role_disable_and_enable(engine: sa.Engine) -> None:
    member("add", "Vi", "--code")
    assert member("role", "vi", "viewer").exit_code == 0
    assert "Vi\tviewer" in member("list").output
    assert member("disable", "Vi").exit_code == 0
    assert "Vi\tviewer\tdisabled" in member("list").output
    assert member("enable", "Vi").exit_code == 0
    assert "disabled" not in member("list").output


def test_the_last_administrator_stays(engine: sa.Engine) -> None:
    member("add", "Ada", "--role", "admin", typed=f"{WORDS}\n{WORDS}\n")
    for words in (("disable", "Ada"), ("role", "Ada", "viewer")):
        result = member(*words)
        assert result.exit_code == 1
        assert "this is the only one" in result.output


def test_reset_and_end_sessions_sign_out_everywhere(engine: sa.Engine) -> None:
    member("add", "Ada", "--role", "admin", typed=f"{WORDS}\n{WORDS}\n")
    begun = sign_in(engine, "Ada", WORDS, HERE)
    assert "1 session." in member("end-sessions", "ada").output
    assert session_of(engine, begun.id) is None
    begun = sign_in(engine, "Ada", WORDS, HERE)
    code = code_in(member("reset", "Ada"))
    assert session_of(engine, begun.id) is None
    assert set_up(engine, code, "Ada", WORDS + "!", HERE).member.role == "admin"


@pytest.mark.parametrize(
    "words",
    [
        ("role", "No", "viewer"),
        ("disable", "No"),
        ("enable", "No"),
        ("reset", "No"),
        ("end-sessions", "No"),
    ],
)
def test_who_is_not_there_is_said_in_a_sentence(engine: sa.Engine, words: tuple[str, ...]) -> None:
    result = member(*words)
    assert result.exit_code == 1
    assert result.output.startswith("Error: There is no member “No”")
