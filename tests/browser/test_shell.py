"""The shell in a real browser: the look holds, the policy is kept, typed text is never lost."""

import re
import time

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import Live, OpenPage, Seen

PAGES = ("/about", "/sampler")


def eventually(page: Page, expression: str, value: object) -> None:
    """Wait for an expression; the browser's own waiting would be stopped by the policy."""
    until = time.monotonic() + 10
    while (found := page.evaluate(expression)) != value:
        assert time.monotonic() < until, f"{expression} is {found!r}, not {value!r}"
        page.wait_for_timeout(50)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 390, 1280])
@pytest.mark.parametrize("path", PAGES)
def test_page_reflows_and_keeps_the_policy(
    open_page: OpenPage, path: str, width: int, scheme: str
) -> None:
    page = open_page(path, width, scheme)
    assert page.evaluate("document.documentElement.scrollWidth") == width
    expect(page.locator("h1")).to_be_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1280])
@pytest.mark.parametrize("path", PAGES)
def test_page_has_no_access_fault_that_a_checker_finds(
    open_page: OpenPage, path: str, width: int, scheme: str
) -> None:
    page = open_page(path, width, scheme)
    if path == "/sampler":
        page.wait_for_selector("[data-drawn]", state="attached")
    result = Axe().run(page)
    assert result.violations_count == 0, result.generate_report()


def test_text_spacing_of_the_reader_loses_nothing(open_page: OpenPage) -> None:
    page = open_page("/sampler", 390)
    page.evaluate(
        """() => {
          const sheet = new CSSStyleSheet();
          sheet.replaceSync(`* { line-height: 1.5 !important; letter-spacing: 0.12em !important;
            word-spacing: 0.16em !important; } p { margin-bottom: 2em !important; }`);
          document.adoptedStyleSheets = [sheet];
        }"""
    )
    clipped = page.evaluate(
        """() => [...document.querySelectorAll("main :is(.verdict, .button, dd, label, td, th)")]
          .filter(box => box.scrollWidth > box.clientWidth + 1 && box.clientWidth > 0
            && getComputedStyle(box).display !== "inline")
          .map(box => box.className + " " + box.textContent.trim().slice(0, 40))"""
    )
    assert clipped == []
    assert page.evaluate("document.documentElement.scrollWidth") == 390


def test_touch_targets_are_large_enough_for_a_thumb(open_page: OpenPage) -> None:
    page = open_page("/sampler", 390, has_touch=True, is_mobile=True)
    small = page.evaluate(
        """() => [...document.querySelectorAll(
            "a.button, button, .nav a, input:not([type=checkbox]):not([type=radio]), select, "
            + "summary, a.sort, a.page, .board td > a")]
          .filter(box => box.offsetParent !== null && !box.closest(".modebar"))
          .filter(box => box.getBoundingClientRect().height < 43.5)
          .map(box => box.tagName + "." + box.className + " " + box.textContent.trim())"""
    )
    assert small == []


def test_only_the_tables_own_box_scrolls_and_its_edges_stay(open_page: OpenPage) -> None:
    page = open_page("/sampler", 320)
    box = page.locator(".table-scroll.tall")
    box.focus()
    box.evaluate("box => { box.scrollLeft = 200; box.scrollTop = 300; }")
    edge = box.bounding_box()
    corner = box.locator("thead th").first.bounding_box()
    row = box.locator("tbody th").nth(6).bounding_box()
    assert edge is not None
    assert corner is not None
    assert row is not None
    assert corner["x"] == pytest.approx(edge["x"], abs=1.5)
    assert corner["y"] == pytest.approx(edge["y"], abs=1.5)
    assert row["x"] == pytest.approx(edge["x"], abs=1.5)


def test_focused_cell_is_not_under_the_stuck_edges(open_page: OpenPage) -> None:
    page = open_page("/sampler", 390)
    hidden = page.evaluate(
        """() => {
          const box = document.querySelector(".table-scroll.tall");
          const found = [];
          const links = [...box.querySelectorAll("tbody td a")];
          for (const link of [...links].reverse().concat(links)) {
            link.focus();
            const at = link.getBoundingClientRect();
            const head = box.querySelector("thead th").getBoundingClientRect();
            if (at.bottom <= head.bottom || at.right <= head.right) {
              found.push(link.textContent.trim());
            }
          }
          return found;
        }"""
    )
    assert hidden == []


def test_a_chart_is_drawn_in_its_roles_colours_and_follows_the_scheme(open_page: OpenPage) -> None:
    page = open_page("/sampler")
    page.wait_for_selector("figure[data-drawn] .main-svg", state="attached")
    colour = "document.querySelector('.chart-area').data[0].line.color"
    assert page.evaluate(colour) == "#0b5687"
    page.emulate_media(color_scheme="dark")
    eventually(page, colour, "#86c3ee")
    assert "</script><b>Bar</b>" in page.evaluate(
        "document.querySelector('.chart-area').data[1].name"
    )


