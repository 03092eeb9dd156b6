"""The form of a seller's offer: from what was typed to the document, and back."""

from typing import Any

from app.documents import Offer
from app.fields import ENGINE, Field
from app.web.forms.figures import FormRead, checked, plain
from app.web.forms.pairs import box, larger_first
from app.web.forms.reader import FormReader

LINES = ("seller", "currency", "date")
TEXTS = ("claim", "notes")
NUMBERS = ("claimed_cc_low", "claimed_cc_high", "price")
LONGEST_LINE = 200
LONGEST_LINK = 2000
LONGEST_TEXT = 10_000

PRICE = Field(
    "price",
    "Price",
    "number",
    at_least=0,
    help="Of one pack, without carriage.",
)
_CC = ENGINE["displacement_cc"]
CLAIMED = {
    "claimed_cc_low": Field(
        "claimed_cc_low",
        "Claimed from",
        "displacement",
        above=0,
        usual=_CC.usual,
        help="Least displacement that the offer claims to hold.",
    ),
    "claimed_cc_high": Field(
        "claimed_cc_high",
        "Claimed up to",
        "displacement",
        above=0,
        usual=_CC.usual,
        help="Largest displacement that the offer claims to hold.",
    ),
}
FIELDS = {**CLAIMED, "price": PRICE}


def offer_texts(offer: Offer) -> dict[str, str]:
    """The texts of the form's boxes, by name."""
    texts = {"name": offer.name}
    for name in (*LINES, *TEXTS, "link"):
        value = getattr(offer, name)
        if value is not None:
            texts[name] = value
    for name in NUMBERS:
        value = getattr(offer, name)
        if value is not None:
            texts[name] = plain(value)
    return texts


def read_offer(form: FormReader, stored: Offer | None = None) -> FormRead[Offer]:
    """The offer that a form describes; its pack is the stored one's.

    Raises:
        BadInput: with everything that is wrong, each under the name of its box.
    """
    raw: dict[str, Any] = {"pack": None if stored is None else stored.pack}
    for name in LINES:
        raw[name] = form.text(name, longest=LONGEST_LINE)
    for name in TEXTS:
        raw[name] = form.text(name, longest=LONGEST_TEXT)
    raw["link"] = form.text("link", longest=LONGEST_LINK)
    for name in NUMBERS:
        raw[name] = form.number(name, FIELDS[name])
    low, high = (
        box(name, f"{end} displacement", raw[name], FIELDS[name])
        for name, end in (("claimed_cc_low", "smallest"), ("claimed_cc_high", "largest"))
    )
    larger_first(form, high, low, or_equal=True)
    known = {name: value for name, value in raw.items() if value is not None}
    known["name"] = form.text("name", longest=LONGEST_LINE) or ""
    return FormRead(checked(form, Offer, known, {}), {})
