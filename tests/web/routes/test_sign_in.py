import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.web.sid_cookie import SAFE_NAME
from tests.people import PASSWORDS, SAME_SITE, browser_of


def test_the_form_helps_a_password_manager_and_forbids_no_pasting(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        text = browser.get("/sign-in").text
    assert 'name="name" value="" autocomplete="username"' in text
    assert 'type="password" id="f-password" name="password" autocomplete="current-password"' in text
    assert "maxlength" not in text
    assert "paste" not in text


def test_before_signing_in_a_page_offers_no_way_that_is_shut(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        text = browser.get("/sign-in").text
    assert '<nav class="nav"' not in text
    assert "/settings" not in text
    assert "Sign out" not in text


def test_who_is_signed_in_goes_straight_on(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        browser.sign_in("Ed")
        answer = browser.client.get("/sign-in", params={"next": "/packs"})
        assert (answer.status_code, answer.headers["location"]) == (303, "/packs")


def test_a_failure_keeps_the_name_and_never_the_password(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        answer = browser.sign_in("Ed", "a wrong password", next="/packs")
        assert answer.status_code == 422
        assert 'value="Ed"' in answer.text
        assert "a wrong password" not in answer.text
        assert 'name="next" value="/packs"' in answer.text
        assert "<title>Error: Sign in" in answer.text
        assert "This name and password do not go together" in answer.text
        assert SAFE_NAME not in browser.client.cookies


@pytest.mark.parametrize("data", [{}, {"name": "Ed"}, {"password": "x"}, {"name": ["a", "b"]}])
def test_a_form_with_boxes_missing_is_a_failure_like_any_other(
    shared_app: FastAPI, data: dict[str, str]
) -> None:
    with browser_of(shared_app) as browser:
        answer = browser.client.post("/sign-in", data=data, headers=SAME_SITE)
        assert answer.status_code == 422
        assert "do not go together" in answer.text


def test_spaces_in_a_password_count_and_those_around_a_name_do_not(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        assert browser.sign_in(" Ed ", f" {PASSWORDS['Ed']}").status_code == 422
        assert browser.sign_in(" ed ", PASSWORDS["Ed"]).status_code == 303


def test_signing_out_ends_it_and_has_the_browser_forget_drafts(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        browser.sign_in("Ed")
        answer = browser.post("/sign-out")
        assert answer.headers["location"] == "/sign-in"
        assert answer.headers["clear-site-data"] == '"storage"'
        assert SAFE_NAME not in browser.client.cookies
        assert browser.get("/packs").status_code == 303


def test_drafts_are_kept_under_the_member_s_own_name(shared_app: FastAPI) -> None:
    found = set()
    for name in ("Ed", "Ada"):
        with browser_of(shared_app) as browser:
            browser.sign_in(name)
            found.add(browser.get("/packs/new").text.split('data-member="')[1].split('"')[0])
    assert len(found) == 2


def test_on_this_computer_alone_nobody_signs_in(client: TestClient) -> None:
    for answer in (
        client.get("/sign-in", params={"next": "/packs"}),
        client.post("/sign-in", data={"name": "a", "next": "/packs"}, headers=SAME_SITE),
    ):
        assert (answer.status_code, answer.headers["location"]) == (303, "/packs")
        assert "set-cookie" not in answer.headers
    page = client.get("/packs").text
    for word in ("Sign out", "form_token", "hx-headers", "data-member"):
        assert word not in page


def test_forms_begin_with_the_name_of_who_is_signed_in(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        browser.sign_in("Ed")
        assert 'name="stamp_by" value="Ed"' in browser.get("/packs/new").text