def test_a_chart_can_be_zoomed_and_saved_and_never_shared(open_page: OpenPage, seen: Seen) -> None:
    page = open_page("/sampler", scheme="dark")
    page.wait_for_selector("figure[data-drawn] .main-svg", state="attached")
    page.locator(".chart-area").scroll_into_view_if_needed()
    page.locator(".chart-area").hover()
    buttons = page.locator(".modebar-btn")
    titles = [buttons.nth(n).get_attribute("data-title") for n in range(buttons.count())]
    assert titles == ["Zoom in", "Zoom out", "Reset axes", "Take as PNG", "Take as SVG"]
    buttons.nth(0).click()
    taken = []
    for place in (3, 4):
        with page.expect_download() as download:
            buttons.nth(place).click()
        taken.append((download.value.suggested_filename, download.value.path().read_bytes()))
    (png, pixels), (svg, drawing) = taken
    assert png.removesuffix(".png") == svg.removesuffix(".svg") != png
    assert pixels.startswith(b"\x89PNG")
    # Light on white, in the dark too, and the page itself stays as it was.
    text = drawing.decode()
    assert text.startswith("<svg")
    assert "rgb(255, 255, 255)" in text
    assert "rgb(11, 86, 135)" in text
    assert "rgb(134, 195, 238)" not in text
    assert page.evaluate("document.querySelector('.chart-area').data[0].line.color") == "#86c3ee"
    context = "document.querySelector('.chart-area')._context"
    assert page.evaluate(f"[{context}.showSendToCloud, {context}.plotlyServerURL]") == [False, ""]


def test_without_script_every_part_is_there(open_page: OpenPage, live: Live) -> None:
    page = open_page("/sampler", 390, script=False)
    expect(page.locator(".step").first).to_be_hidden()
    expect(page.locator(".chart-area")).to_be_hidden()
    expect(page.locator(".chart-table")).to_be_visible()
    page.fill("#f-q", "number 7")
    page.click("form.search button")
    assert "q=number+7" in page.url
    expect(page.locator("[data-announce]")).to_have_text("1 packs found")
    page.fill("#f-name", "Without script")
    page.click("text=Save pack")
    expect(page.locator(".notice")).to_contain_text("Pack saved.")
    assert live.saved[-1]["name"] == "Without script"
    page.reload()
    expect(page.locator(".notice")).to_have_count(0)


def test_a_search_is_announced_keeps_focus_and_is_an_address(open_page: OpenPage) -> None:
    page = open_page("/sampler")
    page.fill("#f-q", "number 2")
    page.wait_for_url(re.compile(r"/sampler\?q=number(\+|%20)2"))
    expect(page.locator("#live")).to_have_text("5 packs found")
    assert page.evaluate("document.activeElement.id") == "f-q"
    page.go_back()
    page.wait_for_url("**/sampler")
    expect(page.locator("[data-announce]")).to_have_text("23 packs found")
    expect(page.locator("header.top")).to_be_visible()
    page.wait_for_load_state()
    page.go_forward()
    page.wait_for_url(re.compile(r"/sampler\?q=number(\+|%20)2"))
    expect(page.locator("header.top")).to_be_visible()
    expect(page.locator("[data-announce]")).to_have_text("5 packs found")


def test_sorting_keeps_the_focus_on_its_heading(open_page: OpenPage) -> None:
    page = open_page("/sampler")
    page.locator("a.sort").first.focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/sampler?sort=-name")
    eventually(page, "document.activeElement.className", "sort")


def test_turning_the_page_moves_the_focus_to_its_results(open_page: OpenPage) -> None:
    page = open_page("/sampler")
    page.click("a.page[rel=next]")
    page.wait_for_url("**/sampler?page=2")
    eventually(page, "document.activeElement.id", "results")


def test_errors_come_into_view_and_the_text_stays(open_page: OpenPage, seen: Seen) -> None:
    seen.expected = ("422",)
    page = open_page("/sampler", 390)
    page.fill("#f-facing-od-mm", "1,234")
    page.click("text=Save pack")
    summary = page.locator("#error-summary")
    expect(summary).to_be_focused()
    assert page.title().startswith("Error: ")
    assert page.input_value("#f-facing-od-mm") == "1,234"
    links = summary.locator("a")
    for n in range(links.count()):
        target = page.locator(links.nth(n).get_attribute("href") or "")
        described = target.get_attribute("aria-describedby") or ""
        words = page.locator(f"#{described.split()[-1]}").inner_text()
        assert words.endswith(links.nth(n).inner_text())
    links.first.click()
    assert page.evaluate("document.activeElement.id") == "f-name"


def test_a_failure_keeps_the_text_and_offers_another_try(
    open_page: OpenPage, live: Live, seen: Seen
) -> None:
    seen.expected = ("500", "Response Status Error Code 500")
    page = open_page("/sampler")
    page.fill("#f-name", "fail")
    page.fill("#f-notes", "three plates warped")
    page.click("text=Save pack")
    says = page.locator("#form .form-says")
    expect(says).to_contain_text("nothing was stored")
    expect(says).to_contain_text("Reference number: ")
    assert page.input_value("#f-notes") == "three plates warped"
    page.fill("#f-name", "works now")
    says.get_by_role("button", name="Try again").click()
    expect(page.locator(".notice")).to_contain_text("Pack saved.")
    assert live.saved[-1]["notes"] == "three plates warped"


