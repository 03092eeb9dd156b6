"""Every address with the role that it asks for, walked through the route table itself."""

import re
import shutil
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from fastapi import FastAPI
from fastapi.routing import iter_route_contexts

from app.records.database import writing
from app.records.members import ROLES
from app.services.seeding import load_demo
from app.services.starting import open_engine
from app.web.roles import NOBODY, QUESTIONS, RULES, SAFE_METHODS, needed_role
from tests.people import ROLES as OF
from tests.people import SAME_SITE, add_everybody, app_of, browser_of, cheap_hashes, running

OWN = {
    "/sign-out",
    "/me/password",
    "/me/sessions/end-others",
    "/me/sessions/{key}/end",
    "/me/tokens",
    "/me/tokens/{key}/remove",
}
"""What every member may do: leave, and look after their own account."""
BEFORE_SIGN_IN = {"/sign-in", "/setup"}


def routes(app: FastAPI) -> Iterator[tuple[str, str]]:
    for route in iter_route_contexts(app.routes):
        for method in sorted(route.methods or ()):
            yield method, str(route.path)


@pytest.fixture
def app(shared_app: FastAPI) -> FastAPI:
    return shared_app


def test_every_route_that_writes_asks_for_an_editor_at_least(app: FastAPI) -> None:
    writing = {(m, p) for m, p in routes(app) if m not in SAFE_METHODS}
    assert len(writing) > 40
    lower = {p for m, p in writing if needed_role(m, p) in (NOBODY, "viewer")}
    assert lower == OWN | BEFORE_SIGN_IN | QUESTIONS


def test_people_and_settings_are_for_administrators(app: FastAPI) -> None:
    parts = ("/members", "/settings")
    theirs = {(m, p) for m, p in routes(app) if p.startswith(parts)}
    assert len(theirs) >= 10
    assert {needed_role(m, p) for m, p in theirs} == {"admin"}


@pytest.mark.parametrize("method", ["GET", "POST"])
def test_what_every_verdict_of_the_team_rests_on_is_for_administrators(method: str) -> None:
    # The classes are settings as well, and a copy holds the whole database.
    assert needed_role(method, "/classes/edit") == "admin"
    assert needed_role(method, "/about/backup") == "admin"
    assert needed_role("GET", "/classes") == "viewer"


def test_every_rule_is_about_an_address_that_is_there(app: FastAPI) -> None:
    there = {p for _, p in routes(app)}
    for rule in RULES:
        assert rule.paths <= there
        for beginning in rule.beneath:
            if beginning != "/settings/":
                assert any(p.startswith(beginning) for p in there), beginning


def test_nothing_is_open_before_signing_in_but_this(app: FastAPI) -> None:
    found = {p for m, p in routes(app) if needed_role(m, p) == NOBODY}
    files = {"/static/{name:path}", "/libraries/{version}/{name}"}
    assert found == {"/sign-in", "/setup", "/healthz"} | files


def filled(path: str) -> str:
    """An address of a route, with something in each of its places."""
    parts = [("nowhere222" if part.startswith("{") else part) for part in path.split("/")]
    return "/".join(parts)


def test_a_viewer_is_refused_on_every_route_that_writes(app: FastAPI) -> None:
    others = OWN | BEFORE_SIGN_IN | QUESTIONS
    asked = 0
    with browser_of(app) as vi:
        vi.sign_in("Vi")
        headers = SAME_SITE | {"Gripledger-Form-Token": vi.token()}
        for method, path in routes(app):
            if method in SAFE_METHODS or path in others:
                continue
            answer = vi.client.request(method, filled(path), headers=headers, json={})
            assert answer.status_code == 403, (method, path)
            assert "you are signed in as a viewer" in answer.text, (method, path)
            asked += 1
    assert asked > 40


def test_an_editor_is_refused_where_an_administrator_is_asked_for(app: FastAPI) -> None:
    with browser_of(app) as ed:
        ed.sign_in("Ed")
        headers = SAME_SITE | {"Gripledger-Form-Token": ed.token()}
        for method, path in routes(app):
            if needed_role(method, path) == "admin":
                answer = ed.client.request(method, filled(path), headers=headers)
                assert answer.status_code == 403, (method, path)


def test_nobody_gets_at_any_route_without_signing_in(app: FastAPI) -> None:
    with browser_of(app) as nobody:
        for method, path in routes(app):
            if needed_role(method, path) == NOBODY:
                continue
            answer = nobody.client.request(method, filled(path), headers=SAME_SITE, json={})
            if path.startswith("/api/"):
                assert answer.status_code == 401, (method, path)
                assert answer.headers["www-authenticate"] == "Bearer"
            else:
                assert answer.status_code == 303, (method, path)
                assert answer.headers["location"].startswith("/sign-in")


@pytest.fixture(scope="module")
def shop(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    """The made-up shop, shared: pages look alike on every database."""
    folder = tmp_path_factory.mktemp("shop")
    shutil.copy(sqlite_template, folder / "gripledger.db")
    app = app_of("", folder)
    engine = open_engine(app.state.settings)
    with pytest.MonkeyPatch.context() as patch:
        cheap_hashes(patch)
        add_everybody(engine)
        with writing(engine) as session:
            load_demo(session)
        with running(app):
            yield app
    engine.dispose()


@pytest.mark.parametrize("name", OF)
def test_no_page_offers_its_reader_what_would_be_refused(shop: FastAPI, name: str) -> None:
    with browser_of(shop) as browser:
        browser.sign_in(name)
        seen, waiting = set(), ["/"]
        while waiting:
            path = waiting.pop(0)
            if kind_of(path) in seen:
                continue
            seen.add(kind_of(path))
            answer = browser.get(path)
            assert answer.status_code != 403, path
            links, forms = ways(answer.text)
            for action in forms:
                assert may(name, needed_role("POST", action)), (path, action)
            waiting += links
    assert {"/packs/{key}", "/engines/{key}", "/cell/{key}/{key}", "/me"} <= seen
    assert ("/packs/new" in seen) is (name != "Vi")
    assert ("/members" in seen) is (name == "Ada")


def kind_of(address: str) -> str:
    """An address with ids and queries left out: one page of a kind is enough."""
    return re.sub(r"/[2-9a-z]{10}(?=/|$)", "/{key}", urlsplit(address).path)


def ways(text: str) -> tuple[list[str], list[str]]:
    """Own addresses that a page links to, and those that its forms change something at."""
    links, forms = [], []

    class Reader(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            found = dict(attrs)
            href = found.get("href") or ""
            if tag == "a" and href.startswith("/"):
                links.append(href.partition("#")[0])
            if tag == "form" and found.get("method") == "post":
                forms.append(urlsplit(found.get("action") or "").path)

    Reader().feed(text)
    return links, forms


def may(name: str, role: str) -> bool:
    return role == NOBODY or ROLES.index(OF[name]) >= ROLES.index(role)
