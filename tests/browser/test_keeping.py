"""An import with its preview and undo, and a comparison saved, in a real browser."""

import csv
import io
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Live, OpenPage

ROWS = [
    {"id": "", "version": "", "name": "Browser pack A", "friction_plates": "6"},
    {"id": "", "version": "", "name": "Browser pack B", "friction_plates": "many"},
]


def file_of(folder: Path, rows: list[dict[str, str]]) -> Path:
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    file = folder / "packs.csv"
    file.write_text(out.getvalue(), encoding="utf-8")
    return file


def send(page: Page, file: Path) -> None:
    page.goto("/import")
    page.get_by_label("CSV file").set_input_files(file)
    page.get_by_label("What it holds").select_option("packs")
    page.get_by_role("button", name="Look through the file").click()


@pytest.mark.parametrize("script", [True, False])
def test_a_file_is_looked_through_imported_and_taken_back(
    open_page: OpenPage, tmp_path: Path, script: bool
) -> None:
    page = open_page("/import", script=script)
    name = f"Browser pack {'with' if script else 'without'} script"
    send(page, file_of(tmp_path, [{**ROWS[0], "name": name}, {**ROWS[1], "name": f"{name} B"}]))
    main = page.locator("#main")
    expect(main).to_contain_text("1 cannot be read, 1 new")
    expect(main).to_contain_text("friction_plates")
    with page.expect_download() as download:
        page.get_by_role("link", name="Download those rows with what is wrong").click()
    bad = download.value.path().read_text(encoding="utf-8-sig")
    assert "how_to_fix" in bad.splitlines()[0]
    fixed = file_of(tmp_path, [
        {**row, "friction_plates": "5"} for row in csv.DictReader(io.StringIO(bad))
    ])  # fmt: skip
    send(page, fixed)
    expect(main).to_contain_text("0 cannot be read, 1 new")
    page.get_by_role("button", name="Import 1 new pack").click()
    expect(main).to_contain_text("1 row imported.")
    page.goto(f"/packs?q={name.replace(' ', '+')}")
    expect(main).to_contain_text(f"{name} B")
    page.goto("/import")
    page.get_by_role("link", name="imported, by").first.click()
    page.get_by_role("button", name="Undo this import").click()
    expect(main).to_contain_text("1 pack put aside")
    page.goto(f"/packs?q={name.replace(' ', '+')}")
    expect(main).to_contain_text("0 packs found")


def test_a_board_is_saved_under_a_name_and_opened_again(
    open_page: OpenPage, tmp_path: Path, live: Live
) -> None:
    page = open_page("/engines/new")
    page.get_by_label("Name", exact=True).first.fill("Browser engine")
    page.get_by_role("button", name="Save engine").last.click()
    expect(page.locator("h1")).to_have_text("Browser engine")
    send(page, file_of(tmp_path, [{**ROWS[0], "name": "Browser pack kept"}]))
    page.get_by_role("button", name="Import 1 new pack").click()
    expect(page.locator("#main")).to_contain_text("1 row imported.")
    page.goto("/?lubrication=dry&q=browser+pack+kept")
    page.get_by_role("link", name="Save this comparison").click()
    page.get_by_label("Name", exact=True).fill("Browser comparison")
    page.get_by_role("button", name="Save comparison").click()
    expect(page.locator("h1")).to_have_text("Browser comparison")
    expect(page.locator("#main")).to_contain_text("dry, sliding, new")
    expect(page.locator("#main")).to_contain_text("Browser pack kept")
    address = page.url
    again = open_page(address.removeprefix(live.address), width=390, scheme="dark", script=False)
    expect(again.locator("h1")).to_have_text("Browser comparison")
    assert again.evaluate("document.documentElement.scrollWidth") <= 390
    page.get_by_role("link", name="Open on the board").click()
    expect(page.locator("#main")).to_contain_text("1 pack found")
    page.get_by_role("button", name="+ shortlist").first.click()
    expect(page.locator(".notice")).to_contain_text("is on the shortlist")
    page.get_by_role("button", name="Print or keep").click()
    expect(page.locator("h1")).to_contain_text("as it was shown")


@pytest.mark.parametrize(
    "path", ["/history", "/import", "/comparisons", "/shortlist", "/verdicts"]
)
@pytest.mark.parametrize(("width", "scheme"), [(390, "light"), (1280, "dark")])
def test_pages_fit_the_window(open_page: OpenPage, path: str, width: int, scheme: str) -> None:
    page = open_page(path, width=width, scheme=scheme)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
