import pytest
import sqlalchemy as sa

from app.errors import BadInput, WrongCode, WrongSignIn
from app.records.database import read_session, writing_apart
from app.services import members
from app.services.setting_up import set_up
from app.services.setup_codes import make_code
from app.services.sign_in import Device, session_of, sign_in
from tests.people import PASSWORDS, cheap_hashes

HERE = Device("198.51.100.7", "Firefox on Linux")
WORDS = "a brass drift and two shims"


@pytest.fixture
def fresh(database: sa.Engine, monkeypatch: pytest.MonkeyPatch) -> sa.Engine:
    cheap_hashes(monkeypatch)
    return database


def first_code(engine: sa.Engine) -> str:
    with writing_apart(engine) as connection:
        return make_code(connection, None)


def code_of(engine: sa.Engine, name: str) -> str:
    with read_session(engine) as session:
        member = members.member_by_name(session, name).id
    with writing_apart(engine) as connection:
        return make_code(connection, member)


def test_the_first_code_makes_an_administrator_once(fresh: sa.Engine) -> None:
    code = first_code(fresh)
    begun = set_up(fresh, code, "Ada", WORDS, HERE)
    assert (begun.member.name, begun.member.role) == ("Ada", "admin")
    assert session_of(fresh, begun.id) == begun.member
    assert sign_in(fresh, "Ada", WORDS, HERE).member.name == "Ada"
    with pytest.raises(WrongCode):
        set_up(fresh, code, "Eve", WORDS, HERE)


@pytest.mark.parametrize(
    ("name", "password"), [("Ada", "short"), ("Ada", "password1"), ("", WORDS)]
)
def test_what_can_not_be_taken_leaves_the_code_good(
    fresh: sa.Engine, name: str, password: str
) -> None:
    code = first_code(fresh)
    with pytest.raises(BadInput):
        set_up(fresh, code, name, password, HERE)
    assert not members.has_administrator(fresh)
    assert set_up(fresh, code, "Ada", WORDS, HERE).member.name == "Ada"


def test_a_member_s_code_gives_a_new_password_and_ends_what_was_open(people: sa.Engine) -> None:
    before = sign_in(people, "Ed", PASSWORDS["Ed"], HERE)
    with pytest.raises(BadInput):
        set_up(people, code_of(people, "Ed"), "Ed", "short", HERE)
    begun = set_up(people, code_of(people, "Ed"), "ed", WORDS, HERE)
    assert (begun.member.name, begun.member.role) == ("Ed", "editor")
    assert session_of(people, before.id) is None
    assert session_of(people, begun.id) == begun.member
    with pytest.raises(WrongSignIn):
        sign_in(people, "Ed", PASSWORDS["Ed"], HERE)
    assert sign_in(people, "Ed", WORDS, HERE).member.name == "Ed"


def test_a_made_up_code_sets_nothing_up(fresh: sa.Engine) -> None:
    for code in ("", "aaaaa-aaaaa-aaaaa-aaaaa-aaaaa", "' OR 1=1 --", "\ud800"):
        with pytest.raises(WrongCode):
            set_up(fresh, code, "Ada", WORDS, HERE)
    assert not members.has_administrator(fresh)
