"""The board and a cell in a real browser, over the made-up shop."""

import re
import socket
import threading
import time
from collections.abc import Iterator

import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from app.main import create_app
from app.records.database import make_engine, read_session, writing
from app.services.catalogue import packs
from app.services.seeding import load_demo
from app.services.standing import Standing, standing
from app.services.starting import prepare
from app.settings import Settings
from tests.browser.conftest import Live, OpenPage, Seen
from tests.factories import make_pack


@pytest.fixture(scope="module")
def shop_settings(tmp_path_factory: pytest.TempPathFactory) -> Settings:
    """A data folder with the made-up shop and enough packs for two pages."""
    settings = Settings(data_dir=tmp_path_factory.mktemp("board"), database_url="")
    prepare(settings)
    engine = make_engine(settings.url)
    with writing(engine) as session:
        load_demo(session)
        for n in range(40):
            packs.add(session, make_pack(f"Spare {n:02}"), by="Ann")
    engine.dispose()
    return settings


@pytest.fixture(scope="module")
def live(shop_settings: Settings) -> Iterator[Live]:
    """The application over the shop, on a free port."""
    app = create_app(shop_settings)
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port = listener.getsockname()[1]
        config = uvicorn.Config(app, log_config=None, access_log=False, server_header=False)
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        until = time.monotonic() + 10
        while not server.started:
            assert time.monotonic() < until, "the server did not start within ten seconds"
            time.sleep(0.05)
        yield Live(f"http://127.0.0.1:{port}", port, [])
        server.should_exit = True
        thread.join(10)


@pytest.fixture(scope="module")
def now(shop_settings: Settings) -> Standing:
    engine = make_engine(shop_settings.url)
    with read_session(engine) as session:
        return standing(session)


def engine_id(now: Standing, name: str) -> str:
    return next(e.public_id for e in now.engines if e.name == name)


def cell_path(now: Standing, pack: str, engine: str) -> str:
    found = next(p.public_id for p in now.packs if p.name == pack)
    return f"/cell/{found}/{engine_id(now, engine)}"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 390, 1280])
def test_only_the_tables_own_boxes_scroll_sideways(
    open_page: OpenPage, now: Standing, width: int, scheme: str
) -> None:
    one = f"/?engine={engine_id(now, 'Fen 110')}"
    page = open_page("/", width, scheme)
    for path in ("/", one, cell_path(now, "Bulrush 6", "Carr 250")):
        page.goto(path)
        assert page.evaluate("document.documentElement.scrollWidth") == width, path


@pytest.mark.parametrize("width", [390, 1280])
def test_a_checker_finds_no_access_fault(open_page: OpenPage, now: Standing, width: int) -> None:
    page = open_page("/", width)
    for path in (
        "/",
        f"/?engine={engine_id(now, 'Fen 110')}",
        cell_path(now, "Brack 5 doubtful springs", "Fen 110"),
        cell_path(now, "Sallow box of parts", "Fen 110"),
    ):
        page.goto(path)
        if "engine=" in path:
            page.wait_for_selector("[data-drawn]", state="attached")
        result = Axe().run(page)
        assert result.violations_count == 0, result.generate_report()


def test_a_search_swaps_the_results_says_the_count_and_moves_the_address(
    open_page: OpenPage, live: Live
) -> None:
    page = open_page("/")
    box = page.get_by_label("Pack’s name contains")
    box.press_sequentially("osier")
    expect(page.locator("#results .found")).to_have_text("2 packs found")
    expect(page.locator("#live")).to_have_text("2 packs found")
    expect(page).to_have_url(f"{live.address}/?q=osier")
    expect(box).to_be_focused()
    assert page.locator("tbody tr th a").all_inner_texts() == [
        "Osier 6 weighed",
        "Osier 7 diaphragm",
    ]


def test_a_choice_in_the_form_keeps_the_order_that_was_pressed(
    open_page: OpenPage, live: Live
) -> None:
    page = open_page("/")
    page.locator("#sort-available").click()
    expect(page.locator('th[aria-sort="descending"]')).to_contain_text("Available")
    expect(page.locator("#sort-available")).to_be_focused()
    page.get_by_label("Wear", exact=True).select_option("worn")
    expect(page.locator(".state strong")).to_contain_text("worn to each pack’s limit")
    expect(page).to_have_url(f"{live.address}/?wear=worn&order=-capacity")
    expect(page.locator('th[aria-sort="descending"]')).to_contain_text("Available")


