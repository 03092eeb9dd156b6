"""What somebody would try against a server that a team shares, and that it comes to nothing."""

import logging
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from fastapi import FastAPI

from app.records.database import catalogue_revision, read_session
from app.services import members
from app.web.sid_cookie import PLAIN_NAME, SAFE_NAME
from tests.people import HOST, PASSWORDS, SAME_SITE, Browser, app_of, browser_of, running

EVIL = "https://evil.example"


@pytest.fixture
def app(shared_app: FastAPI) -> FastAPI:
    return shared_app


@pytest.fixture
def plain_app(people: sa.Engine, database_url: str, tmp_path: Path) -> Iterator[FastAPI]:
    """The same without encryption, as --insecure-lan has it."""
    made = app_of(database_url, tmp_path, tls_cert=None, tls_key=None, insecure_lan=True)
    with running(made) as started:
        yield started


@pytest.fixture
def ada(app: FastAPI) -> Iterator[Browser]:
    with browser_of(app) as browser:
        browser.sign_in("Ada")
        yield browser


def revision(engine: sa.Engine) -> int:
    with read_session(engine) as session:
        return catalogue_revision(session)


def role_of(engine: sa.Engine, name: str) -> str:
    with read_session(engine) as session:
        return members.member_by_name(session, name).role


# Forms sent from elsewhere


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site", "Origin": EVIL},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": EVIL},
        {"Origin": "null"},
        {"Origin": f"http://{HOST}"},
        {"Origin": f"https://{HOST}:8443"},
        {},
    ],
)
def test_a_form_from_another_page_changes_nothing_even_with_the_right_token(
    ada: Browser, people: sa.Engine, headers: dict[str, str], caplog: pytest.LogCaptureFixture
) -> None:
    data = {"form_token": ada.token(), "name": "Mallory", "role": "admin"}
    before = revision(people)
    with caplog.at_level(logging.WARNING, "gripledger"):
        answer = ada.client.post("/members", data=data, headers=headers)
    assert answer.status_code == 403
    assert revision(people) == before
    assert "refused POST /members" in caplog.text


@pytest.mark.parametrize("token", ["missing", "empty", "made up", "of another session"])
def test_a_form_without_the_session_s_token_changes_nothing(
    app: FastAPI, ada: Browser, people: sa.Engine, token: str, caplog: pytest.LogCaptureFixture
) -> None:
    with browser_of(app) as other:
        other.sign_in("Ada")
        sent = {"empty": "", "made up": "0" * 64, "of another session": other.token()}
    data = {"name": "Mallory", "role": "admin"}
    if token in sent:
        data["form_token"] = sent[token]
    before = revision(people)
    with caplog.at_level(logging.WARNING, "gripledger.security"):
        answer = ada.client.post("/members", data=data, headers=SAME_SITE)
    assert answer.status_code == 403
    assert "before you signed in" in answer.text
    assert revision(people) == before
    assert re.search(
        r"refused \(foreign form\) POST /members to \w+ from 198\.51\.100\.7", caplog.text
    )


def test_on_plain_http_origin_and_token_hold_without_the_browser_s_word(
    plain_app: FastAPI, people: sa.Engine
) -> None:
    own = {"Origin": f"http://{HOST}"}
    with browser_of(plain_app, "http") as ada:
        sent = {"name": "Ada", "password": PASSWORDS["Ada"]}
        assert ada.client.post("/sign-in", data=sent, headers={"Origin": EVIL}).status_code == 403
        assert ada.client.post("/sign-in", data=sent, headers=own).status_code == 303
        data = {"name": "Zoe", "role": "viewer"}
        assert ada.client.post("/members", data=data, headers=own).status_code == 403
        data["form_token"] = ada.token()
        assert ada.client.post("/members", data=data, headers={"Origin": EVIL}).status_code == 403
        assert ada.client.post("/members", data=data).status_code == 403
        assert ada.client.post("/members", data=data, headers=own).status_code == 200
    assert role_of(people, "Zoe") == "viewer"


@pytest.mark.parametrize("kind", ["text/plain", "application/json", "multipart/form-data", ""])
def test_a_body_that_is_no_form_brings_no_token(ada: Browser, kind: str) -> None:
    body = f"form_token={ada.token()}&name=Mallory&role=admin"
    headers = SAME_SITE | ({"Content-Type": kind} if kind else {})
    answer = ada.client.post("/members", content=body, headers=headers)
    assert answer.status_code == 403


