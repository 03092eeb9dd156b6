"""What the form pages of all records share: one record for one form, nobody's save lost."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.errors import StorageUnavailable
from app.services.catalogue import Catalogue
from tests.web.routes.boxes import boxes, title
from tests.web.routes.conftest import ENGINE, PACK, Shop, open_shop


@pytest.fixture
def shop(sqlite_template: Path, tmp_path: Path) -> Iterator[Shop]:
    with open_shop(sqlite_template, tmp_path) as found:
        yield found


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


def test_the_notice_after_a_change_names_the_verdicts_that_it_turned(shop: Shop) -> None:
    pack, engine = shop.save("/packs/new", PACK), shop.save("/engines/new", ENGINE)
    assert "verdict" not in noticed(shop, pack)
    shop.save(f"{pack}/edit", {"notes": "repainted"})
    assert "Pack saved." in noticed(shop, pack)
    assert "changed:" not in noticed(shop, pack)
    # It asks for 61.0 N·m of 60.4; then for 18.3, of which one plate in six carries 10.1.
    shop.save(f"{engine}/edit", {"torque.measured.torque_nm": "3 lb-ft"})
    assert "Engine saved. 1 verdict changed: Six springs slips → holds." in noticed(shop, engine)
    shop.save(f"{pack}/edit", {"friction_plates": "1", "plain_plates": "2"})
    assert "Pack saved. 1 verdict changed: Single 250 holds → slips." in noticed(shop, pack)


def test_what_a_change_would_turn_is_told_before_it_is_saved(shop: Shop) -> None:
    pack, engine = shop.save("/packs/new", PACK), shop.save("/engines/new", ENGINE)
    assert 'value="look"' not in shop.get("/packs/new")
    versions = [shop.form(f"{path}/edit")["version"] for path in (pack, engine)]

    def looked(path: str, typed: dict[str, str]) -> str:
        answer = shop.send(path, shop.form(path) | typed | {"do": "look"})
        assert answer.status_code == 200
        assert "Nothing is saved yet." in answer.text
        kept = boxes(answer.text, path)
        assert all(kept[name] == text for name, text in typed.items())
        return str(answer.text)

    told = looked(f"{engine}/edit", {"torque.measured.torque_nm": "3 lb-ft"})
    assert "would change 1 verdict:" in told
    assert "<li>Six springs slips → holds</li>" in told
    assert "would change no verdict." in looked(f"{pack}/edit", {"notes": "repainted"})
    assert [shop.form(f"{path}/edit")["version"] for path in (pack, engine)] == versions
    # By the rules of saving, so that what is refused then is refused now.
    shop.save("/packs/new", PACK | {"name": "Other"})
    typed = shop.form(f"{pack}/edit") | {"name": "Other", "do": "look"}
    answer = shop.send(f"{pack}/edit", typed)
    assert answer.status_code == 422
    assert "Nothing is saved yet." not in answer.text
    shop.save(f"{pack}/edit", {"notes": "theirs"})
    old = shop.form(f"{pack}/edit") | {"version": versions[0], "notes": "mine", "do": "look"}
    assert shop.send(f"{pack}/edit", old).status_code == 409
    # The catalogue that is held has not seen what was taken back.
    shop.save(f"{engine}/edit", {"torque.measured.torque_nm": "3 lb-ft"})
    assert "Six springs slips → holds" in noticed(shop, engine)


def noticed(shop: Shop, path: str) -> str:
    """What the page says once after the redirect to it."""
    found = re.search(r'<p role="status">(.*?)</p>', shop.get(path))
    return found[1] if found else ""


def test_a_figure_without_a_word_gets_the_usual_doubt_and_not_none(shop: Shop) -> None:
    for path in ("/packs/new", "/engines/new"):
        assert shop.form(path)["stamp_how"] == "measured"
    typed = {"name": "Plain", "facing_od_mm": "115"}
    address = shop.save("/packs/new", typed)
    (stored,) = shop.stored("packs")
    figure = stored.document.facing_od_mm
    assert (figure.how, figure.plus_minus, figure.default_doubt) == ("measured", 0.05, True)
    # Left alone it keeps what it has; a figure that is new gets the word of its own form.
    shop.save(f"{address}/edit", {"lift_mm": "2", "stamp_how": "listed"})
    (stored,) = shop.stored("packs")
    assert stored.document.facing_od_mm.how == "measured"
    assert stored.document.lift_mm.how == "listed"


def test_nothing_is_said_of_a_figure_where_that_is_chosen(shop: Shop) -> None:
    shop.save("/packs/new", {"name": "Open", "facing_od_mm": "115", "stamp_how": ""})
    (stored,) = shop.stored("packs")
    figure = stored.document.facing_od_mm
    assert (figure.how, figure.plus_minus, figure.default_doubt) == (None, None, False)
