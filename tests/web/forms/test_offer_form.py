import pytest

from app.documents import Offer
from app.errors import BadInput
from app.web.forms.offer_form import offer_texts, read_offer
from app.web.forms.reader import FormReader

TYPED = {
    "name": "Set of plates",
    "claimed_cc_low": "50",
    "claimed_cc_high": "0.125 L",
    "price": "39,90",
    "currency": "eur",
    "link": "https://stall.test/clutch",
}


def test_an_offer_is_read_and_keeps_its_pack() -> None:
    offer = read_offer(FormReader(TYPED), Offer(name="of this pack", pack="p1")).document
    assert (offer.pack, offer.claimed_cc_high, offer.price, offer.currency) == (
        "p1",
        125.0,
        39.9,
        "EUR",
    )
    again = read_offer(FormReader(offer_texts(offer)), offer).document
    assert again == offer


def test_a_title_is_enough() -> None:
    assert read_offer(FormReader({"name": "Set"})).document == Offer(name="Set")


def test_what_is_wrong_stands_at_its_box() -> None:
    form = FormReader(TYPED | {"claimed_cc_high": "40", "price": "1,234", "link": "ftp://x"})
    with pytest.raises(BadInput):
        read_offer(form)
    assert {problem.field for problem in form.problems} == {
        "claimed_cc_low", "claimed_cc_high", "price", "link",
    }