def test_a_lost_connection_keeps_the_text(open_page: OpenPage, live: Live, seen: Seen) -> None:
    seen.expected = ("ERR_INTERNET_DISCONNECTED", "htmx:sendError", "htmx:afterRequest")
    page = open_page("/sampler")
    page.fill("#f-name", "from the far bench")
    page.context.set_offline(True)
    page.click("text=Save pack")
    says = page.locator("#form .form-says")
    expect(says).to_contain_text("The server did not answer")
    page.context.set_offline(False)
    says.get_by_role("button", name="Try again").click()
    expect(page.locator(".notice")).to_contain_text("Pack saved.")
    assert live.saved[-1]["name"] == "from the far bench"


def test_unsaved_text_comes_back_and_saved_text_does_not(open_page: OpenPage) -> None:
    page = open_page("/sampler")
    page.on("dialog", lambda dialog: dialog.accept())
    page.fill("#f-name", "half typed")
    page.check("#f-tested")
    page.reload()
    assert page.input_value("#f-name") == "half typed"
    assert page.is_checked("#f-tested")
    expect(page.locator("#form .form-says")).to_contain_text("was put back")
    page.get_by_role("button", name="Discard it").click()
    assert page.input_value("#f-name") == ""
    page.fill("#f-name", "whole")
    page.click("text=Save pack")
    expect(page.locator(".notice")).to_contain_text("Pack saved.")
    assert page.input_value("#f-name") == ""
    page.reload()
    assert page.input_value("#f-name") == ""


def test_another_form_s_notice_does_not_lose_the_text(open_page: OpenPage, seen: Seen) -> None:
    seen.expected = ("422", "404")
    page = open_page("/sampler")
    page.on("dialog", lambda dialog: dialog.accept())
    page.fill("#f-notes", "not saved yet")
    page.click("text=Save pack")
    expect(page.locator("#error-summary")).to_be_visible()
    page.evaluate(
        """() => {
          const form = document.createElement("form");
          form.method = "post";
          form.action = "/sampler/elsewhere";
          document.body.append(form);
          form.requestSubmit();
        }"""
    )
    expect(page.locator(".notice")).to_contain_text("Done elsewhere.")
    assert page.input_value("#f-notes") == "not saved yet"


def test_leaving_asks_only_where_something_was_typed(open_page: OpenPage) -> None:
    page = open_page("/sampler")
    asked: list[str] = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    page.click("nav >> text=About")
    page.wait_for_url("**/about")
    assert asked == []
    page.goto("/sampler")
    page.locator("#f-name").press_sequentially("typed")
    page.click("nav >> text=About")
    page.wait_for_url("**/about")
    assert asked == ["beforeunload"]


def test_a_second_press_does_nothing(open_page: OpenPage, live: Live) -> None:
    page = open_page("/sampler")
    before = len(live.saved)
    page.fill("#f-name", "slow")
    page.locator("text=Save pack").dblclick()
    expect(page.locator(".notice")).to_contain_text("Pack saved.")
    assert len(live.saved) == before + 1


def test_counts_step_without_a_keypad(open_page: OpenPage) -> None:
    page = open_page("/sampler", 390)
    more = page.get_by_role("button", name="Friction plates: one more")
    less = page.get_by_role("button", name="Friction plates: one less")
    more.click()
    more.click()
    assert page.input_value("#f-friction-plates") == "2"
    for _ in range(3):
        less.click()
    assert page.input_value("#f-friction-plates") == "1"
    expect(page.locator("#live")).to_have_text("Friction plates: 1")


def test_controls_grow_for_gloves_and_stay_so_on_the_next_page(open_page: OpenPage) -> None:
    page = open_page("/about", 390)
    height = "document.querySelector('.nav a').getBoundingClientRect().height"
    small = page.evaluate(height)
    press = page.get_by_role("button", name="Larger controls")
    press.click()
    expect(press).to_have_attribute("aria-pressed", "true")
    assert page.evaluate(height) >= max(64, small + 1)
    assert page.evaluate("getComputedStyle(document.body).fontSize") == "20px"
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    page.reload()
    expect(press).to_have_attribute("aria-pressed", "true")
    press.click()
    page.reload()
    expect(press).to_have_attribute("aria-pressed", "false")
    assert page.evaluate(height) == small


def test_paper_has_the_tables_and_no_controls(open_page: OpenPage) -> None:
    page = open_page("/sampler", scheme="dark")
    page.wait_for_selector("[data-drawn]", state="attached")
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    eventually(page, "document.querySelector('.chart-area').data[0].line.color", "#0b5687")
    assert page.evaluate("document.querySelector('.chart-area .main-svg').clientWidth") <= 700
    page.emulate_media(media="print", color_scheme="dark")
    expect(page.locator(".nav")).to_be_hidden()
    expect(page.get_by_role("button", name="Save pack")).to_be_hidden()
    expect(page.locator(".chart-table table")).to_be_visible()
    expect(page.locator(".foot-aid")).to_be_visible()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("getComputedStyle(document.querySelector('thead')).display") == (
        "table-header-group"
    )
