"""What somebody would type at a shared server, in addresses, boxes and passwords, for nothing."""

import logging
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from argon2 import PasswordHasher
from fastapi import FastAPI
from fastapi.routing import iter_route_contexts

from app.records.database import writing
from app.services import members
from app.web.roles import SAFE_METHODS, needed_role
from app.web.sid_cookie import SAFE_NAME
from tests.people import PASSWORDS, SAME_SITE, Browser, app_of, browser_of, running

MARKUP = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "{{1234*5678}}{% raw %}",
    "javascript:alert(1)",
    "' hx-get='/members' hx-trigger='load",
)


@pytest.fixture
def app(shared_app: FastAPI) -> FastAPI:
    return shared_app


@pytest.fixture
def ada(app: FastAPI) -> Iterator[Browser]:
    with browser_of(app) as browser:
        browser.sign_in("Ada")
        yield browser


# Addresses


# A client takes dots between plain slashes out by itself, so they are sent encoded.
PLACES = [
    "%2e%2e",
    "..%2f..%2fetc%2fpasswd",
    "%2e%2e%2fetc%2fpasswd",
    "..%5c..%5cboot.ini",
    "%00",
    "a%0d%0aSet-Cookie:%20x=1",
    "'%20OR%201=1--",
    "x" * 3000,
    "é",
    "%ff",
]


def test_no_place_in_an_address_leads_out_or_fails(ada: Browser) -> None:
    app = ada.client.app
    asked = 0
    for route in iter_route_contexts(app.routes):
        path = str(route.path)
        if "{" not in path or "GET" not in (route.methods or ()):
            continue
        for place in PLACES:
            answer = ada.get(re.sub(r"\{[^}]+\}", lambda _, p=place: p, path))
            assert answer.status_code in (303, 400, 404, 405, 409, 422), (path, place)
            assert "root:" not in answer.text
            assert "set-cookie" not in answer.headers or "x=1" not in answer.headers["set-cookie"]
            asked += 1
    assert asked > 100


def test_no_place_in_an_address_that_writes_fails(ada: Browser) -> None:
    app = ada.client.app
    headers = SAME_SITE | {"Gripledger-Form-Token": ada.token(), "If-Match": '"1"'}
    for route in iter_route_contexts(app.routes):
        path = str(route.path)
        for method in set(route.methods or ()) - SAFE_METHODS:
            if "{" not in path:
                continue
            for place in PLACES:
                address = re.sub(r"\{[^}]+\}", lambda _, p=place: p, path)
                sent = {"json": {}} if path.startswith("/api") else {"data": {"version": "1"}}
                answer = ada.client.request(method, address, headers=headers, **sent)
                assert answer.status_code < 500, (method, path, place)
                assert answer.status_code >= 400, (method, path, place)


@pytest.mark.parametrize(
    "path",
    [
        "/static/../members",
        "/static/%2e%2e/members",
        "//members",
        "/members/",
        "/MEMBERS",
        "/static/..%2f..%2fpyproject.toml",
        "/libraries/../members",
        "/sign-in/../members",
        "/healthz/../members",
        "/members%23/static/",
        "/%6dembers",
    ],
)
def test_no_spelling_of_an_address_goes_round_the_way_in(app: FastAPI, path: str) -> None:
    with browser_of(app) as nobody:
        answer = nobody.client.get(path)
        assert answer.status_code in (303, 404)
        assert "Who may use this server" not in answer.text


@pytest.mark.parametrize(
    "target",
    [
        "https://evil.example/",
        "//evil.example",
        "/\\evil.example",
        "javascript:alert(1)",
        "/\tevil",
        "/%0d%0aSet-Cookie:x",
        "\\\\evil.example",
        "/sign-out",
    ],
)
def test_after_signing_in_nobody_is_sent_to_another_site(app: FastAPI, target: str) -> None:
    with browser_of(app) as browser:
        page = browser.client.get("/sign-in", params={"next": target})
        assert "evil.example" not in page.text
        answer = browser.sign_in("Ada", next=target)
        assert re.fullmatch(r"/(?![/\\])[!-~]*", answer.headers["location"])
        assert "evil.example" not in answer.headers["location"]


# Typed text


@pytest.mark.parametrize("text", MARKUP)
def test_text_that_looks_like_a_page_is_shown_as_text(ada: Browser, text: str) -> None:
    pages = [
        ada.post("/members", {"name": text, "role": "viewer"}).text,
        ada.post("/members", {"name": text, "role": text}).text,
        ada.post("/me/tokens", {"name": text}).text,
        ada.client.post(
            "/sign-in", data={"name": text, "password": text, "next": text}, headers=SAME_SITE
        ).text,
        ada.client.post(
            "/setup", data={"name": text, "code": text, "password": text}, headers=SAME_SITE
        ).text,
        ada.get("/members").text,
        ada.get("/me").text,
    ]
    (key,) = set(re.findall(r'href="/members/(\w{10})">(?!Ada<|Ed<|Vi<)', pages[5]))
    pages.append(ada.get(f"/members/{key}").text)
    pages.append(ada.post(f"/members/{key}/role", {"role": text, "version": "1"}).text)
    for page in pages:
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert "' hx-get=" not in page
        assert "7006652" not in page


