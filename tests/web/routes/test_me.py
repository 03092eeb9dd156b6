import re

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.web.sid_cookie import SAFE_NAME
from tests.people import PASSWORDS, SAME_SITE, browser_of

WORDS = "a brass drift and two shims"


def test_one_sees_where_one_is_signed_in_and_ends_it_there(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as here, browser_of(shared_app, address="203.0.113.8") as phone:
        here.sign_in("Ed")
        phone.sign_in("Ed")
        text = here.get("/me").text
        assert text.count("(this one)") == 1
        assert "203.0.113.8" in text
        (path,) = re.findall(r'action="(/me/sessions/\w{10}/end)"', text)
        assert here.post(path).headers["location"] == "/me"
        assert phone.get("/packs").status_code == 303
        assert here.get("/packs").status_code == 200
        assert here.post(path).status_code == 404


def test_all_other_sessions_end_at_one_press(shared_app: FastAPI) -> None:
    with (
        browser_of(shared_app) as here,
        browser_of(shared_app) as phone,
        browser_of(shared_app) as other,
    ):
        here.sign_in("Ed")
        phone.sign_in("Ed")
        other.sign_in("Vi")
        here.post("/me/sessions/end-others")
        assert phone.get("/packs").status_code == 303
        assert here.get("/packs").status_code == 200
        assert other.get("/packs").status_code == 200


def test_another_member_s_session_and_token_are_not_there_to_be_ended(
    shared_app: FastAPI,
) -> None:
    with browser_of(shared_app) as ed, browser_of(shared_app) as vi:
        ed.sign_in("Ed")
        vi.sign_in("Vi")
        ed.post("/me/tokens", {"name": "logger"})
        (token,) = re.findall(r'action="(/me/tokens/\w{10}/remove)"', ed.get("/me").text)
        with browser_of(shared_app) as second:
            second.sign_in("Ed")
            (session,) = re.findall(r'action="(/me/sessions/\w{10}/end)"', ed.get("/me").text)
            assert vi.post(session).status_code == 404
            assert vi.post(token).status_code == 404
            assert second.get("/packs").status_code == 200
        assert token in ed.get("/me").text


def test_a_changed_password_rotates_the_id_and_ends_the_rest(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as here, browser_of(shared_app) as phone:
        here.sign_in("Ed")
        phone.sign_in("Ed")
        old = here.client.cookies[SAFE_NAME]
        data = {"current": PASSWORDS["Ed"], "password": WORDS, "again": WORDS}
        assert here.post("/me/password", data).status_code == 303
        assert here.client.cookies[SAFE_NAME] != old
        assert "Password changed" in here.get("/me").text
        assert phone.get("/packs").status_code == 303
        assert phone.sign_in("Ed").status_code == 422
        assert phone.sign_in("Ed", WORDS).status_code == 303


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"current": "wrong"}, "Write the password that you signed in with."),
        ({"again": "another one"}, "Write the same password in both boxes."),
        ({"password": "short", "again": "short"}, "at least 8"),
        ({"password": "baseball", "again": "baseball"}, "tried first"),
        ({"password": PASSWORDS["Ed"], "again": PASSWORDS["Ed"]}, "differs"),
    ],
)
def test_a_change_that_can_not_be_made_is_told_and_ends_nothing(
    shared_app: FastAPI, more: dict[str, str], told: str
) -> None:
    data = {"current": PASSWORDS["Ed"], "password": WORDS, "again": WORDS} | more
    with browser_of(shared_app) as here, browser_of(shared_app) as phone:
        here.sign_in("Ed")
        phone.sign_in("Ed")
        answer = here.post("/me/password", data)
        assert answer.status_code == 422
        assert told in answer.text
        assert all(secret not in answer.text for secret in (PASSWORDS["Ed"], WORDS))
        assert phone.get("/packs").status_code == 200


def test_guessing_the_current_password_in_an_open_session_has_to_wait(
    shared_app: FastAPI,
) -> None:
    data = {"current": "wrong", "password": WORDS, "again": WORDS}
    with browser_of(shared_app) as here:
        here.sign_in("Ed")
        for _ in range(5):
            assert here.post("/me/password", data).status_code == 422
        answer = here.post("/me/password", data | {"current": PASSWORDS["Ed"]})
        assert answer.status_code == 429


def test_a_token_is_shown_once(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as here, browser_of(shared_app) as script:
        here.sign_in("Ed")
        made = here.post("/me/tokens", {"name": "rig logger"}).text
        secret = re.search(r"gripledger_[\w-]{43}", made)[0]
        later = here.get("/me").text
        assert secret not in later
        assert "rig logger" in later
        bearer = {"Authorization": f"Bearer {secret}"}
        assert script.client.get("/api/v1/packs", headers=bearer).status_code == 200
        (remove,) = re.findall(r'action="(/me/tokens/\w{10}/remove)"', later)
        here.post(remove)
        assert script.client.get("/api/v1/packs", headers=bearer).status_code == 401


def test_a_token_without_a_purpose_is_refused_at_its_box(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as here:
        here.sign_in("Ed")
        answer = here.post("/me/tokens", {"name": " "})
        assert answer.status_code == 422
        assert 'href="#f-name"' in answer.text


def test_on_this_computer_alone_there_is_no_account(client: TestClient) -> None:
    assert client.get("/me").status_code == 404
    for path in ("/me/password", "/me/tokens", "/me/sessions/end-others"):
        assert client.post(path, data={"name": "a"}, headers=SAME_SITE).status_code == 404
