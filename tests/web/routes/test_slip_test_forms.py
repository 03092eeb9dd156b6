"""Logging a run by its form: rows of readings, questions beyond the gauge, nothing lost."""

from typing import Any

import pytest

from app.services.stored import Stored
from tests.web.routes.boxes import boxes, title
from tests.web.routes.conftest import PACK, Shop

RUN = {
    "lubrication": "oiled",
    "friction": "sliding",
    "springs_fitted": "6",
    "by": "Ada",
    "date": "2026-11-20",
    "heat": "cold",
    "oil_on_plates": "yes",
    "speed_rpm": "30",
    "temperature_c": "21",
    "readings.unit": "N·m",
    "readings.0.kind": "value",
    "readings.0.low": "42",
    "readings.1.kind": "span",
    "readings.1.low": "41",
    "readings.1.high": "44",
    "readings.2.kind": "at_least",
    "readings.2.low": "60",
}
GAUGE = {"name": "Fish scale", "range_low_nm": "5", "range_high_nm": "60",
         "relative_accuracy": "4 %", "resolution_nm": "0.5"}


def log(shop: Shop, pack: str, **changed: str) -> str:
    return shop.save("/tests/new", {**RUN, "pack": pack, **changed})


def only(shop: Shop) -> Stored[Any]:
    (stored,) = shop.stored("slip_tests")
    return stored


@pytest.fixture
def pack(shop: Shop) -> str:
    return shop.save("/packs/new", PACK).removeprefix("/packs/")


@pytest.fixture
def gauge(shop: Shop) -> str:
    return shop.save("/instruments/new", GAUGE).removeprefix("/instruments/")


def test_a_run_is_logged_and_opened_as_it_was_typed(shop: Shop, pack: str) -> None:
    at = log(shop, pack, **{"readings.unit": "lbf·ft", "readings.0.low": "31,5"})
    test = only(shop).document
    assert test.readings[0].torque_nm == pytest.approx(31.5 * 1.3558179483314004)
    assert test.readings[0].typed == "31,5 lbf·ft"
    assert (test.heat, test.oil_on_plates, test.facings) == ("cold", True, None)
    form = shop.form(f"{at}/edit")
    assert form["readings.0.low"] == "31,5 lbf·ft"
    answer = shop.send(f"{at}/edit", form)
    assert answer.status_code == 303
    assert only(shop).version == 1, "a form that is saved untouched changes nothing"


def test_a_reading_beyond_the_gauge_is_saved_only_after_the_tester_says_so(
    shop: Shop, pack: str, gauge: str
) -> None:
    typed = shop.form("/tests/new") | RUN | {"pack": pack, "instrument": gauge}
    typed["readings.0.low"] = "64"
    answer = shop.send("/tests/new", typed)
    assert answer.status_code == 422
    assert "The gauge ends at 60 N·m: is 64 a value, or at least 60?" in answer.text
    assert title(answer.text).startswith("Error: ")
    assert shop.stored("slip_tests") == []
    kept = boxes(answer.text, "/tests/new")
    assert kept["readings.0.low"] == "64"
    said = shop.send("/tests/new", kept | {"readings.0.as_read": "yes"})
    assert said.status_code == 303
    reading = only(shop).document.readings[0]
    assert (reading.torque_nm, reading.as_read) == (64.0, True)
    # Opened again, the answer stands; changed to the bound, the bound is kept.
    edit = f"/tests/{only(shop).id}/edit"
    form = shop.form(edit)
    assert form["readings.0.as_read"] == "yes"
    shop.send(edit, form | {"readings.0.as_read": "at_least 60"})
    reading = only(shop).document.readings[0]
    assert (reading.at_least_nm, reading.torque_nm, reading.typed) == (60.0, None, "64")


