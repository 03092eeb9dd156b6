"""Every page, and the states that it can be in, against a checker of WCAG 2.2 A and AA.

The pages are found by following links and held against the table of routes, so that a new page is
looked at without being named here. The server is one that a team shares: its pages have more.
"""

import re
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urlsplit

import httpx
import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from fastapi import FastAPI
from fastapi.routing import iter_route_contexts
from playwright.sync_api import Browser, Page

from app.main import create_app
from app.records.database import make_engine, writing
from app.services.members import add_member
from app.services.seeding import load_demo
from app.services.starting import prepare
from app.settings import Settings

NAME, WORDS = "Ada", "a brass drift and two shims"
RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa"],
    "resultTypes": ["violations"],
}
# What depends on the width and the colours; the rest came out the same a moment before.
RULES_AGAIN = {
    "runOnly": {"type": "rule", "values": [
        "color-contrast", "target-size", "scrollable-region-focusable", "link-in-text-block",
        "link-name", "button-name", "label", "empty-table-header", "aria-hidden-focus",
    ]},
    "resultTypes": ["violations"],
}  # fmt: skip
NO_PAGES = (
    "/api/", "/static/", "/libraries/", "/healthz", "/export/", "/import/template/", "/photos/"
)  # fmt: skip
BEFORE_SIGN_IN = ("/sign-in", "/setup")
BAD_ROWS = "id,version,name,friction_plates,lift_mm\r\n,,Row one,6,1.2\r\n,,Row two,many,1 0 0\r\n"
GOOD_ROWS = "id,version,name,friction_plates\r\n,,Row three,5\r\n"

# Each focusable thing in turn: it must be seen to be focused, and not lie under a stuck edge.
FOCUS = """() => {
  const found = [];
  const every = [...document.querySelectorAll(
    "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")]
    .filter(one => one.checkVisibility({visibilityProperty: true}) && one.tabIndex >= 0);
  for (const one of every.slice(0, 160)) {
    one.focus();
    const words = (one.textContent.trim() || one.name || one.tagName).slice(0, 40);
    const look = getComputedStyle(one);
    if (look.outlineStyle === "none" || parseFloat(look.outlineWidth) < 2) {
      found.push("focus not seen: " + words);
    }
    const at = one.getClientRects()[0];
    if (!at || at.width < 2) continue;
    const spots = [[0.5, 0.5], [0.05, 0.2], [0.95, 0.8], [0.5, 0.95], [0.05, 0.95], [0.95, 0.05]];
    const seen = spots.some(([x, y]) => {
      const top = document.elementFromPoint(at.left + at.width * x, at.top + at.height * y);
      return top && (one.contains(top) || top.contains(one) || top.closest("label"));
    });
    if (!seen) found.push("focus hidden: " + words);
  }
  return found;
}"""
SPACED = """() => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`* { line-height: 1.5 !important; letter-spacing: 0.12em !important;
    word-spacing: 0.16em !important; } p { margin-bottom: 2em !important; }`);
  document.adoptedStyleSheets = [sheet];
  const clipped = [...document.querySelectorAll(":is(.verdict, .button, dd, dt, label, td, th)")]
    .filter(box => box.clientWidth > 0 && box.scrollWidth > box.clientWidth + 1
      && getComputedStyle(box).display !== "inline" && !box.closest(".table-scroll")
      && !(box.closest("thead") && getComputedStyle(box.closest("thead")).clipPath !== "none"))
    .map(box => "clipped: " + box.textContent.trim().slice(0, 40));
  document.adoptedStyleSheets = [];
  return clipped;
}"""


@dataclass
class Site:
    """A shared server, with somebody signed in who may do everything."""

    app: FastAPI
    address: str
    client: httpx.Client
    states: list[str] = field(default_factory=list)
    """Addresses of pages in a state that no link leads to."""

    def text(self, path: str) -> str:
        answer = self.client.get(path)
        assert answer.status_code == 200, (path, answer.status_code)
        return answer.text

    def first(self, path: str, pattern: str) -> str:
        """The first address of a kind that a page links to."""
        return re.search(rf'href="({pattern})"', self.text(path))[1]

    def post(self, path: str, data: dict[str, str], **more: object) -> httpx.Response:
        token = re.search(r'name="form_token" value="([0-9a-f]+)"', self.text("/me"))[1]
        sent = {"form_token": token} | data
        answer = self.client.post(path, data=sent, headers={"Origin": self.address}, **more)
        assert answer.status_code in (200, 303), (path, answer.text[:2000])
        return answer

    def send_file(self, rows: str) -> str:
        file = {"file": ("packs.csv", rows.encode(), "text/csv")}
        return self.post("/import", {"kind": "packs"}, files=file).headers["location"]


