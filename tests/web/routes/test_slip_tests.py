"""The log of slip tests as somebody without script meets it."""

import csv
import io

import pytest

from tests.web.routes.boxes import boxes
from tests.web.routes.conftest import PACK, Shop
from tests.web.routes.test_slip_test_forms import RUN, log


@pytest.fixture
def pack(shop: Shop) -> str:
    return shop.save("/packs/new", PACK).removeprefix("/packs/")


def test_an_empty_log_says_what_to_do_first(shop: Shop) -> None:
    text = shop.get("/tests")
    assert "No slip test is logged yet" in text
    assert 'href="/tests/plan"' in text


def test_a_run_stands_in_the_log_against_its_prediction(shop: Shop, pack: str) -> None:
    log(shop, pack)
    text = shop.get("/tests")
    assert "1 slip test found" in text
    assert "Six springs, run 01" in text
    (stored,) = shop.stored("slip_tests")
    page = shop.get(f"/tests/{stored.id}").replace("\u00a0", " ")
    for words in ("Measured against predicted", "combined standard uncertainties", "41–44",
                  "mean of 2", "1 bound not in it"):
        assert words in page
    assert 'href="/tests/fit/' in page
    # Measured 42.25: the mean of 42 and of the middle of 41 to 44.5; predicted by the pack's μ.
    line = text[text.index("Six springs, run 01"):]
    assert '<td class="num">42.2</td>' in line


def test_runs_alike_are_told_with_mean_and_spread(shop: Shop, pack: str) -> None:
    for torque in ("40", "44"):
        log(shop, pack, **{"readings.0.low": torque, "readings.1.low": "", "readings.1.high": "",
                           "readings.2.low": ""})
    log(shop, pack, springs_fitted="3")
    first = shop.stored("slip_tests")[0]
    page = shop.get(f"/tests/{first.id}").replace("\u00a0", " ")
    # Mean of 40 and 44, deviation 4/√2.
    assert "2 runs alike: mean 42.0 N·m, spread 2.8 N·m (6.7 %)" in page


def test_the_log_is_searched_filtered_and_ordered(shop: Shop, pack: str) -> None:
    other = shop.save("/packs/new", PACK | {"name": "Other"}).removeprefix("/packs/")
    log(shop, pack, date="2026-11-02", notes="smelt of varnish")
    log(shop, other, date="2026-11-01", lubrication="dry")
    assert "2 slip tests found" in shop.get("/tests")
    assert "1 slip test found" in shop.get(f"/tests?pack={pack}")
    assert "Other, run 01" in shop.get("/tests?lubrication=dry")
    assert "1 slip test found" in shop.get("/tests?q=varnish")
    text = shop.get("/tests?order=name")
    assert text.index("2026-11-01 Other") < text.index("2026-11-02 Six")
    text = shop.get("/tests")
    assert text.index("2026-11-02 Six") < text.index("2026-11-01 Other")
    shop.get("/tests?colour=red", 422)


def test_a_run_is_put_aside_and_brought_back(shop: Shop, pack: str) -> None:
    log(shop, pack)
    (stored,) = shop.stored("slip_tests")
    aside = f"/tests/{stored.id}/put-aside"
    answer = shop.send(aside, boxes(shop.get(f"/tests/{stored.id}"), aside))
    assert answer.headers["location"] == "/tests"
    assert f'action="/tests/{stored.id}/bring-back"' in shop.get("/tests")
    assert "run 01" in shop.get("/tests/put-aside")
    shop.get(f"/tests/{stored.id}", 404)
    shop.send(f"/tests/{stored.id}/bring-back", {})
    assert "run 01" in shop.get("/tests")


def test_runs_of_a_pack_that_was_put_aside_are_still_there(shop: Shop, pack: str) -> None:
    log(shop, pack)
    (stored,) = shop.stored("slip_tests")
    shop.send(f"/packs/{pack}/put-aside", {"version": "1"})
    text = shop.get("/tests")
    assert "Six springs, run 01" in text
    assert "not known" in text
    page = shop.get(f"/tests/{stored.id}")
    assert "The pack was put aside; its runs stay." in page
    assert f'href="/packs/{pack}"' not in page


def test_the_csv_has_every_run_and_is_inert(shop: Shop, pack: str) -> None:
    log(shop, pack, notes="=cmd()", by="@ann")
    log(shop, pack, lubrication="dry")
    answer = shop.client.get("/tests/export.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert answer.headers["cache-control"] == "no-store"
    assert "\"'=cmd()\"" in answer.text
    rows = list(csv.DictReader(io.StringIO(answer.text.removeprefix("\ufeff"))))
    assert len(rows) == 2
    assert rows[1]["readings_N_m"] == "42; 41..44; >=60"
    assert rows[1]["by"] == "'@ann"
    assert (rows[1]["springs_fitted"], rows[1]["pack_name"]) == ("6", "Six springs")
    assert len(list(csv.DictReader(
        io.StringIO(shop.client.get("/tests/export.csv?lubrication=dry").text)))) == 1


def test_what_was_typed_is_shown_as_text_everywhere(shop: Shop, pack: str) -> None:
    nasty = '"><img src=x onerror=alert(1)>{{7*7}}'
    log(shop, pack, notes=nasty, by=nasty, excluded="yes", excluded_reason=nasty)
    (stored,) = shop.stored("slip_tests")
    for path in ("/tests", f"/tests/{stored.id}", f"/tests/{stored.id}/edit",
                 f"/tests/fit/{pack}?lubrication=oiled&friction=sliding"):
        text = shop.get(path)
        assert "<img src=x" not in text
        assert "49" not in text.replace("8049", "") or "{{7*7}}" in text


def test_a_run_needs_what_it_tells_of(shop: Shop, pack: str) -> None:
    path = "/tests/new"
    typed = shop.form(path) | RUN
    answer = shop.send(path, typed | {"pack": "", "friction": ""})
    assert answer.status_code == 422
    assert "Say which pack was tested." in answer.text
    assert "at the first slip, or sliding" in answer.text