def test_json_from_a_page_needs_the_token_too(ada: Browser) -> None:
    assert (
        ada.client.post("/api/v1/packs", json={"name": "A"}, headers=SAME_SITE).status_code == 403
    )
    assert ada.client.post("/api/v1/packs", json={"name": "A"}).status_code == 403
    headers = SAME_SITE | {"Gripledger-Form-Token": ada.token()}
    assert ada.client.post("/api/v1/packs", json={"name": "A"}, headers=headers).status_code == 201


def test_signing_somebody_out_from_elsewhere_does_not_work(ada: Browser) -> None:
    assert ada.client.post("/sign-out", headers=SAME_SITE).status_code == 403
    assert ada.client.get("/sign-out").status_code in (404, 405)
    assert ada.get("/packs").status_code == 200


# Names pointed at the server


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        f"{HOST}.evil.example",
        f"evil{HOST}",
        f"{HOST}@evil.example",
        "0.0.0.0",  # noqa: S104
        f"{HOST}/",
        "",
        "192.0.2.11",
    ],
)
def test_another_name_is_refused_before_anything_is_looked_at(
    app: FastAPI, monkeypatch: pytest.MonkeyPatch, host: str
) -> None:
    from app.web import access

    monkeypatch.setattr(access, "session_of", None)
    with browser_of(app) as browser:
        answer = browser.client.get("/packs", headers={"Host": host, "Cookie": f"{SAFE_NAME}=x"})
    assert answer.status_code == 400
    assert "<html" not in answer.text


@pytest.mark.parametrize("host", [HOST, HOST.upper(), f"{HOST}:8443", "192.0.2.10", "localhost"])
def test_its_own_names_are_answered(app: FastAPI, host: str) -> None:
    with browser_of(app) as browser:
        assert browser.client.get("/healthz", headers={"Host": host}).status_code == 200


# Sessions


def test_a_session_id_that_somebody_planted_is_not_taken(app: FastAPI) -> None:
    planted = "x" * 43
    with browser_of(app) as victim, browser_of(app) as attacker:
        victim.client.cookies.set(SAFE_NAME, planted, domain=HOST, path="/")
        victim.sign_in("Ada")
        sent = [c.value for c in victim.client.cookies.jar if c.name == SAFE_NAME]
        assert planted not in sent
        attacker.client.cookies.set(SAFE_NAME, planted, domain=HOST, path="/")
        assert attacker.get("/packs").status_code == 303


def test_signing_in_again_ends_the_session_before(app: FastAPI) -> None:
    with browser_of(app) as browser, browser_of(app) as thief:
        browser.sign_in("Ada")
        old = browser.client.cookies[SAFE_NAME]
        browser.sign_in("Ada")
        assert browser.client.cookies[SAFE_NAME] != old
        thief.client.cookies.set(SAFE_NAME, old, domain=HOST, path="/")
        assert thief.get("/packs").status_code == 303


@pytest.mark.parametrize("way", ["sign out", "change of password", "disabled", "end sessions"])
def test_a_stolen_id_dies_with_the_session(app: FastAPI, ada: Browser, way: str) -> None:
    with browser_of(app) as ed, browser_of(app) as thief:
        ed.sign_in("Ed")
        thief.client.cookies.set(SAFE_NAME, ed.client.cookies[SAFE_NAME], domain=HOST, path="/")
        assert thief.get("/packs").status_code == 200
        if way == "sign out":
            ed.post("/sign-out")
        elif way == "change of password":
            new = "a brass drift and two shims"
            data = {"current": PASSWORDS["Ed"], "password": new, "again": new}
            assert ed.post("/me/password", data).status_code == 303
            assert ed.get("/packs").status_code == 200
        else:
            (key,) = re.findall(r'href="/members/(\w{10})">Ed<', ada.get("/members").text)
            what = "disable" if way == "disabled" else "end-sessions"
            assert ada.post(f"/members/{key}/{what}", {"version": "1"}).status_code == 303
        assert thief.get("/packs").status_code == 303


