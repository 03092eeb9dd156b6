import re

import pytest
from markupsafe import escape

from app.documents import Coil
from app.errors import StorageUnavailable
from app.services.catalogue import Catalogue
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
    assert "1 1/2 in (38.100 ± 0.050 mm)" in text
    assert "100 lbf/in" in text
    assert "Measured, usual doubt · Ada · 2026-11-24" in text
    (stored,) = shop.stored("packs")
    assert stored.created_by == "Ada"
    assert isinstance(stored.document.clamp, Coil)
    assert stored.document.clamp.springs[0].free_length_mm.value == 38.1
    assert stored.document.own_friction()["oiled", "sliding"].value == 0.12


def test_a_record_reopens_as_it_was_typed_and_saving_it_changes_nothing(shop: Shop) -> None:
    address = shop.save("/packs/new", PACK)
    again = shop.form(f"{address}/edit")
    assert {name: again[name] for name in PACK if not name.startswith("stamp")} == {
        name: text for name, text in PACK.items() if not name.startswith("stamp")
    }
    assert shop.save(f"{address}/edit", {"stamp_by": "Ben"}) == address
    (stored,) = shop.stored("packs")
    assert (stored.version, stored.changed_by) == (1, "Ada")


def test_a_name_is_enough_and_the_page_says_what_is_missing(shop: Shop) -> None:
    text = shop.get(shop.save("/packs/new", {"name": "Bare"}))
    assert "Missing for a torque figure" in text
    assert "/edit#f-facing-od-mm" in text
    assert "not known" in text


def test_two_groups_are_typed_without_script_and_one_is_taken_out(shop: Shop) -> None:
    typed = shop.form("/packs/new") | PACK
    more = shop.send("/packs/new", typed, do="add-group")
    assert more.status_code == 200
    two = boxes(more.text, "/packs/new")
    assert two["clamp.springs.0.free_length_mm"] == "1 1/2 in"
    assert two["clamp.springs.1.free_length_mm"] == ""
    two |= {"clamp.springs.1.count": "6", "clamp.springs.1.free_length_mm": "35"}
    one = boxes(shop.send("/packs/new", two, do="remove-group-0").text, "/packs/new")
    assert one["clamp.springs.0.free_length_mm"] == "35"
    assert "clamp.springs.1.free_length_mm" not in one
    assert shop.stored("packs") == []
    assert shop.send("/packs/new", two).status_code == 303
    (stored,) = shop.stored("packs")
    assert len(stored.document.clamp.springs) == 2


def test_more_rows_of_readings_are_offered_and_kept(shop: Shop) -> None:
    typed = shop.form("/packs/new") | PACK
    head = "clamp.springs.0.load_points"
    typed |= {f"{head}.0.deflection_mm": "5", f"{head}.0.force_n": "90"}
    more = boxes(shop.send("/packs/new", typed, do="more-rows-0").text, "/packs/new")
    assert more[f"{head}.0.force_n"] == "90"
    assert f"{head}.5.force_n" in more
    table = boxes(shop.send("/packs/new", typed, do="more-points").text, "/packs/new")
    assert "clamp.disc_table.points.5.force_n" in table


@pytest.mark.parametrize(
    "text",
    ["1,234", "nan", "inf", "1e400", "1_000", "9**9**9", "0x10", "١٢", "１２", "9" * 10_000],
)
@pytest.mark.parametrize("name", ["facing_od_mm", "friction_plates", "clamp.springs.0.wire_mm"])
def test_what_is_no_number_is_refused_with_everything_kept(
    shop: Shop, name: str, text: str
) -> None:
    answer = shop.send("/packs/new", shop.form("/packs/new") | PACK | {name: text})
    assert answer.status_code == 422
    assert title(answer.text).startswith("Error: ")
    kept = boxes(answer.text, "/packs/new")
    assert kept[name] == text
    assert kept["facing_id_mm"] == "3 3/4 in"
    assert shop.stored("packs") == []


def test_a_refusal_stands_in_the_summary_and_at_its_box_in_the_same_words(shop: Shop) -> None:
    wrong = {"facing_od_mm": "1,234", "clamp.springs.0.wire_mm": "2 N", "name": ""}
    answer = shop.send("/packs/new", shop.form("/packs/new") | PACK | wrong).text
    summary = re.search(r'id="error-summary".*?</ul>', answer, re.DOTALL)
    assert summary is not None
    links = re.findall(r'<a href="#([^"]+)">([^<]+)</a>', summary[0])
    assert [place for place, _ in links] == [
        "f-name",
        "f-facing-od-mm",
        "f-clamp-springs-0-wire-mm",
    ]
    for place, words in links:
        assert f'id="{place}"' in answer
        assert answer.count(words) == 2
    assert "Facing outside diameter: write 1234 or 1.234" in answer


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"facing_od_mm": "90"}, "outside diameter larger than the inside"),
        ({"friction_plates": "0"}, "Friction plates must be a whole number, 1 or more."),
        ({"clamp.springs.0.rate_n_per_mm": "-3"}, "must be more than 0"),
        ({"facing_od_mm": "12 N"}, "the length in mm, cm, m"),
        ({"facing": "unobtainium"}, "There is no facing called"),
    ],
)
def test_what_cannot_be_is_refused(shop: Shop, changed: dict[str, str], words: str) -> None:
    answer = shop.send("/packs/new", shop.form("/packs/new") | PACK | changed)
    assert answer.status_code == 422
    assert words in answer.text.replace("\u00a0", " ")
    assert shop.stored("packs") == []