def test_back_and_reload_give_a_whole_page(open_page: OpenPage, live: Live) -> None:
    page = open_page("/?q=rush")
    page.locator("#sort-pack").click()
    expect(page).to_have_url(f"{live.address}/?q=rush&order=-name")
    page.locator("#unit-2").click()
    expect(page).to_have_url(f"{live.address}/?q=rush&order=-name&unit=lbf_ft")
    page.reload()
    expect(page.locator("header nav")).to_be_visible()
    page.go_back()
    expect(page).to_have_url(f"{live.address}/?q=rush&order=-name")
    expect(page.locator("header nav")).to_be_visible()
    expect(page.locator("h1")).to_be_visible()
    expect(page.locator("#board-form")).to_be_visible()


def test_a_wrong_figure_comes_back_at_its_box_and_takes_nothing_away(
    open_page: OpenPage, seen: Seen
) -> None:
    seen.expected = ("422",)
    page = open_page("/?q=rush")
    page.locator("details.more summary").click()
    page.get_by_label("Crank speed").fill("6k")
    page.get_by_role("button", name="Show").click()
    summary = page.locator("#error-summary")
    expect(summary).to_be_focused()
    expect(summary).to_contain_text("r/min, r/s or rad/s")
    expect(page.get_by_label("Crank speed")).to_have_value("6k")
    expect(page.get_by_label("Pack’s name contains")).to_have_value("rush")
    page.get_by_label("Crank speed").fill("6000")
    page.get_by_role("button", name="Show").click()
    expect(page.locator(".state strong")).to_contain_text("6000")


def test_without_script_the_form_the_headings_and_the_pages_work(
    open_page: OpenPage, live: Live
) -> None:
    page = open_page("/", script=False)
    page.get_by_role("link", name="Next").click()
    assert page.url == f"{live.address}/?page=2"
    page.locator("#sort-available").click()
    assert page.url == f"{live.address}/?order=-capacity"
    page.get_by_label("Plates").select_option("dry")
    page.get_by_role("button", name="Show").click()
    assert "lubrication=dry" in page.url
    assert "order=-capacity" in page.url
    expect(page.locator(".state strong")).to_contain_text("dry, sliding, new")
    page.locator("td.cell a").first.click()
    expect(page.locator("h2#working")).to_be_visible()
    assert "?lubrication=dry&from=lubrication%3Ddry" in page.url


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_a_chart_is_drawn_by_script_with_its_table_beside_it(
    open_page: OpenPage, now: Standing, width: int, scheme: str
) -> None:
    page = open_page(f"/?chart=engine:{engine_id(now, 'Carr 250')}&per=10", width, scheme)
    page.wait_for_selector("[data-drawn]", state="attached")
    expect(page.locator(".chart .main-svg").first).to_be_visible()
    labels = page.locator(".chart .ytick").all_inner_texts()
    assert len(labels) == 10
    assert "Share" not in page.locator(".chart").inner_html()
    page.locator(".chart-table summary").click()
    expect(page.locator(".chart-table tbody tr")).to_have_count(10)
    page.locator(".chart .modebar-btn").first.click()
    page.locator(".chart .nsewdrag").hover()


def test_a_phone_goes_from_engine_to_packs_by_margin_to_the_working(
    open_page: OpenPage, now: Standing
) -> None:
    page = open_page("/", 390)
    choice = page.get_by_role("navigation", name="Choose an engine")
    expect(choice).to_be_visible()
    for link in choice.get_by_role("link").all():
        box = link.bounding_box()
        assert box is not None
        assert box["height"] >= 44
    choice.get_by_role("link", name="Fen 110").click()
    ratios = [
        float(re.findall(r"[0-9.]+", text)[0])
        for text in page.locator("table.one-engine .cell-ratio").all_inner_texts()
    ]
    assert len(ratios) > 10
    assert ratios == sorted(ratios, reverse=True)
    expect(page.get_by_role("link", name="All packs and engines")).to_be_visible()
    page.locator("td.cell a:has(.verdict.holds)").first.click()
    expect(page.locator(".cell-verdict .verdict-word").first).to_have_text("Holds")


