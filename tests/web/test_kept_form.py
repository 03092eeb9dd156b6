"""A form that is sent after its session has ended is kept, for the one whose page it came from."""

import re
from html import unescape

import pytest
import sqlalchemy as sa
from fastapi import FastAPI
from starlette.responses import Response

from app.records.database import read_session, writing_apart
from app.records.listing import Search
from app.services.catalogue import packs
from app.web.kept_form import MOST_CHARACTERS
from tests.people import PASSWORDS, SAME_SITE, Browser, browser_of

TYPED = {"name": "Half <b>typed</b>", "friction_plates": "six", "notes": "two shims\r\nold"}


def boxes(answer: Response) -> dict[str, str]:
    """The hidden boxes of a page's own form, as a browser sends them."""
    main = answer.text.split("<main")[1]
    found = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)">', main)
    return {unescape(name): unescape(value) for name, value in found}


def sent_late(browser: Browser, people: sa.Engine, **typed: str) -> Response:
    """A form whose page was drawn for Ed, sent when no session of his is left."""
    browser.sign_in("Ed")
    shown = boxes(browser.get("/packs/new"))
    with writing_apart(people) as connection:
        connection.execute(sa.text("DELETE FROM member_session"))
    return browser.client.post("/packs/new", data=shown | TYPED | typed, headers=SAME_SITE)


def enter(browser: Browser, page: Response, name: str, password: str = "") -> Response:
    sent = boxes(page) | {"name": name, "password": password or PASSWORDS[name]}
    return browser.client.post("/sign-in", data=sent, headers=SAME_SITE)


def kept_packs(people: sa.Engine) -> list[str]:
    with read_session(people) as session:
        return [stored.name for stored in packs.page(session, Search()).records]


def test_what_was_typed_comes_back_after_signing_in_and_is_sent_by_one_press(
    shared_app: FastAPI, people: sa.Engine
) -> None:
    with browser_of(shared_app) as browser:
        page = sent_late(browser, people)
        assert page.status_code == 403
        assert "you were signed out meanwhile" in page.text
        assert "Half" not in re.sub(r"<input[^>]*>", "", page.text)
        again = enter(browser, page, "Ed", "not it")
        assert again.status_code == 422
        offered = enter(browser, again, "Ed")
        assert offered.status_code == 200
        assert "<dd>Half &lt;b&gt;typed&lt;/b&gt;</dd>" in offered.text
        assert kept_packs(people) == []
        sent = boxes(offered)
        assert {name: sent[name] for name in TYPED} == TYPED
        refused = browser.client.post("/packs/new", data=sent, headers=SAME_SITE)
        assert refused.status_code == 422  # "six" is no number: the form is there to be put right
        right = sent | {"friction_plates": "6"}
        saved = browser.client.post("/packs/new", data=right, headers=SAME_SITE)
        assert saved.status_code == 303
    assert kept_packs(people) == ["Half <b>typed</b>"]


def test_another_member_never_meets_it(shared_app: FastAPI, people: sa.Engine) -> None:
    with browser_of(shared_app) as browser:
        answer = enter(browser, sent_late(browser, people), "Ada")
        assert answer.status_code == 303
        assert answer.headers["location"] == "/packs/new"
        assert "Half" not in browser.get("/packs/new").text


def test_without_the_new_session_s_token_it_is_not_taken(
    shared_app: FastAPI, people: sa.Engine
) -> None:
    with browser_of(shared_app) as browser:
        offered = enter(browser, sent_late(browser, people), "Ed")
        stale = boxes(offered) | {"form_token": "0" * 64}
        assert browser.client.post("/packs/new", data=stale, headers=SAME_SITE).status_code == 403
        foreign = {"Origin": "https://evil.example"}
        late = browser.client.post("/packs/new", data=boxes(offered), headers=foreign)
        assert late.status_code == 403
        assert "kept" not in late.text
    assert kept_packs(people) == []


@pytest.mark.parametrize(
    "action", ["https://evil.example/", "//evil.example", "javascript:alert(1)", "/sign-out", ""]
)
def test_a_form_is_kept_for_an_address_of_ours_alone(
    shared_app: FastAPI, people: sa.Engine, action: str
) -> None:
    with browser_of(shared_app) as browser:
        sent = boxes(sent_late(browser, people)) | {"kept-action": action}
        sent |= {"name": "Ed", "password": PASSWORDS["Ed"]}
        answer = browser.client.post("/sign-in", data=sent, headers=SAME_SITE)
        assert answer.status_code == 303
        assert answer.headers["location"] == "/packs/new"


@pytest.mark.parametrize(
    "typed",
    [
        {"notes": "x" * (MOST_CHARACTERS + 1)},
        {"password": "a secret"},
        {"form_member": ""},
    ],
)
def test_what_is_too_large_secret_or_nobody_s_is_not_carried(
    shared_app: FastAPI, people: sa.Engine, typed: dict[str, str]
) -> None:
    with browser_of(shared_app) as browser:
        answer = sent_late(browser, people, **typed)
        assert answer.status_code == 303
        assert answer.headers["location"] == "/sign-in?next=%2Fpacks%2Fnew"


def test_a_press_that_types_nothing_and_a_file_go_to_sign_in_as_ever(
    shared_app: FastAPI, people: sa.Engine
) -> None:
    with browser_of(shared_app) as browser:
        browser.sign_in("Ed")
        own = boxes(browser.get("/import"))
        with writing_apart(people) as connection:
            connection.execute(sa.text("DELETE FROM member_session"))
        bare = browser.client.post("/packs/x/put-aside", data=own | {"version": "1"},
                                   headers=SAME_SITE)  # fmt: skip
        assert bare.status_code == 303
        file = {"file": ("a.csv", b"name", "text/csv")}
        answer = browser.client.post("/import", data=own, files=file, headers=SAME_SITE)
        assert answer.status_code == 303
