import pytest

from tests.web.routes.boxes import boxes
from tests.web.routes.conftest import PACK, Shop

OFFER = {
    "name": "Complete clutch 50-125",
    "seller": "A stall",
    "claim": "holds 125 cc",
    "claimed_cc_low": "50",
    "claimed_cc_high": "0.125 L",
    "price": "39,90",
    "currency": "eur",
    "link": "https://stall.test/clutch",
    "date": "2026-11-20",
}


@pytest.fixture
def pack(shop: Shop) -> str:
    return shop.save("/packs/new", PACK)


def test_an_offer_stands_on_the_page_of_its_pack(shop: Shop, pack: str) -> None:
    assert shop.save(f"{pack}/offers/new", OFFER) == f"{pack}#offers"
    text = shop.get(pack).replace("\u00a0", " ")
    assert "Complete clutch 50-125" in text
    assert "50–125 cc" in text
    assert "39.90 EUR" in text
    assert 'href="https://stall.test/clutch" rel="noopener noreferrer nofollow"' in text
    (stored,) = shop.stored("offers")
    assert stored.document.pack == pack.removeprefix("/packs/")


def test_an_offer_is_changed_and_put_aside(shop: Shop, pack: str) -> None:
    shop.save(f"{pack}/offers/new", OFFER)
    (stored,) = shop.stored("offers")
    assert shop.save(f"/offers/{stored.id}/edit", {"price": "42"}) == f"{pack}#offers"
    (changed,) = shop.stored("offers")
    assert (changed.document.price, changed.document.claimed_cc_high) == (42.0, 125.0)
    aside = f"/offers/{stored.id}/put-aside"
    shop.send(aside, boxes(shop.get(pack), aside))
    assert f'action="/offers/{stored.id}/bring-back"' in shop.get(pack)
    assert "No offer is recorded." in shop.get(pack)
    shop.send(f"/offers/{stored.id}/bring-back", {})
    assert "Complete clutch 50-125" in shop.get(pack)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"link": "javascript:alert(1)"}, "beginning with https:// or http://"),
        ({"currency": "euro"}, "three letters"),
        ({"price": "-3"}, "Price must be 0 or more."),
        ({"claimed_cc_high": "40"}, "the smallest displacement, 50 cc. Here stands 40 cc."),
        ({"date": "last week"}, "year-month-day"),
        ({"name": ""}, "Write a name"),
    ],
)
def test_what_cannot_be_is_refused_with_everything_kept(
    shop: Shop, pack: str, changed: dict[str, str], words: str
) -> None:
    path = f"{pack}/offers/new"
    answer = shop.send(path, shop.form(path) | OFFER | changed)
    assert answer.status_code == 422
    assert words in answer.text
    kept = boxes(answer.text, path)
    assert {name: kept[name] for name in OFFER} == OFFER | changed
    assert shop.stored("offers") == []


def test_a_stale_save_is_refused_and_a_form_sent_twice_makes_one(shop: Shop, pack: str) -> None:
    path = f"{pack}/offers/new"
    typed = shop.form(path) | OFFER
    assert {shop.send(path, typed).status_code, shop.send(path, typed).status_code} == {303}
    (stored,) = shop.stored("offers")
    edit = f"/offers/{stored.id}/edit"
    mine = shop.form(edit) | {"seller": "mine"}
    shop.save(edit, {"seller": "theirs"})
    answer = shop.send(edit, mine)
    assert answer.status_code == 409
    assert "<td>theirs</td><td>mine</td>" in answer.text
    assert shop.stored("offers")[0].document.seller == "theirs"


def test_an_offer_of_no_pack_is_not_there(shop: Shop) -> None:
    assert "put aside" in shop.get("/packs/nothing/offers/new", 404)
