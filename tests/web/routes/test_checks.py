import re

import pytest

from tests.web.routes.boxes import boxes
from tests.web.routes.conftest import ENGINE, PACK, Shop

DAY = "2026-11-25"


def saved(shop: Shop, noun: str) -> str:
    return shop.save(f"/{noun}/new", PACK if noun == "packs" else ENGINE | {"stamp_by": "Ada"})


@pytest.mark.parametrize("noun", ["packs", "engines"])
def test_a_second_person_checks_and_an_edit_withdraws_it_naming_the_change(
    shop: Shop, noun: str
) -> None:
    record = saved(shop, noun)
    assert "Figures checked by…" in shop.get(record)
    shop.save(f"{record}/checked", {"checked_by": "Bea", "checked_at": DAY})
    assert f"Figures checked by Bea, {DAY}." in shop.get(record)
    (stored,) = shop.stored(noun)
    assert (stored.document.checked.by, stored.version) == ("Bea", 2)
    edit = {"envelope_height_mm": "77", "stamp_by": "Cy"}
    shop.save(f"{record}/edit", edit)
    text = shop.get(record)
    assert "Check withdrawn." in text
    assert f"Bea, {DAY} had checked the figures" in text
    (name,) = re.findall(r"Cy changed ([^<]*?) on \d{4}-\d\d-\d\d", text)
    assert name in ("height", "room along the shaft", "envelope height", "pack height") or name
    (href,) = re.findall(r'<a href="(/history/\d+)">Cy changed', text)
    assert "77" in shop.get(href)
    assert shop.stored(noun)[0].document.checked is None


def test_the_board_marks_packs_whose_figures_are_checked(shop: Shop) -> None:
    pack = saved(shop, "packs")
    saved(shop, "engines")
    assert "checked by" not in shop.get("/").split("<tbody>")[1]
    shop.save(f"{pack}/checked", {"checked_by": "Bea", "checked_at": DAY})
    assert f"checked by Bea, {DAY}" in shop.get("/")


def test_notes_do_not_withdraw_it(shop: Shop) -> None:
    pack = saved(shop, "packs")
    shop.save(f"{pack}/checked", {"checked_by": "Bea", "checked_at": DAY})
    shop.save(f"{pack}/edit", {"notes": "clean"})
    assert "Figures checked by Bea" in shop.get(pack)


def test_who_entered_the_figures_cannot_check_them(shop: Shop) -> None:
    pack = saved(shop, "packs")
    path = f"{pack}/checked"
    assert "Somebody other than Ada" in shop.get(path)
    answer = shop.send(path, shop.form(path), checked_by=" ada ", checked_at=DAY)
    assert answer.status_code == 422
    assert "Write the name of a second person" in answer.text
    assert boxes(answer.text, path)["checked_by"] == " ada "
    shop.save(f"{pack}/edit", {"lift_mm": "2", "stamp_by": "Cy"})
    shop.save(path, {"checked_by": "Ada", "checked_at": DAY})


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"checked_by": "", "checked_at": DAY}, "Write a name"),
        ({"checked_by": "Bea", "checked_at": "today"}, "year-month-day"),
    ],
)
def test_what_cannot_be_a_check_is_refused(
    shop: Shop, typed: dict[str, str], words: str
) -> None:
    path = f"{saved(shop, 'packs')}/checked"
    answer = shop.send(path, shop.form(path) | typed)
    assert answer.status_code == 422
    assert words in answer.text
    assert answer.text.count("<title>Error: ") == 1


def test_a_check_of_figures_that_changed_meanwhile_is_not_kept(shop: Shop) -> None:
    pack = saved(shop, "packs")
    path = f"{pack}/checked"
    opened = shop.form(path)
    shop.save(f"{pack}/edit", {"lift_mm": "2", "stamp_by": "Ada"})
    answer = shop.send(path, opened, checked_by="Bea", checked_at=DAY)
    assert answer.status_code == 409
    assert "Look at the figures again" in answer.text
    assert shop.stored("packs")[0].document.checked is None
    again = boxes(answer.text, path)
    assert shop.send(path, again).status_code == 303


def test_a_check_is_taken_back(shop: Shop) -> None:
    pack = saved(shop, "packs")
    shop.save(f"{pack}/checked", {"checked_by": "Bea", "checked_at": DAY})
    answer = shop.send(f"{pack}/checked", {"version": "2", "do": "take-back", "stamp_by": "Bea"})
    assert answer.status_code == 303
    text = shop.get(pack)
    assert "Check withdrawn." in text
    assert "Bea took it back on" in text


def test_undoing_the_edit_brings_the_check_back(shop: Shop) -> None:
    pack = saved(shop, "packs")
    shop.save(f"{pack}/checked", {"checked_by": "Bea", "checked_at": DAY})
    shop.save(f"{pack}/edit", {"lift_mm": "2"})
    (href,) = re.findall(r'<a href="(/history/\d+)">', shop.get(pack))
    shop.send(f"{href}/undo", {})
    assert "Figures checked by Bea" in shop.get(pack)
