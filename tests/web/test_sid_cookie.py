from http.cookies import SimpleCookie
from pathlib import Path

import pytest
import sqlalchemy as sa
from fastapi import FastAPI

from app.web.sid_cookie import PLAIN_NAME, SAFE_NAME
from tests.people import SAME_SITE, app_of, browser_of, running


def test_over_tls_it_is_a_host_cookie_that_no_script_reads(shared_app: FastAPI) -> None:
    with browser_of(shared_app) as browser:
        answer = browser.sign_in("Ada")
        ((name, found),) = SimpleCookie(answer.headers["set-cookie"]).items()
        assert name == SAFE_NAME == "__Host-sid"
        assert found["secure"]
        assert found["httponly"]
        assert found["samesite"].lower() == "lax"
        assert found["path"] == "/"
        assert not found["domain"]
        assert int(found["max-age"]) == 7 * 24 * 3600
        gone = browser.post("/sign-out").headers["set-cookie"]
        assert gone.startswith('__Host-sid="";')
        assert "Secure" in gone


@pytest.fixture
def plain_app(people: sa.Engine, database_url: str, tmp_path: Path) -> FastAPI:
    return app_of(database_url, tmp_path, tls_cert=None, tls_key=None, insecure_lan=True)


def test_without_tls_it_has_a_plain_name_that_a_browser_keeps(plain_app: FastAPI) -> None:
    with running(plain_app), browser_of(plain_app, "http") as browser:
        answer = browser.sign_in("Ada")
        ((name, found),) = SimpleCookie(answer.headers["set-cookie"]).items()
        assert name == PLAIN_NAME == "sid"
        assert not found["secure"]
        assert found["httponly"]
        assert browser.get("/packs").status_code == 200


def test_without_a_word_on_encryption_the_safe_kind_is_taken(
    people: sa.Engine, database_url: str, tmp_path: Path
) -> None:
    with (
        running(app_of(database_url, tmp_path, tls_cert=None, tls_key=None)) as app,
        browser_of(app) as browser,
    ):
        sent = browser.client.post("/sign-in", data={"name": "Ada"}, headers=SAME_SITE)
        assert "set-cookie" not in sent.headers
        assert browser.sign_in("Ada").headers["set-cookie"].startswith("__Host-sid=")
