"""What torque leaves open, in a real browser: cell, pack, classes, launch, engine, its packs."""

import re
import socket
import threading
import time
from collections.abc import Iterator

import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from app.main import create_app
from app.records.database import make_engine, read_session, writing
from app.services.seeding import load_demo
from app.services.standing import Standing, standing
from app.services.starting import prepare
from app.settings import Settings
from tests.browser.conftest import Live, OpenPage

LAUNCH = "?torque_nm=60&crank_rpm=4500&mass_kg=180&wheel_radius_m=0.3&overall_ratio=9"


@pytest.fixture(scope="module")
def shop_settings(tmp_path_factory: pytest.TempPathFactory) -> Settings:
    settings = Settings(data_dir=tmp_path_factory.mktemp("beyond"), database_url="")
    prepare(settings)
    engine = make_engine(settings.url)
    with writing(engine) as session:
        load_demo(session)
    engine.dispose()
    return settings


@pytest.fixture(scope="module")
def live(shop_settings: Settings) -> Iterator[Live]:
    """The application over the made-up shop, on a free port."""
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
def paths(shop_settings: Settings) -> dict[str, str]:
    """The pages looked at, by what they show."""
    engine = make_engine(shop_settings.url)
    with read_session(engine) as session:
        now: Standing = standing(session)
    engine.dispose()
    pack = {p.name: p.public_id for p in now.packs}
    motor = {e.name: e.public_id for e in now.engines}
    return {
        "cell": f"/cell/{pack['Bulrush 6']}/{motor['Fen 110']}",
        "automatic": f"/cell/{pack['Alder 3 automatic']}/{motor['Mire 50']}",
        "disc": f"/cell/{pack['Reed 9 disc']}/{motor['Carr 250']}",
        "pack": f"/packs/{pack['Reed 8']}",
        "disc pack": f"/packs/{pack['Osier 7 diaphragm']}",
        "classes": "/classes",
        "engine": f"/engines/{motor['Fen 110']}",
        "list": f"/?engine={motor['Fen 110']}",
        "launch": f"/cell/{pack['Bulrush 6']}/{motor['Fen 110']}/launch{LAUNCH}",
    }


OPEN_FOLDS = 'document.querySelectorAll("details.fold").forEach(d => { d.open = true; })'

CHARTS = {"cell": 1, "automatic": 2, "disc": 2, "pack": 1, "disc pack": 2, "classes": 2,
          "engine": 2}


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_every_chart_is_drawn_and_only_tables_scroll_sideways(
    open_page: OpenPage, paths: dict[str, str], width: int, scheme: str
) -> None:
    page = open_page("/about", width, scheme)
    for name, path in paths.items():
        page.goto(path)
        page.evaluate(OPEN_FOLDS)
        for chart in page.locator("figure[data-chart]").all():
            chart.scroll_into_view_if_needed()
        expect(page.locator("figure[data-drawn]")).to_have_count(
            page.locator("figure[data-chart]").count())
        if name in CHARTS:
            expect(page.locator("figure[data-drawn]")).to_have_count(CHARTS[name])
            expect(page.locator("figure[data-drawn] .main-svg").nth(0)).to_be_visible()
        assert page.evaluate("document.documentElement.scrollWidth") == width, name


@pytest.mark.parametrize("width", [390, 1280])
def test_a_checker_finds_no_access_fault(
    open_page: OpenPage, paths: dict[str, str], width: int
) -> None:
    page = open_page("/about", width)
    for name, path in paths.items():
        page.goto(path)
        page.evaluate(OPEN_FOLDS)
        if name in CHARTS:
            page.wait_for_selector("[data-drawn]", state="attached")
        result = Axe().run(page)
        assert result.violations_count == 0, f"{name}: {result.generate_report()}"


def test_labels_of_one_chart_do_not_lie_on_each_other(
    open_page: OpenPage, paths: dict[str, str]
) -> None:
    for width in (390, 1280):
        page = open_page("/about", width)
        for name in CHARTS:
            page.goto(paths[name])
            page.evaluate(OPEN_FOLDS)
            for chart in page.locator("figure[data-chart]").all():
                chart.scroll_into_view_if_needed()
            expect(page.locator("figure[data-drawn]")).to_have_count(CHARTS[name])
            overlaps = page.evaluate(
                """() => [...document.querySelectorAll("figure[data-drawn]")].flatMap(chart => {
                  const labels = [...chart.querySelectorAll(".annotation-text, .textpoint text")]
                  if (labels.length === 0) { return ["no label in " + chart.id]; }
                  const boxes = labels.map(t => [t.textContent, t.getBoundingClientRect()]);
                  const found = [];
                  boxes.forEach(([a, p], i) => boxes.slice(i + 1).forEach(([b, q]) => {
                    const wide = Math.min(p.right, q.right) - Math.max(p.left, q.left);
                    const high = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
                    if (wide > 2 && high > 4) { found.push(a + " / " + b); }
                  }));
                  return found;
                })"""
            )
            assert overlaps == [], f"{name} at {width}"


