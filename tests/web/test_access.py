import json
import logging

import pytest
from fastapi import FastAPI

from app.errors import StorageUnavailable
from app.web import access
from tests.people import SAME_SITE, Browser, browser_of

BEARER = "Authorization"


def token_of(browser: Browser) -> str:
    text = browser.post("/me/tokens", {"name": "logger"}).text
    return text.split('class="secret-text">')[1].split("<")[0]


def test_a_browser_is_sent_to_sign_in_and_comes_back_to_its_page(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        asked = browser.get("/packs?q=six")
        assert asked.status_code == 303
        page = browser.get(asked.headers["location"])
        assert 'name="next" value="/packs?q=six"' in page.text
        assert browser.sign_in("Vi", next="/packs?q=six").headers["location"] == "/packs?q=six"
        assert browser.get("/packs?q=six").status_code == 200


def test_a_page_that_swaps_parts_goes_to_sign_in_as_a_whole(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        headers = {"HX-Request": "true", "HX-Current-URL": "https://bench.lan/packs/new"}
        asked = browser.client.post("/packs/new", data={"name": "A"}, headers=headers | SAME_SITE)
        assert asked.status_code == 204
        assert asked.headers["hx-redirect"] == "/sign-in?next=%2Fpacks%2Fnew"


def test_what_a_member_sees_is_kept_nowhere_and_files_are(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        browser.sign_in("Ada")
        for path in ("/", "/packs", "/members", "/api/v1/packs", "/nothing", "/healthz"):
            assert browser.get(path).headers["cache-control"] == "no-store", path
        page = browser.get("/")
        style = page.text.split('rel="stylesheet" href="')[1].split('"')[0]
        assert "max-age" in browser.get(style).headers["cache-control"]


def test_files_and_health_are_open_before_signing_in(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        for path in ("/static/css/base.css", "/healthz", "/sign-in", "/setup"):
            assert browser.get(path).status_code == 200, path


def test_a_script_s_token_needs_no_form_token_and_acts_as_its_member(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser, browser_of(shared_app) as script:
        browser.sign_in("Ed")
        script.client.headers[BEARER] = f"Bearer {token_of(browser)}"
        made = script.client.post("/api/v1/packs", json={"name": "Six"})
        assert made.status_code == 201
        assert made.json()["created_by"] == "Ed"
        assert script.client.get("/api/v1/openapi.json").status_code == 200


def test_a_viewer_s_token_reads_and_asks_and_does_not_write(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser, browser_of(shared_app) as script:
        browser.sign_in("Vi")
        script.client.headers[BEARER] = f"bearer {token_of(browser)}"
        assert script.client.get("/api/v1/packs").status_code == 200
        points = [{"deflection_mm": 1.0, "force_n": 10.0}, {"deflection_mm": 2.0, "force_n": 20.0}]
        question = script.client.post("/api/v1/spring-rate", json={"load_points": points})
        assert question.status_code == 200
        refused = script.client.post("/api/v1/packs", json={"name": "Six"})
        assert refused.status_code == 403
        assert refused.headers["content-type"] == "application/problem+json"
        assert "viewer" in refused.json()["detail"]


@pytest.mark.parametrize(
    "sent", ["Bearer", "Bearer ", "Bearer gripledger_no", "Basic QWRhOng=", "x"]
)
def test_a_token_that_is_none_is_refused_even_with_a_good_cookie(
    shared_app: FastAPI, sent: str
) -> None:
    with browser_of(shared_app) as browser:
        browser.sign_in("Ada")
        answer = browser.client.get("/api/v1/packs", headers={BEARER: sent})
        assert answer.status_code == 401
        assert answer.headers["www-authenticate"] == "Bearer"


def test_a_token_opens_no_page(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser, browser_of(shared_app) as script:
        browser.sign_in("Ada")
        token = token_of(browser)
        assert script.client.get("/packs", headers={BEARER: f"Bearer {token}"}).status_code == 303


def test_every_page_carries_the_token_for_the_script_s_requests(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        browser.sign_in("Ed")
        text = browser.get("/packs/new").text
        sent = text.split('hx-headers="')[1].split('"')[0].replace("&#34;", '"')
        headers = json.loads(sent) | SAME_SITE | {"HX-Request": "true"}
        answer = browser.client.post("/packs/new", data={"name": "Six"}, headers=headers)
        assert answer.status_code == 204
        assert answer.headers["hx-redirect"].startswith("/packs/")


def test_a_form_with_a_file_brings_its_token_and_arrives_whole(shared_app: FastAPI) -> None:
    received: list[bytes] = []

    @shared_app.post("/test/upload")
    async def upload(request: access.Request) -> str:
        async with request.form() as form:
            received.append(await form["file"].read())  # type: ignore[union-attr]
        return "taken"

    content = b"name,torque\r\n" * 90_000
    with browser_of(shared_app) as browser:
        browser.sign_in("Ed")
        files = {"file": ("a.csv", content, "text/csv")}
        sent = browser.post("/test/upload", files=files)
        assert sent.status_code == 200
        assert received == [content]
        refused = browser.client.post("/test/upload", files=files, headers=SAME_SITE)
        assert refused.status_code == 403
        assert len(received) == 1


@pytest.mark.parametrize("body", [b"--x\r\nbroken", b"", b"\xff\xfe"])
def test_a_broken_form_is_one_without_a_token(shared_app: FastAPI, body: bytes) -> None:
    with browser_of(shared_app) as browser:
        browser.sign_in("Ed")
        headers = SAME_SITE | {"Content-Type": "multipart/form-data; boundary=x"}
        assert browser.client.post("/packs/new", content=body, headers=headers).status_code == 403


def test_a_head_request_is_let_in_like_a_get(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        assert browser.client.head("/packs").status_code == 303
        browser.sign_in("Vi")
        assert browser.client.head("/packs").status_code == 200


def test_a_refusal_by_role_says_for_whom_and_is_written_down(
    shared_app: FastAPI, caplog: pytest.LogCaptureFixture
) -> None:
    with browser_of(shared_app) as browser:
        browser.sign_in("Vi")
        with caplog.at_level(logging.WARNING, "gripledger.security"):
            answer = browser.get("/members")
    assert answer.status_code == 403
    assert "This is for administrators; you are signed in as a viewer." in answer.text
    assert "<h1>Not for your role</h1>" in answer.text
    assert "refused (needs admin) GET /members to" in caplog.text


def test_a_database_that_fails_lets_nobody_in(
    shared_app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    def lost(*_: object) -> None:
        raise StorageUnavailable("the connection to the database was lost")

    with browser_of(shared_app) as browser:
        browser.sign_in("Ada")
        monkeypatch.setattr(access, "session_of", lost)
        answer = browser.get("/members")
        assert answer.status_code == 503
        assert "Ada" not in answer.text
