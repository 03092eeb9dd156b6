"""Changing the classes at their address."""

import html
import re

from tests.web.routes.boxes import boxes, title
from tests.web.routes.conftest import PACK, Shop

PATH = "/classes/edit"


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))


def test_the_form_shows_what_is_in_force_beside_what_is_shipped(shop: Shop) -> None:
    page = shop.get(PATH)
    typed = boxes(page, PATH)
    assert (typed["classes.0.cc"], typed["classes.0.low"]) == ("50", "3.5")
    assert typed["bands.four_stroke.high"] == "1400"
    assert "850–1400" in page
    assert f'href="{PATH}"' in shop.get("/classes")


def test_own_classes_make_the_page_and_can_be_given_up_again(shop: Shop) -> None:
    shop.save("/packs/new", PACK)
    typed = {f"classes.{n}.{part}": "" for n in range(2, 14) for part in ("cc", "low", "high")}
    typed |= {"classes.1.cc": "95", "bands.four_stroke.low": "900"}
    assert shop.save(PATH, typed) == "/classes"
    page = text_of(shop.get("/classes"))
    assert "against 2 classes" in page
    assert "900–1400" in page
    assert "Primary ratios of each class: the team's own" in page
    assert shop.save(PATH, {"do": "restore"}) == "/classes"
    page = text_of(shop.get("/classes"))
    assert "against 11 classes" in page
    assert "850–1400" in page


def test_what_cannot_be_is_refused_with_everything_kept(shop: Shop) -> None:
    typed = shop.form(PATH) | {"classes.0.cc": "", "classes.1.low": "9", "classes.2.cc": "125"}
    answer = shop.send(PATH, typed)
    assert answer.status_code == 422
    assert title(answer.text).startswith("Error: ")
    kept = boxes(answer.text, PATH)
    assert (kept["classes.0.cc"], kept["classes.1.low"]) == ("", "9")
    assert "Write this figure too, or clear the row." in answer.text
    # What could be read is told at once, and nothing is made up about the row that could not.
    assert "Write the higher ratio here" in answer.text
    assert "There is a class of 125 cm³ already." in answer.text
    assert "Write a displacement above 0" not in answer.text
    typed |= {"classes.0.cc": "50"}
    answer = shop.send(PATH, typed)
    assert "Write the higher ratio here" in answer.text
    assert "There is a class of 125 cm³ already." in answer.text
    assert 'href="#f-classes-1-high"' in answer.text


def test_a_stale_save_keeps_the_typing_and_can_go_on(shop: Shop) -> None:
    mine = shop.form(PATH) | {"classes.0.cc": "55"}
    shop.save(PATH, {"classes.0.cc": "45"})
    answer = shop.send(PATH, mine)
    assert answer.status_code == 409
    again = boxes(answer.text, PATH)
    assert again["classes.0.cc"] == "55"
    assert shop.send(PATH, again).status_code == 303
    assert shop.form(PATH)["classes.0.cc"] == "55"
