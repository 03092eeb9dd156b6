import re

import pytest

from tests.web.routes.conftest import ENGINE, PACK, Shop

OFFER = {
    "name": "Complete clutch", "claim": "fits all", "claimed_cc_high": "250", "price": "90",
    "currency": "EUR", "link": "https://stall.test/x",
}  # fmt: skip
SCRIPT = "<script>alert(1)</script>{{7*7}}"


@pytest.fixture
def offer(shop: Shop) -> str:
    pack = shop.save("/packs/new", PACK)
    shop.save("/engines/new", ENGINE)
    shop.save(f"{pack}/offers/new", OFFER)
    (stored,) = shop.stored("offers")
    return f"/offers/{stored.id}"


def plain(text: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", text).replace("\u00a0", " ").split())


def test_the_claim_is_held_against_our_engines_on_both_pages(shop: Shop, offer: str) -> None:
    (pack,) = shop.stored("packs")
    text = plain(shop.get(f"/packs/{pack.id}"))
    (says,) = re.findall(r"The claim [^.]*our one engine of up to 250 cc[^.]*\.", text)
    own = plain(shop.get(offer))
    assert says in own
    assert "Single 250" in own
    assert "fits all" in own
    assert f'href="{offer}#claim"' in shop.get(f"/packs/{pack.id}")
    assert f'href="{offer}/history"' in shop.get(offer)
    assert 'rel="noopener noreferrer nofollow"' in shop.get(offer)


def test_what_holds_for_less_is_found_for_a_chosen_engine(shop: Shop, offer: str) -> None:
    assert "No other pack holds Single 250 for less" in plain(shop.get(offer))
    strong = PACK | {"name": "Sixty plates", "friction_plates": "60"}
    second = shop.save("/packs/new", strong)
    shop.save(f"{second}/offers/new", OFFER | {"name": "Cheaper", "price": "40"})
    text = plain(shop.get(offer))
    assert "Sixty plates holds Single 250 for 40.00 EUR, 50.00 EUR less." in text
    (engine,) = shop.stored("engines")
    assert "Sixty plates" in shop.get(f"{offer}?engine={engine.id}")
    shop.get(f"{offer}?engine=nothing", 422)
    shop.get("/offers/nothing", 404)


def test_the_engine_s_page_draws_prices_against_margins(shop: Shop, offer: str) -> None:
    (engine,) = shop.stored("engines")
    text = shop.get(f"/engines/{engine.id}")
    assert "What holding it costs" in text
    assert "Price against margin over Single 250" in text
    assert "90.00\u00a0EUR" in text
    assert f'href="{offer}"' in text


def test_text_of_sellers_is_text(shop: Shop, offer: str) -> None:
    shop.save(f"{offer}/edit", {"name": SCRIPT, "claim": SCRIPT, "seller": SCRIPT, "notes": SCRIPT})
    (engine,) = shop.stored("engines")
    for path in (offer, f"/engines/{engine.id}", "/shortlist", f"{offer}/history"):
        assert "<script>alert" not in shop.get(path)
