import pytest

from app.web.forms.plan_form import (
    add_link,
    address_pairs,
    drive_square,
    preset_options,
    read_plan,
    rows_shown,
)
from app.web.forms.reader import FormReader

ASKED = {
    "pack": "abc", "lubrication": "dry", "friction": "static", "wear": "worn", "springs": "3",
    "speed_rpm": "60", "seconds": "5", "plate_mass_kg": "500 g", "arm_m": "0.5",
    "chain.0.kind": "gauge", "chain.0.max_nm": "44.25 lbf·ft",
    "chain.4.kind": "square", "chain.4.name": "Stub", "chain.4.across_flats_mm": "1/2 in",
    "chain.4.yield_mpa": "700",
}


def test_an_address_is_read_with_its_units() -> None:
    form = FormReader(ASKED)
    asked = read_plan(form)
    assert form.problems == []
    assert (asked.state.lubrication, asked.state.friction, asked.state.wear_mm) == (
        "dry", "static", None)
    assert (asked.springs, asked.plate_mass_kg) == (3, 0.5)
    gauge, stub = asked.chain
    assert gauge.name == "Gauge 1"
    assert gauge.max_nm == pytest.approx(44.25 * 1.3558179483314004)
    assert (stub.kind, stub.size_mm, stub.yield_mpa) == ("square", 12.7, 700.0)
    assert asked.rows == (0, 4)
    assert asked.box("chain.1.yield_mpa") == "chain.4.yield_mpa"
    assert asked.box("springs_fitted") == "springs"


def test_the_short_address_leaves_out_blanks_and_counts_links_anew() -> None:
    form = FormReader({**ASKED, "do": "add", "preset": "x", "arm_m": " ", "chain.2.kind": "gauge"})
    pairs = dict(address_pairs(form))
    assert "arm_m" not in pairs
    assert "do" not in pairs
    assert (pairs["chain.1.name"], pairs["chain.0.max_nm"]) == ("Stub", "44.25 lbf·ft")
    again = read_plan(FormReader(pairs))
    assert again.chain == read_plan(FormReader(ASKED)).chain
    assert rows_shown(FormReader({})) == [0, 1]


@pytest.mark.parametrize(
    ("changed", "box"),
    [
        ({"chain.0.max_nm": "0"}, "chain.0.max_nm"),
        ({"chain.4.yield_mpa": ""}, "chain.4.yield_mpa"),
        ({"chain.4.kind": "rope"}, "chain.4.kind"),
        ({"chain.4.colour": "red"}, ""),
        ({"springs": "0"}, "springs"),
        ({"wear": "some"}, "wear"),
    ],
)
def test_what_can_not_be_read_is_said_at_its_box(changed: dict[str, str], box: str) -> None:
    form = FormReader(ASKED | changed)
    read_plan(form)
    assert box in {p.field for p in form.problems}


def test_the_drive_squares_are_offered_as_unconfirmed() -> None:
    options = dict(preset_options())
    assert len(options) == 5
    assert all("not confirmed" in words for words in options.values())
    for key in options:
        assert drive_square(key) is not None
    assert drive_square("square-11") is None
    form = FormReader(dict(ASKED))
    add_link(form, "rated", "Square", 202.0)
    assert form.raw["chain.5.max_nm"] == "202"
