import re
from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from app.records import database
from app.records.bookkeeping import Change
from app.services.catalogue import packs
from app.services.stored import Context
from tests.factories import make_pack
from tests.web.routes.conftest import ENGINE, PACK, Shop

SCRIPT = '<script>alert(1)</script>"><img src=x onerror=alert(2)>{{7*7}}'


@pytest.fixture
def pack(shop: Shop) -> str:
    return shop.save("/packs/new", PACK)


def newest(shop: Shop) -> int:
    with database.read_session(shop.client.app.state.engine) as session:
        return int(session.scalars(sa.select(sa.func.max(Change.id))).one())


def plain(text: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", text).replace("\u00a0", " ").split())


def test_a_change_shows_who_when_what_and_each_field(shop: Shop, pack: str) -> None:
    shop.save(f"{pack}/edit", {"facing_od_mm": "116", "stamp_by": "Bo", "reason": "misread"})
    text = plain(shop.get("/history"))
    day = datetime.now(UTC).strftime("%Y-%m-%d")
    assert re.search(rf"{day} \d\d:\d\d UTC Bo changed the pack Six springs", text)
    assert "Facing outside diameter 115 ± 0.05 mm · Measured, usual doubt" in text
    assert "became 116 ± 0.05 mm" in text
    assert "misread" in text
    own = plain(shop.get(f"/history/{newest(shop)}"))
    assert "Bo changed the pack Six springs" in own
    assert "Why misread" in own


def test_the_history_of_a_record_is_linked_from_its_page(shop: Shop, pack: str) -> None:
    assert f'href="{pack}/history"' in shop.get(pack)
    engine = shop.save("/engines/new", ENGINE)
    assert f'href="{engine}/history"' in shop.get(engine)
    assert "Single 250" not in shop.get(f"{pack}/history")
    assert "Six springs" in shop.get(f"{pack}/history")
    assert 'href="/settings/history"' in shop.get("/settings")
    shop.get("/settings/history")
    shop.get("/packs/nothing/history", 404)


def test_a_record_that_another_names_stands_there_by_name_with_its_page(
    shop: Shop, pack: str
) -> None:
    offer = shop.save(f"{pack}/offers/new", {"name": "Complete", "price": "120"})
    own = f"{offer.partition('#')[0]}/history" if offer.startswith("/offers") else ""
    lines = shop.get(own or "/history?noun=offer")
    key = re.search(r'href="/history/(\d+)"', lines)[1]
    text = shop.get(f"/history/{key}")
    assert f'<td class="long"><a href="{pack}">Six springs</a></td>' in text
    shop.send(f"{pack}/put-aside", {"version": "1"})
    text = shop.get(f"/history/{key}")
    assert f'<a href="{pack}/history">Six springs (put aside)</a>' in text


def test_what_a_new_catalogue_begins_with_was_put_in_by_the_program(shop: Shop) -> None:
    text = plain(shop.get("/history?noun=facing"))
    assert re.search(r"UTC the program added the facing \w+ 35 fields", text)
    assert "seeded from the published table" in text
    assert "published table added" not in text


def test_it_is_filtered_by_kind_person_and_day(shop: Shop, pack: str) -> None:
    shop.save("/engines/new", ENGINE | {"stamp_by": "Eve"})
    today = datetime.now(UTC).date()
    tomorrow = today + timedelta(days=1)
    for query, packs_shown, engines_shown in (
        ("", True, True),
        ("?noun=pack", True, False),
        ("?by=Eve", False, True),
        (f"?since={today}&until={today}", True, True),
        (f"?since={tomorrow}", False, False),
    ):
        text = shop.get(f"/history{query}")
        assert ("Six springs" in text, "Single 250" in text) == (packs_shown, engines_shown)
    assert "year-month-day" in shop.get("/history?since=yesterday", 422)
    assert "take it out of the address" in shop.get("/history?colour=red", 422)
    assert "whole number" in shop.get("/history?page=0", 422)


def test_one_press_undoes_a_change_and_says_so(shop: Shop, pack: str) -> None:
    shop.save(f"{pack}/edit", {"friction_plates": "7"})
    key = newest(shop)
    assert f'action="/history/{key}/undo"' in shop.get(f"/history/{key}")
    answer = shop.send(f"/history/{key}/undo", {})
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{pack}/history"
    (stored,) = shop.stored("packs")
    assert (stored.document.friction_plates, stored.version) == (6, 3)
    text = plain(shop.get(f"/history/{key}"))
    assert "Undone by" in text
    assert "Undo this change" not in text
    assert "undo of change" in shop.get(f"{pack}/history")


def test_an_undo_over_a_newer_change_shows_both_and_changes_nothing(shop: Shop, pack: str) -> None:
    shop.save(f"{pack}/edit", {"friction_plates": "7", "stamp_by": "Bo"})
    older = newest(shop)
    shop.save(f"{pack}/edit", {"friction_plates": "8", "stamp_by": "Cy"})
    answer = shop.send(f"/history/{older}/undo", {})
    assert answer.status_code == 409
    text = plain(answer.text)
    assert "Nothing was undone" in text
    assert "Cy changed the pack Six springs" in text
    assert "Bo changed the pack Six springs" in text
    assert shop.stored("packs")[0].document.friction_plates == 8


def test_a_pack_put_aside_is_brought_back_from_the_history(shop: Shop, pack: str) -> None:
    shop.send(f"{pack}/put-aside", {"version": "1"})
    assert shop.stored("packs") == []
    assert "put aside the pack" in plain(shop.get(f"{pack}/history"))
    shop.send(f"/history/{newest(shop)}/undo", {})
    assert [s.version for s in shop.stored("packs")] == [3]


def test_an_import_is_undone_as_a_whole_or_not_at_all(shop: Shop) -> None:
    engine = shop.client.app.state.engine
    with database.writing(engine) as session:
        made = [make_pack("A"), make_pack("B")]
        context = Context(batch="batch1", reason="import of packs")
        ids = packs.add_many(session, made, by="Ann", context=context)
    text = plain(shop.get("/history/imports/batch1"))
    assert "2 packs added" in text
    assert "import of packs" in text
    assert 'href="/history/imports/batch1"' in shop.get("/history")
    shop.save(f"/packs/{ids[0]}/edit", {"friction_plates": "9", "stamp_by": "Zoe"})
    answer = shop.send("/history/imports/batch1/undo", {})
    assert answer.status_code == 409
    assert "Zoe changed the pack A" in plain(answer.text)
    assert len(shop.stored("packs")) == 2
    shop.send(f"/history/{newest(shop)}/undo", {})
    assert shop.send("/history/imports/batch1/undo", {}).status_code == 409
    shop.get("/history/imports/nothing", 404)


def test_an_untouched_import_goes_back_by_one_press(shop: Shop) -> None:
    with database.writing(shop.client.app.state.engine) as session:
        context = Context(batch="batch1")
        packs.add_many(session, [make_pack("A"), make_pack("B")], by="Ann", context=context)
    answer = shop.send("/history/imports/batch1/undo", {})
    assert answer.status_code == 303
    assert shop.stored("packs") == []
    assert "2 packs put aside" in plain(shop.get(answer.headers["location"]))
    assert "It was taken back." in shop.get("/history/imports/batch1")


@pytest.mark.parametrize("key", ["99999", "abc", "0x1", "9999999999999999999"])
def test_a_change_that_is_not_there_is_not_found(shop: Shop, key: str) -> None:
    shop.get(f"/history/{key}", 404)
    assert shop.send(f"/history/{key}/undo", {}).status_code == 404


def test_script_in_any_text_is_shown_as_text(shop: Shop) -> None:
    typed = {**PACK, "name": SCRIPT, "notes": SCRIPT, "stamp_by": SCRIPT}
    pack = shop.save("/packs/new", typed)
    shop.save(f"{pack}/edit", {"notes": f"{SCRIPT} again", "reason": SCRIPT})
    key = newest(shop)
    for path in ("/history", f"{pack}/history", f"/history/{key}"):
        text = shop.get(path)
        assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text
        assert "<script>alert" not in text
        assert "<img" not in text
        assert "{{7*7}}" in text
