"""Slip tests from CSV: a look first, then all or nothing; the same file again changes nothing."""

import re

import pytest

from app.records import database
from app.records.slip_test_queries import change_rows
from tests.web.routes.boxes import boxes, title
from tests.web.routes.conftest import PACK, Shop
from tests.web.routes.test_slip_test_forms import GAUGE, log

HEAD = "pack_name,date,lubrication,friction,springs_fitted,instrument_name,readings_N_m,notes\r\n"
LINE = "Six springs,2026-11-01,oiled,sliding,6,Fish scale,42; 41..44; >=60,\"a\nb\"\r\n"
DRY = "Six springs,2026-11-02,dry,static,,,55.5,\r\n"


@pytest.fixture
def pack(shop: Shop) -> str:
    shop.save("/instruments/new", GAUGE)
    return shop.save("/packs/new", PACK).removeprefix("/packs/")


def look(shop: Shop, text: str, status: int = 200) -> str:
    files = {"file": ("runs.csv", text.encode(), "text/csv")}
    answer = shop.client.post("/tests/import", files=files)
    assert answer.status_code == status, answer.text
    return answer.text


def confirm(shop: Shop, page: str, status: int = 303) -> str:
    typed = boxes(page, "/tests/import/save")
    # As a browser sends a form: line ends of a text area are CR LF.
    typed["text"] = re.sub(r"\r?\n", "\r\n", typed["text"])
    files = {name: (None, text) for name, text in typed.items()}
    answer = shop.client.post("/tests/import/save", files=files)
    assert answer.status_code == status, answer.text
    return answer.text


def test_nothing_is_written_before_the_second_press(shop: Shop, pack: str) -> None:
    page = look(shop, HEAD + LINE + DRY)
    assert "2 new. Nothing is written yet." in page
    assert "Bring in 2 runs" in page
    assert shop.stored("slip_tests") == []
    confirm(shop, page)
    runs = {t.document.date: t for t in shop.stored("slip_tests")}
    first = runs["2026-11-01"].document
    assert [r.kind for r in first.readings] == ["value", "span", "at_least"]
    assert (first.notes, first.pack, first.name) == ("a\nb", pack, "2026-11-01 Six springs, run 01")
    assert runs["2026-11-02"].document.springs_fitted is None
    with database.read_session(shop.client.app.state.engine) as session:
        batches = {change_rows(session, "slip test", t.id, 1)[0]["batch"] for t in runs.values()}
    assert len(batches) == 1
    assert re.fullmatch("csv-[0-9a-f]{12}", batches.pop())


def test_the_same_file_again_changes_nothing(shop: Shop, pack: str) -> None:
    confirm(shop, look(shop, HEAD + LINE + DRY))
    page = look(shop, HEAD + LINE + DRY)
    assert "2 nothing to change" in page
    assert "Bring in" not in page


def test_what_the_log_gives_comes_back_unchanged_and_a_change_is_shown(
    shop: Shop, pack: str
) -> None:
    log(shop, pack, notes="=1+1", by="'quoted")
    log(shop, pack, **{"readings.unit": "lbf·ft"})
    exported = shop.client.get("/tests/export.csv").text
    assert "2 nothing to change" in look(shop, exported)
    changed = exported.replace("42; 41..44; >=60", "43; 41..44; >=60")
    page = look(shop, changed)
    assert "1 changed, 1 nothing to change" in page
    assert "readings: 42; 41–44; at least 60 → 43; 41–44; at least 60" in page
    confirm(shop, page)
    first = next(t for t in shop.stored("slip_tests") if t.name.endswith("01"))
    assert (first.version, first.document.readings[0].torque_nm) == (2, 43.0)
    assert first.document.readings[1].typed == "41", "untouched readings keep their words"
    assert first.document.notes == "=1+1"
    # The file now holds an old version of that run.
    assert "It was changed since: the log has version 2." in look(shop, changed)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (LINE.replace("42;", "64;"), "is 64 a value, or at least 60?"),
        (LINE.replace("42;", "a lot;"), "“a lot” is no reading."),
        (LINE.replace("Six springs", "Nobody"), "There is no pack “Nobody” in use."),
        (LINE.replace("Fish scale", "Nothing"), "There is no instrument “Nothing” in use."),
        (LINE.replace("oiled", "wet"), "Write &#39;dry&#39; or &#39;oiled&#39;."),
        (LINE.replace(",6,", ",six,"), "whole number"),
        (LINE.replace("41..44", "44..41"), "upper end that is not below"),
    ],
)
def test_a_line_that_can_not_be_read_holds_up_the_whole_file(
    shop: Shop, pack: str, text: str, words: str
) -> None:
    page = look(shop, HEAD + text + DRY)
    assert words in page
    assert "1 can&#39;t be read" in page.replace("can't", "can&#39;t")
    assert "/tests/import/save" not in page
    assert shop.stored("slip_tests") == []


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Choose a file, or paste its lines."),
        ("pack_name,colour\r\nA,red\r\n", "The column “colour” is not known."),
        ("date\r\n2026-11-01\r\n", "The column “readings_N_m” is missing."),
        (HEAD, "The file holds only its header."),
        (HEAD + LINE * 501, "more than 500 rows"),
        (HEAD + "x" * 600_000, "bytes"),
    ],
)
def test_a_file_that_is_none_is_refused(shop: Shop, pack: str, text: str, words: str) -> None:
    page = look(shop, text, 422)
    assert words in page
    assert title(page).startswith("Error: ")


