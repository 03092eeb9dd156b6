from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.records.database import make_engine, writing_apart
from app.services.members import has_administrator
from app.services.setup_codes import make_code
from app.web.sid_cookie import SAFE_NAME
from tests.people import SAME_SITE, app_of, browser_of, cheap_hashes, running

WORDS = "a brass drift and two shims"


@pytest.fixture
def fresh(database_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[FastAPI]:
    cheap_hashes(monkeypatch)
    with running(app_of(database_url, tmp_path)) as app:
        yield app


def new_code(engine: sa.Engine) -> str:
    with writing_apart(engine) as connection:
        return make_code(connection, None)


def data(code: str, **more: str) -> dict[str, str]:
    return {"code": code, "name": "Ada", "password": WORDS, "again": WORDS, **more}


def test_the_first_administrator_sets_up_once_and_is_signed_in(
    fresh: FastAPI, database: sa.Engine
) -> None:
    code = new_code(database)
    with browser_of(fresh) as browser, browser_of(fresh) as other:
        answer = browser.client.post("/setup", data=data(code), headers=SAME_SITE)
        assert (answer.status_code, answer.headers["location"]) == (303, "/")
        assert browser.client.cookies[SAFE_NAME]
        assert browser.get("/members").status_code == 200
        again = other.client.post("/setup", data=data(code, name="Eve"), headers=SAME_SITE)
        assert again.status_code == 422
        assert "was used" in again.text
    assert has_administrator(database)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"again": "another"}, "Write the same password in both boxes."),
        ({"password": "short", "again": "short"}, "at least 8"),
        ({"password": "password1", "again": "password1"}, "tried first"),
        ({"name": ""}, "Write a name"),
    ],
)
def test_what_can_not_be_taken_is_told_at_its_box_and_the_code_stays_good(
    fresh: FastAPI, database: sa.Engine, more: dict[str, str], told: str
) -> None:
    code = new_code(database)
    with browser_of(fresh) as browser:
        answer = browser.client.post("/setup", data=data(code, **more), headers=SAME_SITE)
        assert answer.status_code == 422
        assert told in answer.text
        assert WORDS not in answer.text
        assert answer.headers["cache-control"] == "no-store"
        assert browser.client.post("/setup", data=data(code), headers=SAME_SITE).status_code == 303


def test_guessing_codes_has_to_wait(fresh: FastAPI, database: sa.Engine) -> None:
    with browser_of(fresh) as browser:
        for _ in range(5):
            sent = browser.client.post("/setup", data=data("aaaaa-aaaaa"), headers=SAME_SITE)
            assert sent.status_code == 422
        answer = browser.client.post("/setup", data=data(new_code(database)), headers=SAME_SITE)
        assert answer.status_code == 429
        assert answer.headers["retry-after"] == "1"
    assert not has_administrator(database)


def test_no_page_shows_a_code_that_is_out(fresh: FastAPI, database: sa.Engine) -> None:
    code = new_code(database)
    with browser_of(fresh) as browser:
        page = browser.get("/setup")
    assert code not in page.text
    assert "gripledger member setup-token" in page.text


def test_on_this_computer_alone_a_team_can_be_begun(
    client: TestClient, app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    cheap_hashes(monkeypatch)
    engine = make_engine(app.state.settings.url)
    answer = client.post("/setup", data=data(new_code(engine)), headers=SAME_SITE)
    assert answer.status_code == 303
    assert "__Host-sid" not in answer.headers["set-cookie"]
    assert has_administrator(engine)
    engine.dispose()
