"""What a browser waits for and gets sent: the verdict, a chart, a page seen before."""

import statistics
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.benchmarks.pages import ids_of
from tests.benchmarks.starts import serving
from tests.benchmarks.table import Line
from tests.browser.conftest import ARGUMENTS, CHROMIUM

ROUNDS = 7
READABLE = "() => performance.getEntriesByName('first-contentful-paint')[0]?.startTime"
SENT = """() => [...performance.getEntriesByType('navigation'),
    ...performance.getEntriesByType('resource')].map(e => e.transferSize)"""
DRAWN = "() => document.querySelector('.main-svg') && performance.now()"


def lines(folder: Path) -> Iterator[Line]:
    """Milliseconds until a page can be read and until a chart stands; kilobytes sent."""
    if not CHROMIUM.exists():
        yield Line("browser", 0.0, "", note=f"left out: none at {CHROMIUM}")
        return
    pack, engine = ids_of(folder)
    with serving(None) as bare, serving(folder) as ours, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        ours_at, bare_at = (f"http://localhost:{s.port}" for s in (ours, bare))
        for name, address in (("board", "/"), ("cell", f"/cell/{pack}/{engine}")):
            found = [_times(browser, where, READABLE) for where in (
                ours_at + address, f"{bare_at}/page")]
            for when, mine, theirs in zip(("cold", "seen before"), *found, strict=True):
                yield Line(f"{name} can be read, {when}", mine, "ms", "bare page, the same", theirs,
                           most=1.5)
            cold, again = _sent(browser, ours_at + address)
            yield Line(f"{name}, sent to a new browser", cold, "kB")
            yield Line(f"{name}, sent again", again, "kB", "to a new one", cold, most=1.0)
        found = [_times(browser, where, DRAWN) for where in (
            f"{ours_at}/?chart=engine:{engine}", f"{bare_at}/chart")]
        for when, mine, theirs in zip(("cold", "seen before"), *found, strict=True):
            yield Line(f"chart of the board drawn, {when}", mine, "ms", "bare page with one",
                       theirs, most=1.2)
        browser.close()


def _times(browser: Browser, address: str, when: str) -> tuple[float, float]:
    """Median milliseconds until a moment of a page, in a new browser and on a second visit."""
    found: tuple[list[float], list[float]] = [], []
    for _ in range(ROUNDS):
        context = browser.new_context()
        page = context.new_page()
        for times in found:
            page.goto(address)
            times.append(_moment(page, when))
        context.close()
    return statistics.median(found[0]), statistics.median(found[1])


def _moment(page: Page, when: str) -> float:
    for _ in range(2000):
        moment = page.evaluate(when)
        if moment:
            return float(moment)
        page.wait_for_timeout(5)
    raise RuntimeError(f"{page.url} never came so far")


def _sent(browser: Browser, address: str) -> tuple[float, float]:
    """Kilobytes of a page with all that belongs to it, at first and on a second visit."""
    context = browser.new_context()
    page = context.new_page()
    sizes = []
    for _ in range(2):
        page.goto(address, wait_until="networkidle")
        sizes.append(sum(page.evaluate(SENT)) / 1000.0)
    context.close()
    return sizes[0], sizes[1]
