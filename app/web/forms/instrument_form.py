"""The form of an instrument: from what was typed to the document, and back."""

from typing import Any

from app.documents import Instrument
from app.fields import INSTRUMENT
from app.web.forms.figures import FormRead, checked, plain
from app.web.forms.pairs import box, larger_first
from app.web.forms.reader import FormReader

LONGEST_NAME = 200
LONGEST_NOTES = 10_000


def instrument_texts(instrument: Instrument) -> dict[str, str]:
    """The texts of the form's boxes, by name."""
    texts: dict[str, str] = {"name": instrument.name}
    for name in INSTRUMENT:
        value = getattr(instrument, name)
        if value is not None:
            texts[name] = plain(value)
    if instrument.notes is not None:
        texts["notes"] = instrument.notes
    return texts


def read_instrument(form: FormReader, _stored: Instrument | None = None) -> FormRead[Instrument]:
    """The instrument that a form describes.

    Raises:
        BadInput: with everything that is wrong, each under the name of its box.
    """
    raw: dict[str, Any] = {name: form.number(name, field) for name, field in INSTRUMENT.items()}
    low, high = (
        box(name, f"{end} of the range", raw[name], INSTRUMENT[name])
        for name, end in (("range_low_nm", "beginning"), ("range_high_nm", "end"))
    )
    larger_first(form, high, low)
    raw["notes"] = form.text("notes", longest=LONGEST_NOTES)
    known = {name: value for name, value in raw.items() if value is not None}
    # A blank name is refused by the document, in its own words.
    known["name"] = form.text("name", longest=LONGEST_NAME) or ""
    return FormRead(checked(form, Instrument, known, {}), {})