def test_a_name_like_a_page_is_text_in_the_frame_of_every_page(
    app: FastAPI, people: sa.Engine
) -> None:
    name = "<b onclick=x>Bob</b>"
    with writing(people) as session:
        members.add_member(session, name, "admin", by="a test", password=PASSWORDS["Ed"])
    with browser_of(app) as bob:
        bob.sign_in(name, PASSWORDS["Ed"])
        for path in ("/", "/packs", "/packs/new", "/me", "/members", "/about", "/nothing"):
            text = bob.get(path).text
            assert "&lt;b onclick=x&gt;Bob" in text, path
            assert "<b onclick" not in text, path


def test_a_browser_s_own_name_is_kept_in_two_words_only(app: FastAPI) -> None:
    with browser_of(app) as browser:
        browser.client.headers["User-Agent"] = "<script>alert(1)</script> Firefox/1 Linux"
        browser.sign_in("Ada")
        assert "Firefox on Linux" in browser.get("/me").text
        assert "alert(1)" not in browser.get("/me").text


# Guessing


def test_waiting_outlives_a_restart_and_counts_in_every_process(
    app: FastAPI, people: sa.Engine, database_url: str, tmp_path: Path
) -> None:
    with running(app_of(database_url, tmp_path)) as second:
        for i in range(5):
            with browser_of(second if i % 2 else app) as browser:
                assert browser.sign_in("Ed", "wrong").status_code == 422
    with (
        running(app_of(database_url, tmp_path)) as restarted,
        browser_of(restarted) as browser,
    ):
        answer = browser.sign_in("Ed")
        assert answer.status_code == 429
        assert int(answer.headers["retry-after"]) == 1
        assert "Wait 1 s" in answer.text


def test_a_known_and_an_unknown_name_can_not_be_told_apart(
    app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    hashes: list[str] = []
    verify = PasswordHasher.verify

    def counting(self: PasswordHasher, kept: str, password: str) -> bool:
        hashes.append(kept.split("$")[3])
        return verify(self, kept, password)

    monkeypatch.setattr(PasswordHasher, "verify", counting)
    told = {}
    for i, name in enumerate(("Ed", "Nobody at all")):
        hashes.clear()
        with browser_of(app, address=f"203.0.113.{i}") as browser:
            answers = [browser.sign_in(name, "wrong") for _ in range(7)]
        pages = [a.text.replace(name, "NAME") for a in answers]
        headers = [{k: v for k, v in a.headers.items() if k != "content-length"} for a in answers]
        told[name] = ([a.status_code for a in answers], pages, headers, list(hashes))
    assert told["Ed"] == told["Nobody at all"]
    assert told["Ed"][0] == [422] * 5 + [429] * 2


def test_the_wait_of_one_address_does_not_shut_others_out(app: FastAPI) -> None:
    with browser_of(app, address="203.0.113.9") as attacker:
        for name in ("a1", "a2", "a3", "a4", "a5"):
            attacker.sign_in(name, "wrong")
        assert attacker.sign_in("Ed").status_code == 429
    with browser_of(app) as ed:
        assert ed.sign_in("Ed").status_code == 303


# What is written down


def test_logs_and_history_hold_no_secret_and_no_line_of_another_s(
    app: FastAPI, people: sa.Engine, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    new = "a brass drift and two shims"
    with browser_of(app) as ed, browser_of(app) as ada:
        ed.sign_in("my password in the wrong box\r\nforged line", "oops my secret")
        ed.sign_in("Ed", next="/packs")
        token_page = ed.post("/me/tokens", {"name": "logger"}).text
        token = re.search(r"gripledger_[\w-]+", token_page)[0]
        ed.client.get("/api/v1/packs", headers={"Authorization": f"Bearer {token}"})
        ed.client.get("/api/v1/packs", headers={"Authorization": "Bearer gripledger_wrong"})
        sid = ed.client.cookies[SAFE_NAME]
        form = ed.token()
        data = {"current": PASSWORDS["Ed"], "password": new, "again": new}
        ed.post("/me/password", data)
        ada.sign_in("Ada")
        page = ada.post("/members", {"name": "Zoe", "role": "viewer"}).text
        code = re.search(r'class="secret-text">([^<]+)<', page)[1]
        ada.client.post("/setup", data={"code": code + "x", "name": "Zoe"}, headers=SAME_SITE)
    with people.connect() as connection:
        history = repr(connection.execute(sa.text("SELECT * FROM change")).all())
    for secret in (
        PASSWORDS["Ed"],
        PASSWORDS["Ada"],
        new,
        sid,
        token,
        form,
        code,
        "oops my secret",
        "in the wrong box",
        "gripledger_wrong",
        "argon2",
    ):
        assert secret not in caplog.text, secret
        assert secret not in history, secret
    for line in (
        "sign-in refused to 198.51.100.7",
        "sign-in of",
        "change of password by",
        "token made by",
        "refused (unknown token)",
        "added as viewer by",
    ):
        assert line in caplog.text, line
    assert all("\n" not in record.getMessage() for record in caplog.records)


def test_errors_tell_nobody_anything(app: FastAPI) -> None:
    with browser_of(app) as nobody:
        for path in ("/nothing-here", "/packs/zzzzzzzzzz", "/api/v1/openapi.json", "/docs"):
            answer = nobody.get(path)
            assert answer.status_code in (303, 401), path
        assert "openapi" not in nobody.get("/api/v1/openapi.json").text.lower().replace(
            "/api/v1/openapi.json", ""
        )
        assert needed_role("GET", "/api/v1/openapi.json") == "viewer"