def test_without_script_every_finding_and_table_is_there(
    open_page: OpenPage, paths: dict[str, str]
) -> None:
    page = open_page(paths["cell"], script=False)
    expect(page.locator("#chart-wear")).to_be_hidden()
    page.get_by_role("link", name="Wear", exact=True).click()
    expect(page.locator("#chart-wear .chart-says")).to_contain_text("margin")
    page.locator("#chart-wear details.chart-table summary").click()
    expect(page.locator("#chart-wear tbody tr").first).to_be_visible()
    page.get_by_label("Wanted ratio").fill("1.4")
    page.get_by_role("button", name="Solve").click()
    expect(page.get_by_label("Wanted ratio")).to_have_value("1.4")
    page.get_by_role("link", name="Heat of a launch").click()
    page.get_by_label("Mass to be moved").fill("180")
    page.get_by_label("Rolling radius").fill("0.3")
    page.get_by_label("Ratio from clutch to wheel").fill("9")
    page.get_by_role("button", name="Work out").click()
    expect(page.get_by_role("heading", name="Answer")).to_be_visible()


def test_the_classes_are_chosen_by_script_and_the_charts_follow(
    open_page: OpenPage, live: Live
) -> None:
    page = open_page("/classes")
    expect(page.locator("figure[data-drawn]")).to_have_count(2)
    page.get_by_label("Plates").select_option("dry")
    expect(page).to_have_url(f"{live.address}/classes?lubrication=dry")
    expect(page.locator("figure[data-drawn]")).to_have_count(2)


def test_regions_stay_unique_with_every_table_open(
    open_page: OpenPage, paths: dict[str, str]
) -> None:
    page = open_page("/about")
    for name, path in paths.items():
        page.goto(path)
        page.evaluate('document.querySelectorAll("main details").forEach(d => { d.open = true; })')
        result = Axe().run(page, options={"runOnly": ["landmark-unique"]})
        assert result.violations_count == 0, f"{name}: {result.generate_report()}"


def test_a_cell_is_short_on_a_phone_and_no_table_of_it_scrolls(
    open_page: OpenPage, paths: dict[str, str]
) -> None:
    page = open_page(paths["cell"], 390)
    assert page.evaluate("document.documentElement.scrollHeight") <= 4500
    page.evaluate(OPEN_FOLDS)
    wide = page.evaluate(
        """[...document.querySelectorAll("main table")].filter(
             t => t.checkVisibility() && t.getBoundingClientRect().right > 391)
             .map(t => t.className)"""
    )
    assert wide == []


def test_a_link_into_a_fold_opens_it(open_page: OpenPage, paths: dict[str, str]) -> None:
    page = open_page(paths["cell"])
    expect(page.locator("#step-clamp-n")).to_be_hidden()
    page.get_by_role("link", name="Working", exact=True).click()
    expect(page.locator("#step-clamp-n")).to_be_visible()
    page.goto(f"{paths['cell']}#input-engine-service-factor")
    expect(page.locator("#input-engine-service-factor")).to_be_visible()


def pages_of(pdf: bytes) -> int:
    """Sheets of a printed file, by its page objects."""
    return len(re.findall(rb"/Type\s*/Page(?![a-z])", pdf))


@pytest.mark.parametrize("name", ["cell", "automatic", "disc", "pack", "disc pack", "engine"])
def test_a_cell_a_pack_and_an_engine_print_on_two_sheets_at_most(
    open_page: OpenPage, paths: dict[str, str], name: str
) -> None:
    page = open_page(paths[name])
    page.wait_for_load_state("networkidle")
    assert 1 <= pages_of(page.pdf(format="A4", print_background=False)) <= 2