def test_a_reading_is_added_and_cleared_without_script(shop: Shop, pack: str) -> None:
    typed = shop.form("/tests/new") | RUN | {"pack": pack, "do": "add-reading"}
    answer = shop.send("/tests/new", typed)
    assert answer.status_code == 200
    kept = boxes(answer.text, "/tests/new")
    assert "readings.3.low" in kept
    assert kept["readings.3.kind"] == "at_least", "the next is likely of the same kind"
    assert 'name="readings.3.low" value="" aria-label="Reading 4, torque" autofocus' in answer.text
    answer = shop.send("/tests/new", kept | {"do": "remove-reading-1"})
    kept = boxes(answer.text, "/tests/new")
    assert kept["readings.1.low"] == ""
    assert kept["readings.0.low"] == "42"
    assert shop.stored("slip_tests") == []
    shop.send("/tests/new", kept)
    assert [r.kind for r in only(shop).document.readings] == ["value", "at_least"]


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"readings.0.low": "a lot"}, "Reading 1: write"),
        ({"readings.1.high": ""}, "Reading 2, upper end: write the torque here too"),
        ({"readings.1.high": "40"}, "Reading 2: write an upper end that is not below"),
        ({"readings.0.low": "0"}, "above 0"),
        ({"readings.0.low": "", "readings.1.low": "", "readings.1.high": "",
          "readings.2.low": ""}, "Add at least one reading."),
        ({"excluded": "yes"}, "Say why this run is left out of fits."),
        ({"springs_fitted": "2.5"}, "whole"),
        ({"date": "soon"}, "year-month-day"),
        ({"temperature_c": "-300"}, "Temperature must be"),
    ],
)
def test_what_cannot_be_is_refused_with_everything_kept(
    shop: Shop, pack: str, changed: dict[str, str], words: str
) -> None:
    typed = shop.form("/tests/new") | RUN | {"pack": pack} | changed
    answer = shop.send("/tests/new", typed)
    assert answer.status_code == 422
    assert words in answer.text
    assert 'href="#f-' in answer.text
    kept = boxes(answer.text, "/tests/new")
    for name, text in (RUN | changed).items():
        assert kept.get(name, "") == text, name
    assert shop.stored("slip_tests") == []


def test_a_form_sent_twice_makes_one_run_and_a_stale_one_none(shop: Shop, pack: str) -> None:
    typed = shop.form("/tests/new") | RUN | {"pack": pack}
    assert {shop.send("/tests/new", typed).status_code for _ in range(2)} == {303}
    edit = f"/tests/{only(shop).id}/edit"
    mine = shop.form(edit) | {"by": "mine"}
    shop.save(edit, {"by": "theirs"})
    answer = shop.send(edit, mine)
    assert answer.status_code == 409
    assert "<td>theirs</td><td>mine</td>" in answer.text


def test_another_run_begins_like_the_last_without_its_readings(shop: Shop, pack: str) -> None:
    at = log(shop, pack)
    page = shop.get(f"/tests/new?like={at.removeprefix('/tests/')}")
    form = boxes(page, "/tests/new")
    assert (form["pack"], form["springs_fitted"], form["heat"]) == (pack, "6", "cold")
    assert form["readings.0.low"] == ""
    form = boxes(shop.get(f"/tests/new?pack={pack}&springs=3"), "/tests/new")
    assert (form["pack"], form["springs_fitted"]) == (pack, "3")
    assert boxes(shop.get("/tests/new?pack=nothing&springs=x"), "/tests/new")["pack"] == ""


def test_the_cautions_stand_in_the_step(shop: Shop) -> None:
    text = shop.get("/tests/new")
    step = text[text.index("Readings, in order"):text.index("Add a reading")]
    for words in ("Pull the wrench towards you", "Wear eye protection", "stop at the first slip",
                  "anything that turns", "Plates and oil are hot"):
        assert words in step
    assert step.count("Source:") == 4
    assert "Source:" not in step.partition("<details>")[0], "only the sources are folded"
    assert step.count('role="note"') == 1
