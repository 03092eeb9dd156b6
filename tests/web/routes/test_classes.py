"""The page of displacement classes at its address."""

import html
import re
from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.records.database import writing
from app.services.catalogue import packs
from app.services.seeding import load_demo
from tests.factories import make_pack
from tests.web.routes.test_board import NASTY


@pytest.fixture
def shop(app: FastAPI) -> Iterator[TestClient]:
    with TestClient(app, base_url="http://localhost:8000", follow_redirects=False) as client:
        with writing(app.state.engine) as session:
            load_demo(session)
        yield client


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))


def test_the_page_shows_bands_packs_and_claims(shop: TestClient) -> None:
    answer = shop.get("/classes")
    assert answer.status_code == 200
    text = text_of(answer.text)
    for words in (
        "Oiled, sliding, new", "On the crankshaft", "Behind the primary gear", "850–1400",
        "What each pack holds", "Bulrush 6", "Sellers' claims", "Not supported",
        "its clamp depends on the engine's speed",
    ):
        assert words in text, words


def test_the_navigation_leads_there(shop: TestClient) -> None:
    assert '<a href="/classes"' in shop.get("/").text


def test_a_worn_two_stroke_view_is_kept_in_the_form(shop: TestClient) -> None:
    page = shop.get("/classes?kind=two_stroke&wear=worn&factor=1,5&unit=lbf_ft").text
    assert re.search(r'<option value="two_stroke" selected', page)
    assert re.search(r'<option value="worn" selected', page)
    assert 'value="1,5"' in page
    text = text_of(page)
    assert "worn to each pack’s limit" in text
    assert "483–862" in text
    assert "Torque asked of the clutch, lbf·ft" in text


def test_one_pack_alone_can_be_asked_for(shop: TestClient) -> None:
    listed = shop.get("/packs").text
    key = re.search(r'href="/packs/([a-z0-9]+)">Bulrush 6<', listed).group(1)
    text = text_of(shop.get(f"/classes?pack={key}").text)
    assert "1 packs against" not in text
    assert "1 pack against" in text
    assert "Reed 8" not in text


@pytest.mark.parametrize(("query", "told"), [
    ("factor=lots", "Write a number"),
    ("factor=-1", "Write a service factor above 0"),
    ("kind=steam", "Choose one of four_stroke"),
    ("wear=old", "Write new, worn"),
    ("verdict=holds", "“verdict” is no setting here"),
    ("order=margin:abc", "Write name or capacity for order"),
    ("page=0", "Write a whole number"),
    ("claims=x", "Write a whole number"),
    ("pack=gone", "There is no pack gone"),
])
def test_a_wrong_setting_comes_back_as_typed_with_what_would_be_right(
    shop: TestClient, query: str, told: str
) -> None:
    answer = shop.get(f"/classes?{query}")
    assert answer.status_code == 422
    assert told in text_of(answer.text)
    assert "What each pack holds" in answer.text
    if query.startswith("factor"):
        assert f'value="{query.removeprefix("factor=")}"' in answer.text


def test_names_and_settings_are_shown_as_text(shop: TestClient, app: FastAPI) -> None:
    with writing(app.state.engine) as session:
        packs.add(session, make_pack(NASTY), by="Ann")
    page = shop.get("/classes", params={"factor": NASTY}).text
    assert "<script>alert" not in page
    assert "<img" not in page


def test_packs_come_in_pages_and_in_the_order_asked_for(shop: TestClient) -> None:
    second = shop.get("/classes?per=5&page=2&order=-capacity").text
    text = text_of(second)
    assert re.search(r"Packs 6–10 of \d+", text)
    assert 'aria-sort="descending"' in second
    # The form keeps the order and the length of a page, and goes back to the first.
    assert re.search(r'<input type="hidden" name="order" value="-capacity">', second)
    assert re.search(r'<input type="hidden" name="per" value="5">', second)
    assert 'name="page"' not in second
    # The chart draws the largest of all, on whatever page one is.
    assert re.search(r"The 6 largest are drawn", text)
    assert "there is no page 99" in text_of(shop.get("/classes?page=99").text)


def test_classes_pack_and_offer_tell_the_same_of_a_claim(shop: TestClient) -> None:
    page = shop.get("/classes").text
    rows = [
        (address.group(1), (told or word).group(1).capitalize())
        for row in page.split("<tr>")
        if (address := re.search(r'href="(/offers/[a-z0-9]+)#claim"', row))
        and ((told := re.search(r"torque alone: ([^<]+)<", row)) or True)
        and (word := re.search(r'class="verdict-word">([^<]+)<', row))
    ]
    assert len(rows) >= 7
    for address, verdict in rows:
        offer = shop.get(address).text
        assert f"{html.unescape(verdict)} by displacement class" in text_of(offer), address
        pack = re.search(r'href="(/packs/[a-z0-9]+)#offers"', offer).group(1)
        assert f"{html.unescape(verdict)} by displacement class" in text_of(shop.get(pack).text)


def test_the_service_factor_is_explained_and_not_set_unasked(shop: TestClient) -> None:
    assert "pulses far above its mean" in text_of(shop.get("/classes").text)
    assert "multiplied by the service factor 1.5" in text_of(shop.get("/classes?factor=1.5").text)


def test_an_empty_catalogue_still_shows_the_bands(app: FastAPI) -> None:
    with TestClient(app, base_url="http://localhost:8000") as client:
        text = text_of(client.get("/classes").text)
    assert "No pack with a known capacity" in text
    assert "No offer of these packs names a displacement" in text


def test_a_search_by_script_moves_to_the_short_address(shop: TestClient) -> None:
    answer = shop.get("/classes?kind=four_stroke&lubrication=dry&friction=sliding&factor=1")
    assert answer.headers["hx-push-url"] == "/classes?lubrication=dry"
    refused = shop.get("/classes?factor=lots")
    assert refused.headers["hx-retarget"] == "#main"


def test_only_packs_that_hold_a_class_are_listed_where_that_is_asked(shop: TestClient) -> None:
    def rows(query: str) -> dict[str, float]:
        """Packs that are listed, with the largest class that each holds whole; 0 for none."""
        text = shop.get(f"/classes{query}").text.replace("\u00a0", " ")
        table = text[text.index('id="held"'):text.index('id="claims"')]
        found = {}
        for row in re.findall(r'<tr><th scope="row">.*?</tr>', table, re.DOTALL):
            name = re.findall(r'href="/packs/\w+">([^<]+)', row)[0]
            sizes = re.findall(r'<td class="num">(\d+) cm³</td>', row)
            found[name] = float(sizes[0]) if len(sizes) > 1 else 0.0
        return found

    everything = rows("?per=200")
    assert len(set(everything.values())) > 3
    for size in (125.0, 250.0, 650.0):
        wanted = {name: most for name, most in everything.items() if most >= size}
        assert rows(f"?per=200&holds={size:g}") == wanted
        text = shop.get(f"/classes?holds={size:g}").text
        assert f'<option value="{size:g}" selected>' in text
        assert f"; {len(wanted)} hold {size:g}" in text
    assert rows("?holds=9000") == {}
    assert shop.get("/classes?holds=big").status_code == 422
    assert shop.get("/classes?holds=-5").status_code == 422
