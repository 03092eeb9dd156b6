import pytest
import sqlalchemy as sa

from app.errors import BadInput, DuplicateName, NotFound, StaleRecord
from app.records.bookkeeping import Change
from app.records.database import WriteSession, read_session, writing
from app.records.members import ROLES
from app.services import members
from app.services.members import add_member, has_administrator, member_by_name
from tests.people import PASSWORDS


def changes(engine: sa.Engine, name: str) -> list[sa.RowMapping]:
    table = Change.__table__
    mine = (table.c.noun == "member") & (table.c.name == name)
    with engine.connect() as connection:
        return list(connection.execute(sa.select(table).where(mine)).mappings())


def test_without_a_member_there_is_no_administrator(database: sa.Engine) -> None:
    assert not has_administrator(database)


def test_nobody_is_there_from_the_beginning(database: sa.Engine) -> None:
    with read_session(database) as session:
        assert members.all_members(session) == []


def test_a_disabled_administrator_is_none(people: sa.Engine) -> None:
    assert has_administrator(people)
    with writing(people) as session:
        session.connection().execute(sa.text("UPDATE member SET role = 'viewer'"))
    assert not has_administrator(people)


def test_adding_is_told_in_the_history_without_the_password(people: sa.Engine) -> None:
    (row,) = changes(people, "Ed")
    assert (row["action"], row["by"], row["before"]) == ("add", "a test", None)
    told = {"name": "Ed", "role": "editor", "disabled": False, "password": "chosen"}
    assert row["after"] == told
    assert PASSWORDS["Ed"] not in repr(dict(row))
    assert "argon2" not in repr(dict(row))


@pytest.mark.parametrize("role", ROLES)
def test_each_role_can_be_given(people: sa.Engine, role: str) -> None:
    with writing(people) as session:
        ed = member_by_name(session, "Ed")
        members.set_role(session, ed.public_id, ed.version, role, by="Ada")
    with read_session(people) as session:
        assert member_by_name(session, "ed").role == role


def test_a_change_of_role_is_told_in_the_history(people: sa.Engine) -> None:
    with writing(people) as session:
        ed = member_by_name(session, "Ed")
        members.set_role(session, ed.public_id, ed.version, "viewer", by="Ada")
    row = changes(people, "Ed")[-1]
    assert (row["by"], row["before"]["role"], row["after"]["role"]) == ("Ada", "editor", "viewer")


@pytest.mark.parametrize("role", ["owner", "", "ADMIN", "admin "])
def test_there_are_no_other_roles(people: sa.Engine, role: str) -> None:
    with read_session(people) as session:
        ed = member_by_name(session, "Ed")
    with pytest.raises(BadInput), writing(people) as session:
        members.set_role(session, ed.public_id, ed.version, role, by="Ada")
    with pytest.raises(BadInput), writing(people) as session:
        add_member(session, "New", role, by="Ada")


@pytest.mark.parametrize("name", ["", "   ", "x" * 101, "a\x00b", "a\u202eb", "This  Computer"])
def test_a_name_has_to_be_readable_and_one_s_own(people: sa.Engine, name: str) -> None:
    with pytest.raises(BadInput) as told, writing(people) as session:
        add_member(session, name, "viewer", by="Ada")
    assert {problem.field for problem in told.value.problems} == {"name"}


@pytest.mark.parametrize("name", ["Ed", "ED", " ed ", "Ｅｄ"])
def test_a_name_is_given_once(people: sa.Engine, name: str) -> None:
    with pytest.raises(DuplicateName), writing(people) as session:
        add_member(session, name, "viewer", by="Ada")


@pytest.mark.parametrize("change", ["disable", "viewer"])
def test_the_last_administrator_stays(people: sa.Engine, change: str) -> None:
    def lose(session: WriteSession) -> None:
        ada = member_by_name(session, "Ada")
        if change == "disable":
            members.disable(session, ada.public_id, ada.version, by="Ada")
        else:
            members.set_role(session, ada.public_id, ada.version, change, by="Ada")

    with pytest.raises(BadInput, match="only one"), writing(people) as session:
        lose(session)
    with writing(people) as session:
        add_member(session, "Second", "admin", by="Ada")
    with writing(people) as session:
        lose(session)


def test_a_page_that_is_out_of_date_changes_nothing(people: sa.Engine) -> None:
    with writing(people) as session:
        ed = member_by_name(session, "Ed")
        key, version = ed.public_id, ed.version
        members.set_role(session, key, version, "viewer", by="Ada")
    for change in (members.disable, members.reset, members.enable):
        with pytest.raises(StaleRecord), writing(people) as session:
            change(session, key, version, by="Ada")
    with pytest.raises(StaleRecord), writing(people) as session:
        members.set_role(session, key, version, "admin", by="Ada")


def test_disabling_and_enabling_keep_the_password(people: sa.Engine) -> None:
    with writing(people) as session:
        ed = member_by_name(session, "Ed")
        before = ed.password_hash
        members.disable(session, ed.public_id, ed.version, by="Ada")
        members.enable(session, ed.public_id, ed.version, by="Ada")
    with read_session(people) as session:
        ed = member_by_name(session, "Ed")
        assert ed.password_hash == before
        assert ed.disabled_at is None
    actions = [(row["action"], row["after"]["disabled"]) for row in changes(people, "Ed")]
    assert actions == [("add", False), ("put aside", True), ("bring back", False)]


def test_what_is_so_already_is_no_change(people: sa.Engine) -> None:
    with writing(people) as session:
        ed = member_by_name(session, "Ed")
        members.enable(session, ed.public_id, ed.version, by="Ada")
        members.set_role(session, ed.public_id, ed.version, "editor", by="Ada")
    assert len(changes(people, "Ed")) == 1


def test_disabled_members_come_last_in_the_list(people: sa.Engine) -> None:
    with writing(people) as session:
        ed = member_by_name(session, "Ed")
        members.disable(session, ed.public_id, ed.version, by="Ada")
    with read_session(people) as session:
        assert [found.name for found in members.all_members(session)] == ["Ada", "Vi", "Ed"]


def test_who_is_not_there_is_not_found(people: sa.Engine) -> None:
    with read_session(people) as session:
        for ask, key in ((members.member_by_key, "zzzzzzzzzz"), (member_by_name, "Nobody")):
            with pytest.raises(NotFound):
                ask(session, key)