def test_the_list_of_an_engine_is_short_on_a_phone_and_its_drawing_folded(
    open_page: OpenPage, paths: dict[str, str]
) -> None:
    page = open_page(paths["list"], 390, has_touch=True, is_mobile=True)
    chart = page.locator(".chart-fold figure")
    expect(page.locator("figure[data-drawn]")).to_have_count(1)
    expect(chart).to_be_hidden()
    cards = page.locator("table.one-engine tbody tr")
    high = cards.evaluate_all("rows => rows.map(row => row.offsetHeight)")
    assert len(high) > 15
    assert sorted(high)[len(high) // 2] <= 125  # two rows to press, of 44 px, and a line
    assert page.evaluate("document.documentElement.scrollHeight") <= 4600
    page.get_by_text("Drawn for 21 packs").click()
    expect(chart).to_be_visible()
    drawn = page.locator(".chart-fold .main-svg").first
    expect(drawn).to_be_visible()
    box, around = drawn.bounding_box(), chart.bounding_box()
    assert box is not None
    assert around is not None
    assert abs(box["width"] - around["width"]) <= 2
    assert page.evaluate("document.documentElement.scrollWidth") == 390


def test_on_a_wide_screen_the_drawing_beneath_a_list_is_there_at_once(
    open_page: OpenPage, paths: dict[str, str]
) -> None:
    page = open_page(paths["list"])
    expect(page.locator("figure[data-drawn]")).to_have_count(1)
    expect(page.locator(".chart-fold figure")).to_be_visible()
    expect(page.locator(".chart-fold > summary")).to_be_hidden()
    box = page.locator(".chart-fold .main-svg").first.bounding_box()
    assert box is not None
    assert box["width"] > 900


def test_a_long_list_is_printed_without_its_drawing_on_two_sheets(
    open_page: OpenPage, paths: dict[str, str]
) -> None:
    page = open_page(paths["list"])
    expect(page.locator("figure[data-drawn]")).to_have_count(1)
    assert 1 <= pages_of(page.pdf(prefer_css_page_size=True)) <= 2
    page.emulate_media(media="print")
    expect(page.locator(".board-chart")).to_be_hidden()
    expect(page.locator("table.one-engine tbody tr").first).to_be_visible()


@pytest.mark.parametrize("path", ["/", "list"])
def test_why_a_pack_does_not_bolt_up_takes_one_line(
    open_page: OpenPage, paths: dict[str, str], path: str
) -> None:
    page = open_page(paths.get(path, path))
    high = page.locator(".cell-why").evaluate_all(
        "all => all.map(e => e.offsetHeight / parseFloat(getComputedStyle(e).lineHeight))"
    )
    assert high
    assert max(high) < 1.5


def test_the_presses_of_packs_side_by_side_keep_clear_of_each_other(
    open_page: OpenPage, paths: dict[str, str]
) -> None:
    page = open_page("/", 390)
    keys = page.locator(".pick input").evaluate_all("all => all.slice(0, 3).map(e => e.value)")
    page.goto("/side?" + "&".join(f"pack={key}" for key in keys))
    boxes = [press.bounding_box() for press in page.locator(".side-acts .button").all()]
    assert len(boxes) == 4
    for n, one in enumerate(boxes):
        for other in boxes[n + 1 :]:
            assert one is not None
            assert other is not None
            apart_x = max(one["x"], other["x"]) - min(
                one["x"] + one["width"], other["x"] + other["width"])
            apart_y = max(one["y"], other["y"]) - min(
                one["y"] + one["height"], other["y"] + other["height"])
            assert max(apart_x, apart_y) >= 6
    assert page.locator("table.side caption").evaluate("e => e.offsetHeight") == 0


def test_figures_are_folded_on_a_phone_and_in_sight_at_a_desk_and_without_script(
    open_page: OpenPage, paths: dict[str, str]
) -> None:
    fold = "#figures ~ details.phone-fold"
    for name in ("pack", "engine"):
        phone = open_page(paths[name], 390)
        assert phone.locator(fold).get_attribute("open") is None
        phone.locator(f"{fold} > summary").click()
        expect(phone.locator(f"{fold} .sheet")).to_be_visible()
        desk = open_page(paths[name], 1280)
        expect(desk.locator(f"{fold} .sheet")).to_be_visible()
        expect(desk.locator(f"{fold} > summary")).to_be_hidden()
        plain = open_page(paths[name], 390, script=False)
        expect(plain.locator(f"{fold} .sheet")).to_be_visible()
