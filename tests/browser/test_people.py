"""A team's server in a real browser: set up, sign in, add somebody, and what a viewer meets."""

import re
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
import sqlalchemy as sa
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

from app.main import create_app
from app.records.database import make_engine, writing, writing_apart
from app.services.members import add_member
from app.services.setup_codes import make_code
from app.services.starting import prepare
from app.settings import Settings
from tests.browser.conftest import ARGUMENTS, CHROMIUM, LISTEN_FOR_VIOLATIONS
from tests.certificate import make_certificate

NAME = "bench.lan"
WORDS = "a brass drift and two shims"
ONLY_OWN_BOX_SCROLLS = "() => document.documentElement.scrollWidth <= window.innerWidth"


@dataclass
class Shared:
    """A server that others can reach, and its database."""

    address: str
    engine: sa.Engine

    def code(self) -> str:
        with writing_apart(self.engine) as connection:
            return make_code(connection, None)

    def add(self, name: str, role: str) -> None:
        with writing(self.engine) as session:
            add_member(session, name, role, by="a test", password=WORDS)

    def end_every_session(self) -> None:
        with writing_apart(self.engine) as connection:
            connection.execute(sa.text("DELETE FROM member_session"))


@contextmanager
def served(folder: Path, encrypted: bool) -> Iterator[Shared]:
    settings = Settings(data_dir=folder, database_url="", allowed_hosts=NAME)
    if encrypted:
        certificate, key = make_certificate(folder, NAME)
        settings = settings.model_copy(update={"tls_cert": certificate, "tls_key": key})
    else:
        settings = settings.model_copy(update={"insecure_lan": True})
    prepare(settings)
    engine = make_engine(settings.url)
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        server = uvicorn.Server(
            uvicorn.Config(
                create_app(settings),
                log_config=None,
                access_log=False,
                ssl_certfile=settings.tls_cert,
                ssl_keyfile=settings.tls_key,
            )
        )
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        until = time.monotonic() + 20
        while not server.started and time.monotonic() < until:
            time.sleep(0.05)
        assert server.started
        scheme = "https" if encrypted else "http"
        yield Shared(f"{scheme}://{NAME}:{listener.getsockname()[1]}", engine)
        server.should_exit = True
        thread.join(10)
    engine.dispose()


@pytest.fixture(params=["encrypted", "plain"])
def shared(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Shared]:
    with served(tmp_path, request.param == "encrypted") as found:
        yield found


@pytest.fixture
def encrypted(tmp_path: Path) -> Iterator[Shared]:
    with served(tmp_path, encrypted=True) as found:
        yield found


@pytest.fixture(scope="module")
def on_the_network(browser: Browser) -> Iterator[Browser]:
    """A browser for which the server's name leads to this computer.

    It is asked for by name, since a browser treats 127.0.0.1 as safe without encryption.
    """
    rules = f"--host-resolver-rules=MAP {NAME} 127.0.0.1"
    found = browser.browser_type.launch(executable_path=CHROMIUM, args=[*ARGUMENTS, rules])
    yield found
    found.close()


class Desk:
    """Pages of one browser, and what went wrong on them."""

    def __init__(self, browser: Browser, shared: Shared) -> None:
        self.browser, self.shared = browser, shared
        self.contexts: list[BrowserContext] = []
        self.wrong: list[str] = []

    def open(self, path: str, width: int = 1280, script: bool = True) -> Page:
        context = self.browser.new_context(
            viewport={"width": width, "height": 900},
            base_url=self.shared.address,
            ignore_https_errors=True,
            java_script_enabled=script,
        )
        context.set_default_timeout(15_000)
        self.contexts.append(context)
        if script:
            context.expose_function("noteViolation", lambda text: self.wrong.append(text))
            context.add_init_script(LISTEN_FOR_VIOLATIONS)
        page = context.new_page()
        page.on("pageerror", lambda error: self.wrong.append(str(error)))
        page.goto(path)
        return page


@pytest.fixture
def desk(on_the_network: Browser, shared: Shared) -> Iterator[Desk]:
    found = Desk(on_the_network, shared)
    yield found
    for context in found.contexts:
        context.close()
    assert found.wrong == []


def sign_in(page: Page, name: str, password: str = WORDS) -> None:
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Password", exact=True).fill(password)
    page.get_by_role("main").get_by_role("button", name="Sign in").click()


def set_up(page: Page, code: str, name: str) -> None:
    page.get_by_label("Code").fill(code)
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Password", exact=True).fill(WORDS)
    page.get_by_label("The same password again").fill(WORDS)
    page.get_by_role("button", name="Keep password").click()