def test_focus_is_never_hidden_under_heading_or_first_column(open_page: OpenPage) -> None:
    page = open_page("/", 700)
    hidden = page.evaluate(
        """async () => {
          const found = [];
          const links = [...document.querySelectorAll("td.cell > a:first-child")];
          for (const link of links.slice(0, 60)) {
            link.focus();
            await new Promise(requestAnimationFrame);
            const box = link.getBoundingClientRect();
            const seen = [box.left + 6, box.left + box.width / 2, box.right - 6].some(x =>
              link.contains(document.elementFromPoint(x, box.top + 12)));
            if (!seen) { found.push(link.title); }
          }
          return found;
        }"""
    )
    assert hidden == []


def test_verdicts_can_be_told_apart_without_colour(open_page: OpenPage) -> None:
    page: Page = open_page("/")
    marks = page.evaluate(
        """() => Object.fromEntries(
          [...document.querySelectorAll("td.cell .verdict")].map(verdict => [
            verdict.querySelector(".verdict-word").textContent,
            verdict.querySelector("use").getAttribute("href"),
          ])
        )"""
    )
    own = {word: marks.pop(word) for word in ("Holds", "Tight", "Slips", "Not known")}
    assert len(set(own.values())) == 4
    assert set(marks.values()) == {"#mark-stopped"}
    assert "Won’t bolt up" in marks


def test_a_printed_board_has_its_state_its_rule_and_no_controls(open_page: OpenPage) -> None:
    page = open_page("/")
    page.emulate_media(media="print")
    expect(page.locator("#board-form")).to_be_hidden()
    expect(page.locator(".state strong")).to_be_visible()
    expect(page.locator(".rule")).to_be_visible()
    expect(page.locator(".foot-facts")).to_contain_text("UTC")
    expect(page.locator(".sheet-facts")).to_contain_text("catalogue revision")
    expect(page.locator(".sheet-facts")).to_contain_text("heavy above a ratio of 3")
    expect(page.locator(".key-line")).to_be_visible()


def test_a_board_is_printed_lengthwise_on_few_pages(open_page: OpenPage, now: Standing) -> None:
    page = open_page("/?q=e&per=24")
    sheet = page.pdf(prefer_css_page_size=True)
    boxes = set(re.findall(rb"/MediaBox\s*\[([^\]]*)\]", sheet))
    assert len(boxes) == 1
    _, _, width, height = (float(x) for x in boxes.pop().split())
    assert width > height
    assert len(re.findall(rb"/Type\s*/Page\b", sheet)) <= 3


def test_the_skip_link_leads_to_the_table_which_is_one_stop(open_page: OpenPage) -> None:
    page = open_page("/?q=osier")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the table")).to_be_focused()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    inside = "document.activeElement.closest('.table-frame') !== null"
    for _ in range(3):  # the box that scrolls is a stop of its own, where it scrolls
        if page.evaluate("document.activeElement.matches('td.cell a')"):
            break
        assert page.evaluate(inside)
        page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.matches('td.cell a')")
    page.keyboard.press("Tab")
    assert not page.evaluate(inside)
    page.keyboard.press("Shift+Tab")
    assert page.evaluate("document.activeElement.matches('td.cell a')")


def test_arrow_keys_move_between_the_cells(open_page: OpenPage) -> None:
    page = open_page("/?q=osier")
    place = """() => {
      const stop = document.activeElement, cell = stop.closest("td, th");
      return [cell.parentElement.rowIndex, cell.cellIndex, stop.getAttribute("aria-label")];
    }"""
    page.locator("td.cell a").first.focus()
    row, column, _ = page.evaluate(place)
    page.keyboard.press("ArrowDown")
    assert page.evaluate(place)[:2] == [row + 1, column]
    page.keyboard.press("ArrowUp")
    while page.evaluate(place)[1] == column:
        page.keyboard.press("ArrowRight")
    assert page.evaluate(place)[:2] == [row, column + 1]
    page.keyboard.press("End")
    cells = page.locator("table.board tbody tr[id]").first.locator("th, td").count()
    assert page.evaluate(place)[:2] == [row, cells - 1]
    page.keyboard.press("Home")
    assert page.evaluate(place)[1] == 0
    page.keyboard.press("Control+Home")
    assert page.evaluate(place)[0] == 0
    page.keyboard.press("ArrowDown")
    assert page.locator("table.board [tabindex='0']").count() == 1


