import csv
import io
import re

import pytest

from app.records import database
from app.services.catalogue import shortlist
from tests.web.routes.conftest import ENGINE, PACK, Shop

OFFER = {"name": "Complete clutch", "seller": "A stall", "price": "39,90", "currency": "eur"}
SCRIPT = "<script>alert(1)</script>=cmd()"


@pytest.fixture
def pair(shop: Shop) -> tuple[str, str]:
    """Ids of a pack with one offer, and of an engine."""
    pack = shop.save("/packs/new", PACK)
    shop.save(f"{pack}/offers/new", OFFER)
    engine = shop.save("/engines/new", ENGINE)
    return pack.removeprefix("/packs/"), engine.removeprefix("/engines/")


def lines(shop: Shop) -> list[object]:
    with database.read_session(shop.client.app.state.engine) as session:
        return list(shortlist.page(session).records)


def plain(text: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", text).replace("\u00a0", " ").split())


def put_on(shop: Shop, pack: str, engine: str = "", back: str = "/") -> str:
    answer = shop.client.post("/shortlist/add", data={"pack": pack, "engine": engine, "back": back})
    assert answer.status_code == 303
    return answer.headers["location"]


@pytest.mark.parametrize("place", ["/", "/?engine={1}", "/packs/{0}", "/cell/{0}/{1}?wear=worn"])
def test_one_press_puts_a_pack_on_the_list_and_stays_where_one_was(
    shop: Shop, pair: tuple[str, str], place: str
) -> None:
    text = shop.get(place.format(*pair))
    form = re.search(r'action="/shortlist/add">(.*?)</form>', text, re.DOTALL)
    assert form is not None
    typed = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form[1]))
    typed = {name: value.replace("&amp;", "&") for name, value in typed.items()}
    answer = shop.client.post("/shortlist/add", data=typed)
    assert answer.headers["location"] == place.format(*pair)
    (stored,) = lines(shop)
    assert stored.document.pack == pair[0]
    assert stored.document.engine == (None if place.startswith("/packs") else pair[1])
    assert stored.document.offer is not None


def test_the_list_says_pack_engine_verdict_offer_price_and_sum(
    shop: Shop, pair: tuple[str, str]
) -> None:
    put_on(shop, *pair)
    (stored,) = lines(shop)
    shop.save(f"/shortlist/{stored.id}/edit", {"quantity": "3", "why": "spare set"})
    text = plain(shop.get("/shortlist"))
    assert "1 line to order: 119.70 EUR for what has a price." in text
    assert re.search(r"Six springs Single 250 (Holds|Tight|Slips) [\d.]+ 3 Complete clutch", text)
    assert "spare set" in text
    assert "39.90 EUR" in text


def test_the_same_pack_for_the_same_engine_stays_one_line_until_it_is_ordered(
    shop: Shop, pair: tuple[str, str]
) -> None:
    put_on(shop, *pair)
    put_on(shop, *pair)
    assert "was on the shortlist already" in shop.get("/shortlist")
    put_on(shop, pair[0])
    (first, _) = sorted(lines(shop), key=lambda s: s.name, reverse=True)
    assert first.name == "Six springs for Single 250"
    shop.send(f"/shortlist/{first.id}/done", {"version": "1", "done": "yes"})
    put_on(shop, *pair)
    names = sorted(s.name for s in lines(shop))
    assert names == ["Six springs", "Six springs for Single 250", "Six springs for Single 250 (2)"]
    assert "Ordered" in shop.get("/shortlist")


def test_a_line_is_taken_off_and_put_back(shop: Shop, pair: tuple[str, str]) -> None:
    put_on(shop, *pair)
    (stored,) = lines(shop)
    shop.send(f"/shortlist/{stored.id}/put-aside", {"version": "1"})
    text = shop.get("/shortlist")
    assert "Nothing is on the list" in text
    assert f'action="/shortlist/{stored.id}/bring-back"' in text
    shop.send(f"/shortlist/{stored.id}/bring-back", {})
    assert len(lines(shop)) == 1
    answer = shop.client.get(f"/shortlist/{stored.id}/history")
    assert "put aside the shortlist line" in plain(shop.get(answer.headers["location"]))


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"quantity": "0"}, "How many must be"),
        ({"quantity": ""}, "Write how many"),
        ({"quantity": "2.5"}, "whole number"),
        ({"offer": "nothing"}, "Choose one of"),
    ],
)
def test_what_cannot_be_ordered_is_refused_with_everything_kept(
    shop: Shop, pair: tuple[str, str], typed: dict[str, str], words: str
) -> None:
    put_on(shop, *pair)
    (stored,) = lines(shop)
    path = f"/shortlist/{stored.id}/edit"
    answer = shop.send(path, shop.form(path) | {"why": "kept"} | typed)
    assert answer.status_code == 422
    assert words in answer.text
    assert "kept</textarea>" in answer.text
    assert lines(shop)[0].version == 1


def test_a_stale_line_is_not_saved_over(shop: Shop, pair: tuple[str, str]) -> None:
    put_on(shop, *pair)
    (stored,) = lines(shop)
    path = f"/shortlist/{stored.id}/edit"
    mine = shop.form(path) | {"why": "mine"}
    shop.save(path, {"why": "theirs"})
    assert shop.send(path, mine).status_code == 409
    assert lines(shop)[0].document.why == "theirs"


def test_it_comes_as_csv_and_json_and_text_stays_text(shop: Shop, pair: tuple[str, str]) -> None:
    put_on(shop, *pair)
    (stored,) = lines(shop)
    shop.save(f"/shortlist/{stored.id}/edit", {"why": f"={SCRIPT}"})
    answer = shop.client.get("/shortlist.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    (row,) = csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig")))
    assert (row["pack_name"], row["price"], row["currency"]) == ("Six springs", "39.9", "EUR")
    assert row["why"] == f"'={SCRIPT}"
    (item,) = shop.client.get("/api/v1/shortlist").json()["items"]
    assert (item["pack"], item["engine"], item["quantity"]) == (*pair, 1)
    assert "<script>alert" not in shop.get("/shortlist")
    body = {"pack": pair[0], "quantity": 2}
    assert shop.client.post("/api/v1/shortlist", json=body).status_code == 201
    refused = shop.client.post("/api/v1/shortlist", json={"pack": "nothing"})
    assert [e["path"] for e in refused.json()["errors"]] == ["pack"]


def test_packs_that_are_not_there_and_foreign_addresses(
    shop: Shop, pair: tuple[str, str]
) -> None:
    assert shop.client.post("/shortlist/add", data={"pack": "nothing"}).status_code == 404
    assert put_on(shop, pair[0], back="https://evil.test/") == "/"
    shop.get("/shortlist/nothing/edit", 404)


def test_a_line_without_a_reason_leads_to_its_box(shop: Shop, pair: tuple[str, str]) -> None:
    pack, _ = pair
    put_on(shop, pack)
    text = shop.get("/shortlist")
    found = re.search(r'href="(/shortlist/[a-z0-9]+/edit)#f-why"', text)
    assert found
    assert 'id="f-why"' in shop.get(found[1])
    shop.save(found[1], {"why": "the only one that holds"})
    assert "#f-why" not in shop.get("/shortlist")