def test_an_unusual_figure_is_saved_with_a_caution_on_the_page(shop: Shop) -> None:
    address = shop.save("/packs/new", PACK | {"friction.oiled.sliding": "0.9"})
    text = shop.get(address)
    assert "1 figure is unusual" in text
    assert "Friction coefficient is usually between" in text
    assert "<strong>Caution.</strong> One figure is unusual." in shop.get(address)


def test_a_form_sent_twice_makes_one_record(shop: Shop) -> None:
    typed = shop.form("/packs/new") | PACK
    first, second = shop.send("/packs/new", typed), shop.send("/packs/new", typed)
    assert first.headers["location"] == second.headers["location"]
    assert len(shop.stored("packs")) == 1


def test_a_name_that_is_taken_is_refused_at_its_box(shop: Shop) -> None:
    shop.save("/packs/new", PACK)
    answer = shop.send("/packs/new", shop.form("/packs/new") | PACK)
    assert answer.status_code == 422
    assert "There is already a pack called" in answer.text
    assert len(shop.stored("packs")) == 1


def test_a_stale_save_shows_both_versions_keeps_the_typing_and_can_go_on(shop: Shop) -> None:
    address = shop.save("/packs/new", PACK)
    mine = shop.form(f"{address}/edit") | {"facing_od_mm": "117", "notes": "mine"}
    shop.save(f"{address}/edit", {"facing_od_mm": "116", "stamp_by": "Ben"})
    answer = shop.send(f"{address}/edit", mine)
    assert answer.status_code == 409
    assert title(answer.text).startswith("Error: ")
    rows = re.findall(
        r'<tr><th scope="row">([^<]+)</th><td>([^<]*)</td><td>([^<]*)</td></tr>', answer.text
    )
    assert ("Facing outside diameter", "116 mm, measured", "117 mm, measured") in rows
    assert ("Notes", "not known", "mine") in rows
    assert len(rows) == 2
    assert "Saved by Ben" in answer.text
    (stored,) = shop.stored("packs")
    assert (stored.version, stored.document.facing_od_mm.value) == (2, 116.0)
    again = boxes(answer.text, f"{address}/edit")
    assert again["facing_od_mm"] == "117"
    assert shop.send(f"{address}/edit", again).status_code == 303
    (stored,) = shop.stored("packs")
    assert (stored.version, stored.document.facing_od_mm.value) == (3, 117.0)


def test_the_version_in_the_form_counts_and_not_only_the_row(shop: Shop) -> None:
    address = shop.save("/packs/new", PACK)
    typed = shop.form(f"{address}/edit") | {"notes": "once"}
    for version in ("", "0", "7", "x"):
        assert shop.send(f"{address}/edit", typed | {"version": version}).status_code == 409
    assert shop.stored("packs")[0].version == 1


def test_a_copy_fills_the_form_marks_it_and_says_so_in_the_record(shop: Shop) -> None:
    address = shop.save("/packs/new", PACK)
    page = shop.get(f"{address}/copy")
    assert page.count(">copied</span>") >= 4
    typed = boxes(page, f"{address}/copy")
    assert typed["facing_id_mm"] == "3 3/4 in"
    made = shop.send(f"{address}/copy", typed | {"facing_od_mm": "120", "stamp_by": "Ben"})
    assert made.status_code == 303
    copied = next(s for s in shop.stored("packs") if s.name == "Six springs (copy)").document
    assert copied.facing_id_mm.with_what == "copied from Six springs"
    assert copied.facing_id_mm.by == "Ada"
    assert (copied.facing_od_mm.with_what, copied.facing_od_mm.by) == (None, "Ben")


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


def test_the_form_opens_a_decimal_keypad_and_names_units_in_its_labels(shop: Shop) -> None:
    page = shop.get("/packs/new")
    box = re.search(r'<input[^>]*id="f-facing-od-mm"[^>]*>', page)
    assert box is not None
    assert 'inputmode="decimal"' in box[0]
    assert 'type="number"' not in page
    label = re.search(r'for="f-facing-od-mm">(.*?)</label>', page)
    assert label is not None
    assert "in millimetres" in label[1]


def test_the_cautions_of_each_step_stand_in_it_with_their_source(shop: Shop) -> None:
    page = shop.get("/packs/new")
    for words in ("stored energy", "retaining ring", "asbestos", "29 CFR 1910"):
        assert words in page


def test_what_the_database_could_not_take_is_kept_and_said(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_args: object, **_kept: object) -> None:
        raise StorageUnavailable("the disk is full")

    typed = shop.form("/packs/new") | PACK
    monkeypatch.setattr(Catalogue, "add", full)
    answer = shop.send("/packs/new", typed)
    assert answer.status_code == 503
    assert "the disk is full" in answer.text
    assert boxes(answer.text, "/packs/new")["facing_id_mm"] == "3 3/4 in"