@contextmanager
def served(folder: Path, demo: bool) -> Iterator[Site]:
    settings = Settings(
        data_dir=folder, database_url="", allowed_hosts="bench.lan", insecure_lan=True
    )
    prepare(settings)
    engine = make_engine(settings.url)
    with writing(engine) as session:
        add_member(session, NAME, "admin", by="a test", password=WORDS)
        if demo:
            load_demo(session)
    engine.dispose()
    app = create_app(settings)
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(app, log_config=None, access_log=False))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        until = time.monotonic() + 20
        while not server.started:
            assert time.monotonic() < until, "the server did not start within twenty seconds"
            time.sleep(0.05)
        address = f"http://127.0.0.1:{listener.getsockname()[1]}"
        with httpx.Client(base_url=address, timeout=30) as client:
            sent = {"name": NAME, "password": WORDS}
            begun = client.post("/sign-in", data=sent, headers={"Origin": address})
            assert begun.status_code == 303
            yield Site(app, address, client)
        server.should_exit = True
        thread.join(10)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """The made-up shop with something of every kind in it."""
    with served(tmp_path_factory.mktemp("shop"), demo=True) as found:
        fill(found)
        yield found


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """A catalogue in which nothing is recorded yet."""
    with served(tmp_path_factory.mktemp("empty"), demo=False) as found:
        yield found


def fill(site: Site) -> None:
    """What the made-up shop has none of: imports, kept verdicts, a comparison, things put aside."""
    cell = site.first("/", r"/cell/[^\"#]+").replace("&amp;", "&")
    pack, other = list(dict.fromkeys(re.findall(r"/cell/(\w+)/", site.text("/"))))[:2]
    kept = site.post("/verdicts", {"from": cell}).headers["location"]
    saved = site.send_file(GOOD_ROWS)
    site.post(f"{saved}/save", {"rows": "all"})
    site.post("/comparisons/new", {"name": "Two for the trail"})
    site.post("/shortlist/add", {"pack": pack})
    site.post("/members", {"name": "Vi", "role": "viewer"})
    for kind in ("packs", "engines", "tests"):
        own = site.first(f"/{kind}", rf"/{kind}/[2-9a-z]{{10}}")
        site.post(f"{own}/put-aside", {"version": "1"})
    chain = "chain.0.kind=gauge&chain.0.name=Arm&chain.0.max_nm=80"
    line = site.first("/shortlist", r"/shortlist/\w+/edit").removesuffix("edit")
    side = f"/side?pack={pack}&pack={other}"
    plans = [f"/tests/plan{card}?pack={other}&{chain}" for card in ("", "/card")]
    found_none = ["/packs?q=nothing-of-this-name", "/history?since=yesterday", "/no-such-page"]
    launch = f"{urlsplit(cell).path}/launch"
    files = [saved, site.send_file(BAD_ROWS)]
    site.states = [f"{line}history", launch, side, *plans, kept, *files, *found_none]


@dataclass
class Reader:
    """A browser's page that is led from address to address, and what is wrong on each."""

    page: Page
    site: Site
    faults: list[str] = field(default_factory=list)
    axe: Axe = field(default_factory=Axe)

    def look(self, what: str) -> None:
        """Check the page as it stands: wide and light, narrow and dark, and by keyboard."""
        for width, scheme, rules in ((1280, "light", RULES), (390, "dark", RULES_AGAIN)):
            self.page.set_viewport_size({"width": width, "height": 900})
            self.page.emulate_media(color_scheme=scheme)
            self._check(f"{what} at {width} px, {scheme}", rules)
        found = self.page.evaluate(SPACED)
        self.page.keyboard.press("Tab")
        found += self.page.evaluate(FOCUS)
        for width in (320, 768):
            self.page.set_viewport_size({"width": width, "height": 900})
            found += self._too_wide(width)
        self.faults += [f"{what}: {fault}" for fault in found]

    def _check(self, what: str, rules: dict[str, object]) -> None:
        found = self.axe.run(self.page, options=rules).response["violations"]
        self.faults += [f"{what}: {v['id']}: {v['nodes'][0]['html'][:200]}" for v in found]
        self.faults += [f"{what}: {fault}" for fault in self._too_wide(None)]

    def _too_wide(self, width: int | None) -> list[str]:
        wide = True
        for _ in range(20):  # a chart takes its new width a moment after the window
            wide = self.page.evaluate("document.documentElement.scrollWidth > window.innerWidth")
            if not wide:
                break
            self.page.wait_for_timeout(50)
        return [f"scrolls sideways at {width or 'this width'}"] if wide else []


