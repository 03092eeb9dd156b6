"""The form of classes, from what was typed and back."""

import pytest

from app.errors import BadInput
from app.mechanics.class_table import displacement_classes
from app.services.class_settings import ClassSettings, shown_bands
from app.web.forms.class_form import SPARE_ROWS, class_texts, read_classes, rows_shown
from app.web.forms.reader import FormReader

SHIPPED = ClassSettings(displacement_classes(), shown_bands(), 0)


def test_what_is_in_force_comes_back_as_it_is() -> None:
    wanted, _ = read_classes(FormReader(class_texts(SHIPPED)))
    assert wanted.classes == [
        (c.displacement_cc, c.ratio_low, c.ratio_high) for c in SHIPPED.classes]
    assert wanted.bands == {b.kind: (b.low_kpa, b.high_kpa) for b in SHIPPED.bands}


def test_a_cleared_row_takes_its_class_out_and_problems_find_their_box() -> None:
    texts = class_texts(SHIPPED) | {f"classes.0.{part}": " " for part in ("cc", "low", "high")}
    wanted, names = read_classes(FormReader(texts))
    assert len(wanted.classes) == len(SHIPPED.classes) - 1
    assert names["classes.0.cc"] == "classes.1.cc"


def test_units_and_commas_are_read() -> None:
    texts = class_texts(SHIPPED) | {"classes.0.cc": "0,05 L", "bands.two_stroke.low": "70 psi"}
    wanted, _ = read_classes(FormReader(texts))
    assert wanted.classes[0][0] == pytest.approx(50.0)
    # 1 psi = 6.894757 kPa
    assert wanted.bands["two_stroke"][0] == pytest.approx(482.633, rel=1e-5)


def test_half_a_row_is_asked_for() -> None:
    form = FormReader(class_texts(SHIPPED) | {"classes.30.cc": "700", "bands.two_stroke.low": ""})
    with pytest.raises(BadInput):
        read_classes(form)
    assert {p.field for p in form.problems} == {
        "classes.30.low", "classes.30.high", "bands.two_stroke.low"}


def test_blank_rows_follow_those_that_are_filled() -> None:
    form = FormReader(class_texts(SHIPPED))
    assert len(rows_shown(form)) == len(SHIPPED.classes) + SPARE_ROWS
    assert len(rows_shown(FormReader({}))) == SPARE_ROWS
