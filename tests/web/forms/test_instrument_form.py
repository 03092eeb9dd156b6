import pytest

from app.documents import Instrument
from app.errors import BadInput
from app.web.forms.instrument_form import instrument_texts, read_instrument
from app.web.forms.reader import FormReader


def test_an_instrument_goes_through_the_form_unchanged() -> None:
    for instrument in (
        Instrument(name="Beam"),
        Instrument(name="Beam", range_low_nm=0, range_high_nm=60.5, relative_accuracy=0.04,
                   resolution_nm=0.5, notes="checked in May"),
    ):
        assert read_instrument(FormReader(instrument_texts(instrument))).document == instrument


def test_units_and_shares_are_taken_as_typed() -> None:
    form = FormReader({"name": "Beam", "range_high_nm": "44.25 lbf·ft", "relative_accuracy": "4 %"})
    document = read_instrument(form).document
    assert document.range_high_nm == pytest.approx(44.25 * 1.3558179483314004)
    assert document.relative_accuracy == 0.04


def test_an_instrument_needs_a_name() -> None:
    form = FormReader({"range_high_nm": "60"})
    with pytest.raises(BadInput, match="Write a name"):
        read_instrument(form)
