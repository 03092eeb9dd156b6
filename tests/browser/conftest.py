"""A live server over a fresh database, and a real browser that minds what the pages do."""

import os
import socket
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, Request, sync_playwright

from app.main import create_app
from app.services.starting import prepare
from app.settings import Settings
from tests.browser.sampler import add_sampler

CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
LISTEN_FOR_VIOLATIONS = """
document.addEventListener("securitypolicyviolation", function (event) {
  window.noteViolation([event.violatedDirective, event.blockedURI, event.sample].join(" "));
});
"""


@dataclass
class Live:
    """The server that the browser visits."""

    address: str
    port: int
    saved: list[dict[str, str]]
    """What the sampler's form has saved so far."""


@pytest.fixture(scope="session")
def live(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    """The application on a free port, in a thread, with the sampler added."""
    settings = Settings(data_dir=tmp_path_factory.mktemp("browser"), database_url="")
    prepare(settings)
    app = create_app(settings)
    saved = add_sampler(app)
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port = listener.getsockname()[1]
        config = uvicorn.Config(app, log_config=None, access_log=False, server_header=False)
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        for _ in range(200):
            if server.started:
                break
            time.sleep(0.05)
        assert server.started, "the server did not start within ten seconds"
        yield Live(f"http://127.0.0.1:{port}", port, saved)
        server.should_exit = True
        thread.join(10)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium; without it the tests are left out here, but not where CI is set."""
    if not CHROMIUM.exists():
        if os.environ.get("CI"):
            pytest.fail(f"no browser at {CHROMIUM}")
        pytest.skip(f"no browser at {CHROMIUM}")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield chromium
        chromium.close()


@dataclass
class Seen:
    """What went wrong on the pages of one test, and what a test says is meant to."""

    console: list[str] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)
    violations: list[str] = field(default_factory=list)
    expected: tuple[str, ...] = ()

    def unexpected(self) -> list[str]:
        """Everything that the test did not say would happen."""
        console = [t for t in self.console if not any(part in t for part in self.expected)]
        return console + self.outside + self.violations


OpenPage = Callable[..., Page]


@pytest.fixture
def seen() -> Seen:
    """What the pages of this test did that they should not."""
    return Seen()


@pytest.fixture
def open_page(browser: Browser, live: Live, seen: Seen) -> Iterator[OpenPage]:
    """Opens a page; afterwards no console error, no violation, no outside request may be left."""
    contexts: list[BrowserContext] = []

    def watch(request: Request) -> None:
        if not request.url.startswith((live.address, "data:", "blob:")):
            seen.outside.append(f"request to {request.url}")

    def opened(
        path: str, width: int = 1280, scheme: str = "light", script: bool = True, **more: object
    ) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme=scheme,
            java_script_enabled=script,
            base_url=live.address,
            **more,
        )
        contexts.append(context)
        context.set_default_timeout(15_000)
        if script:
            context.expose_function("noteViolation", lambda text: seen.violations.append(text))
            context.add_init_script(LISTEN_FOR_VIOLATIONS)
        page = context.new_page()
        page.on("request", watch)
        page.on("pageerror", lambda error: seen.console.append(f"error {error}"))
        page.on(
            "console",
            lambda message: (
                seen.console.append(f"{message.type} {message.text}")
                if message.type in ("error", "warning")
                else None
            ),
        )
        page.goto(path)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert seen.unexpected() == []