@pytest.mark.parametrize(
    "cookie", ["", "x", "x" * 5000, "' OR 1=1 --", "%00", '"quoted"', "../../etc", "é"]
)
def test_a_made_up_id_is_nobody(app: FastAPI, cookie: str) -> None:
    with browser_of(app) as browser:
        sent = f"{SAFE_NAME}={cookie}; {PLAIN_NAME}={cookie}".encode()
        answer = browser.client.get("/packs", headers={b"Cookie": sent})
        assert answer.status_code == 303


def test_the_plain_cookie_is_worth_nothing_where_there_is_encryption(
    app: FastAPI, ada: Browser
) -> None:
    with browser_of(app) as other:
        other.client.cookies.set(PLAIN_NAME, ada.client.cookies[SAFE_NAME], domain=HOST, path="/")
        assert other.get("/packs").status_code == 303


# Fields that are not in the form


def test_a_role_in_a_form_that_has_none_changes_nothing(app: FastAPI, people: sa.Engine) -> None:
    more = {"role": "admin", "name": "logger", "member": "x", "is_admin": "1", "disabled_at": ""}
    new = "a brass drift and two shims"
    with browser_of(app) as ed:
        ed.sign_in("Ed", role="admin")
        assert ed.post("/me/tokens", more).status_code == 200
        data = {"current": PASSWORDS["Ed"], "password": new, "again": new} | more
        assert ed.post("/me/password", data).status_code == 303
        assert ed.get("/members").status_code == 403
    assert role_of(people, "Ed") == "editor"


def test_set_up_by_a_member_s_code_gives_no_other_role(
    app: FastAPI, ada: Browser, people: sa.Engine
) -> None:
    text = ada.post("/members", {"name": "Zoe", "role": "viewer", "version": "9"}).text
    code = re.search(r'class="secret-text">([^<]+)<', text)[1]
    new = "a brass drift and two shims"
    data = {"code": code, "name": "Zoe", "password": new, "again": new, "role": "admin"}
    with browser_of(app) as zoe:
        assert zoe.client.post("/setup", data=data, headers=SAME_SITE).status_code == 303
        assert zoe.get("/members").status_code == 403
    assert role_of(people, "Zoe") == "viewer"


def test_the_name_in_the_history_is_the_member_s_whatever_the_form_says(
    app: FastAPI, people: sa.Engine
) -> None:
    with browser_of(app) as ed:
        ed.sign_in("Ed")
        assert ed.post("/packs/new", {"name": "Blunt", "stamp_by": "Ada", "by": "Ada"})
    with people.connect() as connection:
        query = sa.text("SELECT \"by\" FROM change WHERE noun = 'pack'")
        assert connection.execute(query).scalars().all() == ["Ed"]


# The long way round


def test_an_editor_takes_no_setting_back_that_only_an_administrator_can_make(
    app: FastAPI, ada: Browser, people: sa.Engine
) -> None:
    ada.post(
        "/settings",
        {"heavy": "4", "doubts_version": "0", "limits_version": "0", "name_version": "0"},
    )
    with people.connect() as connection:
        query = sa.text("SELECT id FROM change WHERE noun = 'setting'")
        (key,) = connection.execute(query).scalars().all()
    with browser_of(app) as ed:
        ed.sign_in("Ed")
        assert "Undo this change" not in ed.get(f"/history/{key}").text
        answer = ed.post(f"/history/{key}/undo")
        assert answer.status_code == 403
        assert "This is for administrators" in answer.text
    assert "Undo this change" in ada.get(f"/history/{key}").text
    assert ada.post(f"/history/{key}/undo").status_code == 303


def test_a_change_of_role_can_not_be_taken_back_through_the_history(
    app: FastAPI, ada: Browser, people: sa.Engine
) -> None:
    with people.connect() as connection:
        query = sa.text("SELECT id FROM change WHERE noun = 'member'")
        keys = connection.execute(query).scalars().all()
    with browser_of(app) as ed:
        ed.sign_in("Ed")
        assert len(keys) == 3
        for key in keys:
            assert ed.get(f"/history/{key}").status_code == 200
            assert ed.post(f"/history/{key}/undo").status_code == 403
            assert ada.post(f"/history/{key}/undo").status_code == 409