def test_every_cell_has_a_name_that_is_complete(open_page: OpenPage) -> None:
    page = open_page("/?q=osier")
    for link in page.locator("td.cell > a:first-child").all():
        name = link.get_attribute("aria-label") or ""
        word = link.locator(".verdict-word").inner_text().lower()
        assert re.match(rf"Osier .+ on .+: {word}", name)
        assert "required" in name or "missing: " in name


def test_a_wide_table_says_that_there_is_more_until_its_end(open_page: OpenPage) -> None:
    page = open_page("/", 1000)
    hint = page.locator(".scroll-hint")
    expect(hint).to_be_visible()
    expect(page.get_by_role("navigation", name="Choose an engine")).to_be_hidden()
    page.locator(".table-frame .table-scroll").evaluate("box => { box.scrollLeft = 1e6; }")
    expect(hint).to_be_hidden()
    wide = open_page("/?q=osier", 1900)
    expect(wide.locator(".table-frame[data-fits]")).to_be_visible()
    expect(wide.locator(".scroll-hint")).to_be_hidden()


def test_ticked_packs_are_set_side_by_side(open_page: OpenPage) -> None:
    page = open_page("/?q=osier&wear=worn")
    for box in page.get_by_role("checkbox", name="to set side by side").all():
        box.check()
    expect(page.locator("#side-says")).to_have_text("2 ticked")
    page.get_by_role("button", name="Side by side").click()
    expect(page.get_by_role("heading", name="Packs side by side")).to_be_visible()
    rows = page.locator("tbody th[scope=row]").count()
    page.get_by_role("link", name="Only differences").click()
    assert 0 < page.locator("tbody th[scope=row]").count() < rows
    assert Axe().run(page).violations_count == 0
    page.locator(".back a").click()
    expect(page).to_have_url(re.compile(r"/\?wear=worn&q=osier$"))


@pytest.mark.parametrize("width", [320, 390])
def test_a_phone_lists_the_packs_of_an_engine_without_scrolling_sideways(
    open_page: OpenPage, now: Standing, width: int
) -> None:
    page = open_page(f"/?engine={engine_id(now, 'Holm 450 enduro')}", width)
    expect(page.locator("h1")).to_have_text("Packs for Holm 450 enduro")
    expect(page.locator("#board-form")).to_be_hidden()
    page.get_by_text("Filter, state and settings").click()
    expect(page.locator("#board-form")).to_be_visible()
    for line in page.locator("table.one-engine tbody tr").all()[:12]:
        for part in line.locator("th, td").all():
            box = part.bounding_box()
            assert box is None or box["x"] + box["width"] <= width
    expect(page.locator(".list-says")).to_contain_text("packs shown: holds for")


def test_the_packs_of_an_engine_can_be_ordered_by_price(
    open_page: OpenPage, now: Standing, live: Live
) -> None:
    key = engine_id(now, "Holm 450 enduro")
    page = open_page(f"/?engine={key}")
    page.get_by_role("link", name="lowest price", exact=True).click()
    expect(page).to_have_url(f"{live.address}/?engine={key}&order=price")
    expect(page.locator("#sort-price")).to_be_visible()
    texts = page.locator("td.price").all_inner_texts()
    prices = [float(text.split()[0]) for text in texts if "EUR" in text]
    assert len(prices) > 3
    assert prices == sorted(prices)
    assert texts[-1] == "no offer"


def test_a_cell_leads_back_to_the_board_as_it_was_left(
    open_page: OpenPage, now: Standing, live: Live
) -> None:
    asked = f"/?wear=worn&engine={engine_id(now, 'Fen 110')}&order=name"
    page = open_page(asked)
    page.locator("td.cell a").first.click()
    page.locator(".back a").click()
    expect(page).to_have_url(re.compile(re.escape(live.address + asked) + "#p-"))