def test_lines_that_were_pasted_do_as_well(shop: Shop, pack: str) -> None:
    answer = shop.client.post("/tests/import", files={"text": (None, HEAD + DRY)})
    assert "1 new" in answer.text


def test_a_log_that_changed_since_the_look_is_looked_at_again(shop: Shop, pack: str) -> None:
    page = look(shop, HEAD + DRY)
    confirm(shop, page)
    again = confirm(shop, page, 409)
    assert "The log was changed since you looked" in again
    assert len(shop.stored("slip_tests")) == 1


def test_an_id_twice_or_unknown_is_refused(shop: Shop, pack: str) -> None:
    head = "id," + HEAD
    page = look(shop, head + "abc," + DRY + "abc," + DRY)
    assert "The id abc stands in two lines." in page
    page = look(shop, head + "abc," + DRY)
    assert "There is no slip test abc." in page


def back_of(page: str) -> str:
    found = re.search(r'action="(/imported-tests/[^"]+/bring-back)"', page)
    assert found is not None
    return found[1]


def test_one_press_takes_an_import_back_as_a_whole_and_another_brings_it_again(
    shop: Shop, pack: str
) -> None:
    log(shop, pack)
    (own,) = shop.stored("slip_tests")
    changed = shop.client.get("/tests/export.csv").text.replace("42; 41..44", "43; 41..44")
    confirm(shop, look(shop, changed))
    changed_back = back_of(shop.get("/tests"))
    assert shop.stored("slip_tests")[0].document.readings[0].torque_nm == 43.0
    assert shop.send(changed_back, {}).status_code == 303
    back = shop.stored("slip_tests")[0]
    assert (back.document, back.version) == (own.document, own.version + 2)

    confirm(shop, look(shop, HEAD + LINE + DRY))
    added = back_of(shop.get("/tests"))
    assert len(shop.stored("slip_tests")) == 3
    assert shop.send(added, {}).status_code == 303
    page = shop.get("/tests")
    assert "The slip tests are as they were before." in page
    assert [t.id for t in shop.stored("slip_tests")] == [own.id]
    shop.send(back_of(page), {})
    assert len(shop.stored("slip_tests")) == 3, "an undo can be undone"
    # What was taken back once is not taken back twice, and only slip tests come back here.
    assert shop.send(added, {}).status_code == 409
    assert shop.send("/imported-tests/nothing/bring-back", {}).status_code == 404


def test_an_import_is_not_taken_back_over_somebody_s_newer_save(shop: Shop, pack: str) -> None:
    confirm(shop, look(shop, HEAD + LINE + DRY))
    way_back = back_of(shop.get("/tests"))
    run = shop.stored("slip_tests")[0]
    shop.save(f"/tests/{run.id}/edit", {"notes": "newer"})
    answer = shop.send(way_back, {})
    assert answer.status_code == 409
    assert len(shop.stored("slip_tests")) == 2
