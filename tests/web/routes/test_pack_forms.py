import re

import pytest

from tests.web.routes.boxes import boxes, title
from tests.web.routes.conftest import PACK, Shop


def test_a_record_reopens_as_it_was_typed_and_saving_it_changes_nothing(shop: Shop) -> None:
    address = shop.save("/packs/new", PACK)
    again = shop.form(f"{address}/edit")
    assert {name: again[name] for name in PACK if not name.startswith("stamp")} == {
        name: text for name, text in PACK.items() if not name.startswith("stamp")
    }
    assert shop.save(f"{address}/edit", {"stamp_by": "Ben"}) == address
    (stored,) = shop.stored("packs")
    assert (stored.version, stored.changed_by) == (1, "Ada")


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
        ({"facing_od_mm": "90"}, "inside diameter: write less than the outside diameter, 90 mm"),
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
