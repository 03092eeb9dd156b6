import re

import pytest
from markupsafe import escape

from app.documents import Coil
from tests.web.routes.boxes import boxes, title
from tests.web.routes.conftest import ENGINE, PACK, Shop

STRANGE = {
    "a script": "<script>alert(1)</script>",
    "an image": '"><img src=x onerror=alert(1)>',
    "a template": "{{7*7}}",
    "an address": "javascript:alert(1)",
    "an attribute": '" hx-get="/about" hx-trigger="load',
}


def test_an_empty_list_says_what_to_do_first(shop: Shop) -> None:
    text = shop.get("/packs")
    assert "No pack is recorded yet" in text
    assert 'href="/packs/new"' in text


def test_a_pack_goes_from_the_form_to_its_page_as_typed_and_converted(shop: Shop) -> None:
    address = shop.save("/packs/new", PACK)
    text = shop.get(address).replace("\u00a0", " ")
    assert "Pack saved." in text
    assert "3 3/4 in (95.2 ± 1.9 mm)" in text
    assert "1 1/2 in (38.1 ± 0.05 mm)" in text
    assert "100 lbf/in" in text
    assert "Measured, usual doubt · Ada · 2026-11-24" in text
    (stored,) = shop.stored("packs")
    assert stored.created_by == "Ada"
    assert isinstance(stored.document.clamp, Coil)
    assert stored.document.clamp.springs[0].free_length_mm.value == 38.1
    assert stored.document.own_friction()["oiled", "sliding"].value == 0.12


def test_a_name_is_enough_and_the_page_says_what_is_missing(shop: Shop) -> None:
    text = shop.get(shop.save("/packs/new", {"name": "Bare"}))
    assert "Missing for a torque figure" in text
    assert "/edit#f-facing-od-mm" in text
    assert "not known" in text


def test_an_unusual_figure_is_saved_with_a_caution_on_the_page(shop: Shop) -> None:
    address = shop.save("/packs/new", PACK | {"friction.oiled.sliding": "0.9"})
    text = shop.get(address)
    assert "1 figure is unusual" in text
    assert "Friction coefficient is usually between" in text
    assert "<strong>Caution.</strong> One figure is unusual." in shop.get(address)


def test_putting_aside_offers_undo_and_a_list_to_bring_back_from(shop: Shop) -> None:
    address = shop.save("/packs/new", PACK)
    typed = boxes(shop.get(address), f"{address}/put-aside")
    answer = shop.send(f"{address}/put-aside", typed)
    assert answer.headers["location"] == "/packs"
    assert f'action="{address}/bring-back"' in shop.get("/packs")
    assert "Six springs" in shop.get("/packs/put-aside")
    assert shop.client.get(address).status_code == 404
    assert shop.send(f"{address}/bring-back", {}).status_code == 303
    assert "is in use again" in shop.get(address)


def test_the_verdict_against_every_engine_leads_to_its_cell(shop: Shop) -> None:
    engine = shop.save("/engines/new", ENGINE).removeprefix("/engines/")
    address = shop.save("/packs/new", PACK)
    pack = address.removeprefix("/packs/")
    text = shop.get(address)
    assert f'href="/cell/{pack}/{engine}"' in text
    assert re.search(r'class="verdict (holds|tight|slips)"', text)
    assert "How a verdict is reached." in text
    assert f'href="/cell/{pack}/{engine}"' in shop.get(f"/engines/{engine}")


def test_the_list_is_searched_filtered_ordered_and_refuses_what_it_does_not_know(
    shop: Shop,
) -> None:
    shop.save("/packs/new", PACK)
    shop.save("/packs/new", {"name": "Bare"})
    assert "2 packs found" in shop.get("/packs")
    assert "1 pack found" in shop.get("/packs?q=springs")
    assert "1 pack found" in shop.get("/packs?mounting=geared&clamp=coil")
    assert "0 packs found" in shop.get("/packs?clamp=disc")
    down = shop.get("/packs?order=-name")
    assert down.index("Six springs") < down.index("Bare")
    for wrong in ("order=best", "mounting=sideways", "page=x", "page=0", "colour=red"):
        assert title(shop.get(f"/packs?{wrong}", 422)).startswith("Error: ")


def test_a_long_list_has_pages_with_their_number_in_the_title(shop: Shop) -> None:
    for n in range(51):
        shop.save("/packs/new", {"name": f"Pack {n:02}"})
    first, second = shop.get("/packs"), shop.get("/packs?page=2")
    assert "page 1 of 2" in title(first)
    assert "page 2 of 2" in title(second)
    assert "Pack 50" not in first
    assert "Pack 50" in second


@pytest.mark.parametrize("text", STRANGE.values(), ids=STRANGE.keys())
def test_strange_text_is_shown_as_text_everywhere(shop: Shop, text: str) -> None:
    names = ("name", "notes", "stamp_by", "stamp_with", "clamp.springs.0.name")
    typed = PACK | dict.fromkeys(names, text)
    address = shop.save("/packs/new", typed)
    pages = [shop.get(path) for path in (address, f"{address}/edit", "/packs", f"{address}/copy")]
    wrong = shop.form("/packs/new") | PACK | dict.fromkeys((*names, "facing_od_mm"), text)
    pages.append(shop.send("/packs/new", wrong).text)
    pages.append(shop.get(f"/packs?q={text[:5]}"))
    mine = shop.form(f"{address}/edit") | {"notes": "x"}
    shop.save(f"{address}/edit", {"notes": f"{text} again"})
    pages.append(shop.send(f"{address}/edit", mine).text)
    for page in pages:
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert 'href="javascript:' not in page
        assert ' hx-get="/about"' not in page
    for page in pages[:4]:
        assert escape(text) in page


def test_the_page_draws_the_stack_and_says_what_the_pack_holds(shop: Shop) -> None:
    text = shop.get(shop.save("/packs/new", PACK))
    assert 'id="drawing"' in text
    assert 'role="img"' in text
    assert "Checks that outrank torque" in text
    assert 'id="chart-wear"' in text
    assert "By displacement class it surely holds" in text
    assert 'href="/classes?pack=' in text


def test_a_bare_pack_says_why_no_class_can_be_told(shop: Shop) -> None:
    text = shop.get(shop.save("/packs/new", {"name": "Bare"}))
    assert "Not known: a figure is missing." in text
    assert 'id="chart-wear"' not in text
