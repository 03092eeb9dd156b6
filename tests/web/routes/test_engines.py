import re

import pytest
from markupsafe import escape

from app.documents import Curve, Measured
from app.settings import Settings
from tests.web.routes.boxes import boxes, title
from tests.web.routes.conftest import CURVE, ENGINE, PACK, Shop, shop_of


def test_an_empty_list_says_what_to_do_first(shop: Shop) -> None:
    text = shop.get("/engines")
    assert "No engine is recorded yet" in text
    assert 'href="/engines/new"' in text


def test_an_engine_goes_from_the_form_to_its_page_with_both_demands(shop: Shop) -> None:
    text = shop.get(shop.save("/engines/new", ENGINE)).replace("\u00a0", " ")
    assert "Engine saved." in text
    assert "10 lb-ft (13.56 ± 0.54 N·m)" in text
    assert "0.25 L (250 ± 1.2 cc)" in text
    assert "Clutch on the crankshaft" in text
    assert "Geared clutch" in text
    assert "T<sub>c</sub> = T i η" in text
    values = re.findall(r'Required torque</dt><dd><span class="readout-value">([0-9.]+)', text)
    crank, geared = map(float, values)
    # 10 lbf·ft is 13.558 N·m; times 1.5 as service factor, and times 60/20 through the gear.
    assert crank == pytest.approx(20.337, abs=0.06)
    assert geared == pytest.approx(61.012, abs=0.06)
    (stored,) = shop.stored("engines")
    assert isinstance(stored.document.torque, Measured)
    assert stored.document.primary_teeth == (20, 60)


def test_a_curve_has_a_chart_a_sentence_and_a_table(shop: Shop) -> None:
    text = shop.get(shop.save("/engines/new", CURVE)).replace("\u00a0", " ")
    assert "The largest torque at the crank is 12.5 N·m at 6000 r/min" in text
    assert '"x": [3000.0, 6000.0, 8000.0]' in text
    assert '<th scope="row" class="num">6000</th><td class="num">12.50</td>' in text
    (stored,) = shop.stored("engines")
    assert isinstance(stored.document.torque, Curve)
    again = shop.form(f"/engines/{stored.id}/edit")
    assert again["torque.curve.points"] == "3000 8.5\n6000 12.5\n8000 10"


def test_without_a_gear_the_geared_demand_says_what_is_missing(shop: Shop) -> None:
    text = shop.get(shop.save("/engines/new", ENGINE | {"driving_teeth": "", "driven_teeth": ""}))
    assert "/edit#f-primary-ratio" in text
    assert "Primary ratio</a>" in text


def test_copy_put_aside_and_bring_back(shop: Shop) -> None:
    address = shop.save("/engines/new", ENGINE)
    made = shop.send(f"{address}/copy", shop.form(f"{address}/copy"))
    assert made.status_code == 303
    assert "copied from Single 250" in shop.get(made.headers["location"])
    aside = boxes(shop.get(address), f"{address}/put-aside")
    shop.send(f"{address}/put-aside", aside)
    assert f'action="{address}/bring-back"' in shop.get("/engines")
    assert "Single 250" in shop.get("/engines/put-aside")
    shop.send(f"{address}/bring-back", {})
    assert "Single 250" in shop.get("/engines")


def test_packs_for_it_are_listed_with_their_verdict(shop: Shop) -> None:
    pack = shop.save("/packs/new", PACK).removeprefix("/packs/")
    address = shop.save("/engines/new", ENGINE)
    text = shop.get(address)
    assert f'href="/cell/{pack}/{address.removeprefix("/engines/")}"' in text
    assert "Six springs" in text
    assert "How a verdict is reached." in text


def test_the_list_is_filtered_and_shows_the_demand(shop: Shop) -> None:
    shop.save("/engines/new", ENGINE)
    shop.save("/engines/new", {"name": "Bare"})
    assert "1 engine found" in shop.get("/engines?strokes=4&torque=measured")
    assert "0 engines found" in shop.get("/engines?strokes=2")
    assert ">61.0</td>" in shop.get("/engines")
    assert title(shop.get("/engines?strokes=3", 422)).startswith("Error: ")


def test_strange_text_is_shown_as_text(shop: Shop) -> None:
    text = '"><script>alert(1)</script>'
    address = shop.save("/engines/new", CURVE | dict.fromkeys(("name", "notes", "stamp_by"), text))
    for path in (address, f"{address}/edit", "/engines"):
        page = shop.get(path)
        assert "<script>alert" not in page
        assert escape(text) in page


def test_saving_and_every_filter_work_on_each_database(settings: Settings) -> None:
    with shop_of(settings) as shop:
        shop.save("/engines/new", CURVE)
        address = shop.save("/packs/new", PACK | {"facing": "paper"})
        assert "1 engine found" in shop.get("/engines?strokes=4&torque=curve&q=single")
        wanted = "mounting=geared&clamp=coil&facing=paper&order=-changed"
        assert "1 pack found" in shop.get(f"/packs?{wanted}")
        mine = shop.form(f"{address}/edit") | {"notes": "mine"}
        shop.save(f"{address}/edit", {"notes": "theirs"})
        assert shop.send(f"{address}/edit", mine).status_code == 409
        shop.save("/settings", {"heavy": "2"})
        assert "No offer is recorded." in shop.get(address)