@pytest.mark.parametrize("script", [True, False])
def test_a_team_begins_and_a_viewer_changes_nothing(desk: Desk, script: bool) -> None:
    page = desk.open("/setup", script=script)
    set_up(page, desk.shared.code(), "Ada")
    expect(page.get_by_role("status").filter(has_text="Password kept, Ada.")).to_be_visible()
    page.get_by_role("button", name="Sign out").click()
    expect(page.locator("h1")).to_have_text("Sign in")
    sign_in(page, "Ada", "not it")
    expect(page.locator(".error-summary")).to_contain_text("do not go together")
    sign_in(page, "Ada")
    page.get_by_role("link", name="People").click()
    page.get_by_label("Name", exact=True).fill("Vi")
    page.get_by_label("Viewer: reads").check()
    page.get_by_role("button", name="Add and make a code").click()
    code = page.locator(".secret-text").inner_text()
    page.goto("/packs/new")
    page.get_by_label("Name", exact=True).fill("Six springs")
    page.locator(".form-end button:not([name])").click()
    expect(page.locator("h1")).to_have_text("Six springs")
    assert page.get_by_role("button", name="Put this pack aside").count() == 1
    page.get_by_role("button", name="Sign out").click()

    page.goto("/setup")
    set_up(page, code, "Vi")
    page.get_by_role("link", name="Packs", exact=True).click()
    assert page.get_by_role("link", name="New pack").count() == 0
    page.get_by_role("link", name="Six springs").click()
    expect(page.locator("h1")).to_have_text("Six springs")
    assert page.locator('main form[method="post"]').count() == 0
    assert page.get_by_role("link", name="Change", exact=True).count() == 0
    assert page.get_by_role("link", name="People").count() == 0
    for path in ("/packs/new", page.url + "/edit", "/members", "/settings"):
        answer = page.goto(path)
        assert answer is not None
        assert answer.status == 403
        expect(page.locator("h1")).to_have_text("Not for your role")


def test_the_banner_stands_on_every_page_without_encryption_alone(desk: Desk) -> None:
    desk.shared.add("Ada", "admin")
    page = desk.open("/sign-in")
    shown = 0 if desk.shared.address.startswith("https") else 1
    assert page.get_by_text("Not encrypted:").count() == shown
    sign_in(page, "Ada")
    for path in ("/", "/packs", "/me", "/nothing"):
        page.goto(path)
        assert page.get_by_text("Not encrypted:").count() == shown, path
    names = {cookie["name"]: cookie for cookie in page.context.cookies()}
    found = names["sid" if shown else "__Host-sid"]
    assert (found["httpOnly"], found["sameSite"]) == (True, "Lax")
    assert found["secure"] is (not shown)


def test_a_form_outlives_the_end_of_its_session(desk: Desk) -> None:
    desk.shared.add("Ed", "editor")
    page = desk.open("/packs/new")
    sign_in(page, "Ed")
    expect(page.locator("h1")).to_have_text("New pack")
    page.get_by_label("Name", exact=True).fill("Half typed")
    page.locator("#f-friction-plates").fill("6")
    desk.shared.end_every_session()
    page.locator(".form-end button:not([name])").click()
    expect(page.locator("h1")).to_have_text("Sign in")
    sign_in(page, "Ed")
    expect(page.locator("h1")).to_have_text("New pack")
    expect(page.get_by_label("Name", exact=True)).to_have_value("Half typed")
    expect(page.locator("#f-friction-plates")).to_have_value("6")
    page.locator(".form-end button:not([name])").click()
    expect(page.locator("h1")).to_have_text("Half typed")


def test_a_form_outlives_the_end_of_its_session_without_script(desk: Desk) -> None:
    desk.shared.add("Ed", "editor")
    page = desk.open("/packs/new", script=False)
    sign_in(page, "Ed")
    page.get_by_label("Name", exact=True).fill("Half typed")
    page.locator("#f-friction-plates").fill("6")
    desk.shared.end_every_session()
    page.locator(".form-end button:not([name])").click()
    expect(page.locator("main")).to_contain_text("What you typed is kept on this page")
    sign_in(page, "Ed")
    expect(page.locator("h1")).to_have_text("What you typed is kept")
    page.get_by_role("button", name="Send it").click()
    expect(page.locator("h1")).to_have_text("Half typed")


def test_another_member_never_meets_what_was_typed_before(desk: Desk) -> None:
    for name in ("Ed", "Eve"):
        desk.shared.add(name, "editor")
    page = desk.open("/packs/new")
    sign_in(page, "Ed")
    page.get_by_label("Name", exact=True).fill("Ed's secret pack")
    page.wait_for_timeout(400)  # typed text is kept a quarter of a second after the last sign
    desk.shared.end_every_session()
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto("/packs/new")
    sign_in(page, "Eve")
    expect(page.locator("h1")).to_have_text("New pack")
    expect(page.get_by_label("Name", exact=True)).to_have_value("")


@pytest.mark.parametrize("width", [390, 1280])
def test_pages_of_people_fit_and_have_no_fault_that_a_checker_finds(
    on_the_network: Browser, encrypted: Shared, width: int
) -> None:
    encrypted.add("Ada", "admin")
    encrypted.add("Bartholomew Featherstonehaugh-Cholmondeley of the long name", "viewer")
    desk = Desk(on_the_network, encrypted)
    page = desk.open("/sign-in", width)
    seen = [faults(page)]
    page.goto("/setup")
    seen.append(faults(page))
    page.goto("/sign-in?next=/me")
    sign_in(page, "Ada")
    page.get_by_label("What the token is for").fill("logger")
    page.get_by_role("button", name="Make a token").click()
    expect(page.locator(".secret-text")).to_be_visible()
    seen.append(faults(page))
    page.goto("/members")
    seen.append(faults(page))
    page.get_by_role("link", name=re.compile("Bartholomew")).click()
    seen.append(faults(page))
    page.get_by_role("button", name="Make a new code").click()
    expect(page.locator(".secret-text")).to_be_visible()
    seen.append(faults(page))
    page.context.close()
    assert seen == [[]] * 6
    assert desk.wrong == []


def faults(page: Page) -> list[str]:
    """What a checker finds, and whether the page is wider than the window."""
    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]})
    rules = [f"{r['id']}: {r['nodes'][0]['html'][:160]}" for r in found.response["violations"]]
    wide = [] if page.evaluate(ONLY_OWN_BOX_SCROLLS) else [f"{page.url} is too wide"]
    return rules + wide