@contextmanager
def reading(browser: Browser, site: Site, signed_in: bool = True) -> Iterator[Reader]:
    # Nothing is on its way when it is looked at.
    context = browser.new_context(base_url=site.address, reduced_motion="reduce")
    context.set_default_timeout(15_000)
    if signed_in:
        cookies = [
            {"name": name, "value": text, "url": site.address}
            for name, text in site.client.cookies.items()
            if name == "sid"
        ]
        context.add_cookies(cookies)
    try:
        yield Reader(context.new_page(), site)
    finally:
        context.close()


def ids_left_out(path: str) -> str:
    """One page of a kind is enough."""
    return re.sub(r"/(?:[2-9a-z]{10}|\d+)(?=/|$)", "/{key}", urlsplit(path).path)


def links(text: str) -> list[str]:
    found: list[str] = []

    class Links(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            href = dict(attrs).get("href") or ""
            if tag == "a" and href.startswith("/"):
                found.append(href.partition("#")[0])

    Links().feed(text)
    return found


def pages_of(site: Site) -> tuple[list[str], set[str]]:
    """One address of every kind of page that a link leads to; and the paths of all asked for."""
    found: dict[str, str] = {}
    asked: set[str] = set()
    waiting = ["/", *site.states]
    while waiting:
        path = waiting.pop(0)
        kind = path if path in site.states else ids_left_out(path)
        if kind in found or kind.startswith(NO_PAGES) or kind.endswith(".csv"):
            continue
        asked.add(urlsplit(path).path)
        answer = site.client.get(path)
        if answer.is_redirect:
            waiting.append(answer.headers["location"])
        elif "text/html" in answer.headers["content-type"]:
            found[kind] = path
            waiting += links(answer.text)
    return list(found.values()), asked


def test_every_page_of_a_full_shop_is_open_to_everybody(site: Site, browser: Browser) -> None:
    found, asked = pages_of(site)
    missed = []
    for route in iter_route_contexts(site.app.routes):
        path = str(route.path)
        if "GET" not in (route.methods or ()) or path.startswith((*NO_PAGES, *BEFORE_SIGN_IN)):
            continue
        pattern = re.compile(re.sub(r"\{\w+\}", r"[^/]+", path))
        if ".csv" not in path and not any(pattern.fullmatch(p) for p in asked):
            missed.append(path)
    assert missed == []
    with reading(browser, site) as reader:
        for path in found:
            reader.page.goto(path)
            reader.look(path)
    assert "\n".join(reader.faults) == ""


@pytest.mark.parametrize(
    "path",
    ["/packs/new", "/engines/new", "/instruments/new", "/tests/new", "/comparisons/new",
     "/settings", "/classes/edit", "/members", "/import"],
)  # fmt: skip
def test_a_form_that_came_back_is_open_to_everybody(
    site: Site, browser: Browser, path: str
) -> None:
    with reading(browser, site) as reader:
        reader.page.goto(path)
        reader.page.evaluate(
            """() => {
              for (const box of document.querySelectorAll("main form[method=post] input")) {
                if (box.type === "text") box.value = box.name === "name" ? "" : "1,234 zz";
              }
            }"""
        )
        reader.page.locator("main .form-end button[type=submit]").first.click()
        reader.page.locator("#error-summary").wait_for()
        reader.look(f"{path} with errors")
    assert "\n".join(reader.faults) == ""


def test_pages_before_signing_in_are_open_to_everybody(site: Site, browser: Browser) -> None:
    with reading(browser, site, signed_in=False) as reader:
        for path in BEFORE_SIGN_IN:
            reader.page.goto(path)
            reader.look(path)
            reader.page.locator("main button[type=submit]").first.click()
            reader.page.locator("#error-summary").wait_for()
            reader.look(f"{path} with errors")
    assert "\n".join(reader.faults) == ""


def test_an_empty_catalogue_is_open_to_everybody(empty: Site, browser: Browser) -> None:
    with reading(browser, empty) as reader:
        for path in ("/", "/packs", "/engines", "/classes", "/tests", "/comparisons", "/shortlist",
                     "/instruments", "/verdicts", "/packs/put-aside", "/import"):  # fmt: skip
            reader.page.goto(path)
            reader.look(f"{path}, empty")
    assert "\n".join(reader.faults) == ""
