import re
from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from tests.people import PASSWORDS, SAME_SITE, Browser, browser_of

WORDS = "a brass drift and two shims"


@pytest.fixture
def ada(shared_app: FastAPI) -> Iterator[Browser]:
    with browser_of(shared_app) as browser:
        browser.sign_in("Ada")
        yield browser


def key_of(ada: Browser, name: str) -> str:
    (key,) = re.findall(rf'href="/members/(\w{{10}})">{name}<', ada.get("/members").text)
    return str(key)


def version_of(ada: Browser, key: str) -> str:
    return re.search(r'name="version" value="(\d+)"', ada.get(f"/members/{key}").text)[1]


def code_in(text: str) -> str:
    return re.search(r'class="secret-text">([a-z2-9-]{29})<', text)[1]


def test_a_member_is_added_with_a_code_and_chooses_the_password_alone(
    shared_app: FastAPI, ada: Browser
) -> None:
    answer = ada.post("/members", {"name": "Zoe", "role": "editor"})
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "no-store"
    code = code_in(answer.text)
    assert code not in ada.get("/members").text
    assert "Has no password yet" in ada.get("/members").text
    with browser_of(shared_app) as zoe:
        assert zoe.sign_in("Zoe", WORDS).status_code == 422
        data = {"code": code, "name": "Zoe", "password": WORDS, "again": WORDS}
        assert zoe.client.post("/setup", data=data, headers=SAME_SITE).status_code == 303
        assert zoe.get("/packs/new").status_code == 200
        assert zoe.get("/members").status_code == 403


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ({"name": "", "role": "viewer"}, "Write a name"),
        ({"name": "Ed", "role": "viewer"}, "There is already a member"),
        ({"name": "Zoe", "role": "owner"}, "Choose one of"),
        ({"name": "Zoe"}, "Choose one of"),
    ],
)
def test_what_can_not_be_added_comes_back_as_it_was_typed(
    ada: Browser, data: dict[str, str], told: str
) -> None:
    answer = ada.post("/members", data)
    assert answer.status_code == 422
    assert told in answer.text
    assert f'name="name" value="{data["name"]}"' in answer.text
    assert "secret-text" not in answer.text


def test_a_role_changes_at_once(shared_app: FastAPI, ada: Browser) -> None:
    key = key_of(ada, "Ed")
    with browser_of(shared_app) as ed:
        ed.sign_in("Ed")
        assert ed.get("/packs/new").status_code == 200
        sent = {"role": "viewer", "version": version_of(ada, key)}
        assert ada.post(f"/members/{key}/role", sent).status_code == 303
        assert "Ed is viewer now." in ada.get(f"/members/{key}").text
        assert ed.get("/packs/new").status_code == 403


def test_a_disabled_member_is_out_at_once_and_can_come_back(
    shared_app: FastAPI, ada: Browser
) -> None:
    key = key_of(ada, "Ed")
    with browser_of(shared_app) as ed:
        ed.sign_in("Ed")
        ada.post(f"/members/{key}/disable", {"version": version_of(ada, key)})
        assert ed.get("/packs").status_code == 303
        assert ed.sign_in("Ed").status_code == 422
        ada.post(f"/members/{key}/enable", {"version": version_of(ada, key)})
        assert ed.sign_in("Ed").status_code == 303


def test_a_reset_takes_the_password_and_gives_a_code(shared_app: FastAPI, ada: Browser) -> None:
    key = key_of(ada, "Ed")
    with browser_of(shared_app) as ed:
        ed.sign_in("Ed")
        answer = ada.post(f"/members/{key}/reset", {"version": version_of(ada, key)})
        code = code_in(answer.text)
        assert ed.get("/packs").status_code == 303
        assert ed.sign_in("Ed", PASSWORDS["Ed"]).status_code == 422
        data = {"code": code, "name": "Ed", "password": WORDS, "again": WORDS}
        assert ed.client.post("/setup", data=data, headers=SAME_SITE).status_code == 303
        assert ed.get("/packs").status_code == 200


def test_an_administrator_ends_anybody_s_sessions(shared_app: FastAPI, ada: Browser) -> None:
    key = key_of(ada, "Vi")
    with browser_of(shared_app) as vi:
        vi.sign_in("Vi")
        assert "198.51.100.7" in ada.get(f"/members/{key}").text
        assert ada.post(f"/members/{key}/end-sessions").status_code == 303
        assert vi.get("/packs").status_code == 303
        assert vi.sign_in("Vi").status_code == 303


@pytest.mark.parametrize("what", ["role", "disable", "enable", "reset"])
def test_a_page_that_is_out_of_date_changes_nothing(ada: Browser, what: str) -> None:
    key = key_of(ada, "Ed")
    old = version_of(ada, key)
    ada.post(f"/members/{key}/role", {"role": "viewer", "version": old})
    answer = ada.post(f"/members/{key}/{what}", {"role": "admin", "version": old})
    assert answer.status_code == 409
    assert "Somebody else changed this member" in answer.text
    assert "Viewer. Can sign in." in ada.get(f"/members/{key}").text


@pytest.mark.parametrize("what", ["disable", "role"])
def test_the_last_administrator_can_not_lock_everybody_out(ada: Browser, what: str) -> None:
    key = key_of(ada, "Ada")
    sent = {"role": "viewer", "version": version_of(ada, key)}
    answer = ada.post(f"/members/{key}/{what}", sent)
    assert answer.status_code == 422
    assert "this is the only one" in answer.text
    assert ada.get("/members").status_code == 200


def test_a_member_who_is_not_there_is_not_found(ada: Browser) -> None:
    assert ada.get("/members/zzzzzzzzzz").status_code == 404
    for what in ("role", "disable", "enable", "reset", "end-sessions"):
        answer = ada.post(f"/members/zzzzzzzzzz/{what}", {"version": "1", "role": "viewer"})
        assert answer.status_code == 404, what


def test_on_this_computer_alone_the_page_says_how_to_share(client: TestClient) -> None:
    page = client.get("/members")
    assert page.status_code == 200
    assert "gripledger member add NAME --role admin" in page.text
    assert "<form" not in page.text
    assert client.post("/members", data={"name": "a"}, headers=SAME_SITE).status_code == 404
    assert client.get("/members/zzzzzzzzzz").status_code == 404
