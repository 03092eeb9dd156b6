import pytest

from app.errors import BadInput
from app.fields import DefaultDoubt
from app.presentation.numbers import NBSP
from app.web.forms.reader import FormReader
from app.web.forms.settings_form import (
    OWN,
    SHOWN_KINDS,
    box,
    half_width_text,
    read_settings,
    settings_texts,
    shipped,
)


@pytest.mark.parametrize(
    ("text", "absolute", "relative"),
    [
        ("0,05", 0.05, None),
        ("± 0.05 mm", 0.05, None),
        ("2 thou", 0.0508, None),
        ("2 %", None, 0.02),
        ("0.02 mm or 0.5 %", 0.02, 0.005),
        ("0.02; 0.5%", 0.02, 0.005),
        ("0", 0.0, None),
    ],
)
def test_a_doubt_is_read_in_its_unit_in_percent_or_both(
    text: str, absolute: float | None, relative: float | None
) -> None:
    (row,) = read_settings(FormReader({box("length", "measured"): text})).doubts
    assert row == DefaultDoubt("length", "measured", absolute, relative, OWN)
    texts = settings_texts({("length", "measured"): row}, {}, "")
    assert read_settings(FormReader(texts)).doubts == [row]


def test_a_doubt_of_a_temperature_is_a_rise_and_one_of_a_mass_a_share() -> None:
    (row,) = read_settings(FormReader({box("temperature", "measured"): "3 K"})).doubts
    assert row.absolute == 3.0
    assert half_width_text(shipped("temperature", "measured")) == f"2{NBSP}K"
    form = FormReader({box("mass", "measured"): "3 g"})
    with pytest.raises(BadInput):
        read_settings(form)
    assert "in percent" in form.problems[0].message


@pytest.mark.parametrize("text", ["nan", "1,234", "2 N", "120 %", "-1", "1 or", "9" * 200])
def test_what_is_no_doubt_is_refused_at_its_box(text: str) -> None:
    form = FormReader({box("length", "listed"): text})
    with pytest.raises(BadInput):
        read_settings(form)
    assert [problem.field for problem in form.problems] == [box("length", "listed")]


def test_every_kind_shows_what_is_shipped_for_it() -> None:
    assert half_width_text(shipped("length", "measured")) == f"0.05{NBSP}mm"
    assert half_width_text(shipped("force", "estimated")) == f"10{NBSP}%"
    assert all(shipped(kind, "assumed") for kind in SHOWN_KINDS)
    assert "count" not in SHOWN_KINDS


def test_the_limit_and_the_name() -> None:
    found = read_settings(FormReader({"heavy": "2,5", "measured_by": " Ada "}))
    assert (found.limits, found.measured_by, found.doubts) == ({"heavy": 2.5}, "Ada", [])
    assert read_settings(FormReader({})).limits == {}
