import json
from urllib.parse import quote

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.requests import Request
from starlette.responses import Response
from starlette.testclient import TestClient

from app.web import notices
from app.web.notices import COOKIE, Notice


def request_with(cookie: str) -> Request:
    return Request({"type": "http", "headers": [(b"cookie", f"{COOKIE}={cookie}".encode())]})


def left(notice: Notice) -> str:
    response = Response()
    notices.leave(response, notice)
    value: str = response.headers["set-cookie"].split(";")[0].partition("=")[2]
    return value


@given(st.text(max_size=200))
def test_a_notice_arrives_as_it_was_left(text: str) -> None:
    assert notices.waiting(request_with(left(Notice(text)))) == Notice(text)


def test_its_cookie_is_not_for_scripts_and_does_not_last() -> None:
    response = Response()
    notices.leave(response, Notice("Pack saved."))
    cookie = response.headers["set-cookie"].lower()
    for part in ("httponly", "samesite=lax", "max-age=60", "path=/"):
        assert part in cookie


@pytest.mark.parametrize(
    "undo",
    ["/packs/7/put-aside", "//evil.example/x/bring-back", "/packs/../x/bring-back", "/packs/7/"],
)
def test_the_way_back_can_only_bring_back(undo: str) -> None:
    with pytest.raises(ValueError, match="bring-back"):
        notices.leave(Response(), Notice("x", undo))
    forged = quote(json.dumps(["x", undo]), safe="")
    assert notices.waiting(request_with(forged)) == Notice("x", None)


@pytest.mark.parametrize("cookie", ["", "x", "%5B%5D", "%5B1%2C2%5D", "%7B%7D", "5", "%FF"])
def test_a_cookie_of_somebody_else_is_no_notice(cookie: str) -> None:
    assert notices.waiting(request_with(cookie)) == Notice("")


def test_a_page_shows_it_once_as_text(client: TestClient) -> None:
    client.cookies.set(COOKIE, left(Notice("<b>Pack</b> saved.", "/packs/7/bring-back")))
    first = client.get("/about")
    assert "&lt;b&gt;Pack&lt;/b&gt; saved." in first.text
    assert 'action="/packs/7/bring-back"' in first.text
    assert f'{COOKIE}=""' in first.headers["set-cookie"]
    assert "max-age=0" in first.headers["set-cookie"].lower()
    client.cookies.clear()
    assert "Pack" not in client.get("/about").text.split("<main")[1].split("<h1")[0]
