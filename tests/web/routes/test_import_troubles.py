"""Every trouble that a file can have is named with its place and with what would be right."""

import pytest

from tests.web.routes.conftest import ENGINE, PACK, Shop
from tests.web.routes.sent_files import (
    HEAD,
    SCRIPT,
    plain,
    rows_of,
    send,
    taken,
)


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("zzzzzzzzzz,1,A,4,,", "id", "There is no pack with this id"),
        ("{id},9,A,4,,", "version", "at version 1 now, saved by Ada"),
        (",3,A,4,,", "version", "Leave the version blank for a new record"),
        (",,,4,,", "name", "Add name; it is needed here."),
        (",,A,four,,", "friction_plates", "Write a whole number"),
        (",,A,0,,", "friction_plates", "Write 1 or a whole number above it."),
        (",,A,4,\"1,234\",", "lift_mm", "1234 or 1.234"),
        (",,A,4,-1,", "lift_mm", "Write 0 or a number above it."),
        (",,A,4,,0.1", "lift_mm", "Add value; it is needed here."),
        (",,A,4,nan,", "lift_mm", "Write"),
        (",,Six springs,4,,", "name", "There is a pack of this name with other figures"),
    ],
)  # fmt: skip
def test_each_bad_row_names_column_what_was_found_and_what_would_be_right(
    shop: Shop, row: str, column: str, words: str
) -> None:
    key = shop.save("/packs/new", PACK).removeprefix("/packs/")
    path = taken(shop, f"{HEAD}{row.format(id=key)}\r\n")
    text = plain(shop.get(path))
    assert "1 cannot be read" in text
    assert f" {column} " in text
    assert words in text
    assert len(shop.stored("packs")) == 1


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("/board.csv", "This file is a result"),
        ("/shortlist.csv", "Import the packs, engines or offers themselves"),
        ("/tests/export.csv", "“Bring runs in from CSV” takes it"),
    ],
)
@pytest.mark.parametrize("kind", ["", "packs"])
def test_a_file_of_results_is_told_from_one_of_records(
    shop: Shop, path: str, words: str, kind: str
) -> None:
    pack = shop.save("/packs/new", PACK)
    shop.save("/engines/new", ENGINE)
    shop.send("/shortlist/add", {"pack": pack.removeprefix("/packs/")})
    written = shop.client.get(path)
    assert written.status_code == 200
    head = written.content.partition(b"\r\n")[0]
    answer = send(shop, head + b"\r\n" + b"," * head.count(b",") + b"\r\n", kind)
    assert answer.status_code == 422
    assert words in plain(answer.text)
    assert "There is no column" not in answer.text


def test_two_rows_of_one_name_and_a_row_of_a_record_put_aside_are_bad(shop: Shop) -> None:
    key = shop.save("/packs/new", PACK).removeprefix("/packs/")
    shop.send(f"/packs/{key}/put-aside", {"version": "1"})
    path = taken(shop, f"{HEAD},,A,4,,\r\n,,a ,5,,\r\n{key},2,B,4,,\r\n")
    text = plain(shop.get(path))
    assert "Row 2 has this name. Give each its own." in text
    assert "This pack was put aside." in text


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "The file is empty"),
        (b"id,version,name\r\n", "only its header"),
        (b"id,version,name\r\n,,A\x00\r\n", "NUL"),
        ("id,version,name\r\n,,Bj\xf6rn\r\n".encode("cp1252"), "Windows-1252"),
        (b'id,version,name\r\n,,"A\r\n', "never closed"),
        (b"id,version,name\r\n,A\r\n", "Row 2 has 2 cells, the header has 3"),
        (b"id,version,name,name\r\n,,A,A\r\n", "stands twice"),
        (b"id,version,name,colour\r\n,,A,red\r\n", "There is no column “colour”"),
        (b"id,version,name,liftt_mm\r\n,,A,1\r\n", "Is it lift_mm?"),
        (b"id,version,name,facing_od_in\r\n,,A,4\r\n", "This column is facing_od_mm, in mm"),
        (b"id,version,name,lift_cm\r\n,,A,4\r\n", "does not say mm"),
        (b"name,friction_plates\r\nA,4\r\n", "The column “id” is missing"),
        (b"id,version,friction_plates\r\n,,4\r\n", "The column “name” is missing"),
        (b"id,version,name,lift_mm_how\r\n,,A,listed\r\n", "The column “lift_mm” is missing"),
        (b"id,version,name,lift_mm\r\na,1,A,1\r\na,1,B,1\r\n", "The id a stands in row 2 and"),
        (b"id\tversion\tname\r\n\t\tA\r\n", "parted by tabs"),
        (b"id,version,name\r\n" + b",,A\r\n" * 5001, "more than 5000 rows"),
    ],
)
def test_a_file_that_cannot_be_read_is_told_which_trouble_it_has(
    shop: Shop, data: bytes, words: str
) -> None:
    answer = send(shop, data, "packs")
    assert answer.status_code == 422
    assert words in answer.text
    assert "Error: Import" in answer.text
    assert shop.stored("packs") == []
    shop.get("/import")


def test_no_file_an_unknown_kind_and_headings_that_say_nothing_are_told(shop: Shop) -> None:
    assert "Choose a CSV file" in shop.client.post("/import", data={"kind": "packs"}).text
    assert "Choose one of" in send(shop, f"{HEAD},,A,4,,\r\n", "wheels").text
    answer = send(shop, "id,version,name,notes\r\n,,A,x\r\n")
    assert "Choose packs, engines or offers" in answer.text


def test_a_body_over_the_limit_is_refused_before_it_is_read(shop: Shop) -> None:
    limit = shop.client.app.state.settings.body_limit_bytes
    assert f"At most {limit // 1024} KiB and 5000 rows" in shop.get("/import")
    assert send(shop, b"x" * (limit + 1)).status_code == 413


def test_cells_of_another_kind_of_clamp_are_not_lost_in_silence(shop: Shop) -> None:
    data = "id,version,name,clamp.kind,clamp.force_n,clamp.springs.0.count\r\n,,A,load,900,6\r\n"
    text = plain(shop.get(taken(shop, data)))
    assert "clamp.springs.0.count 6 This column does not belong to the kind" in text
    data = "id,version,name,clamp.kind,clamp.force_n\r\n,,A,,900\r\n"
    assert "clamp.kind blank Add kind" in plain(shop.get(taken(shop, data)))


def test_a_facing_or_a_pack_that_is_not_there_is_a_problem_of_its_row(shop: Shop) -> None:
    data = "id,version,name,facing,friction_plates\r\n,,A,cheese,4\r\n,,B,,4\r\n"
    text = plain(shop.get(taken(shop, data)))
    assert "1 cannot be read, 1 new" in text
    assert "2 A facing cheese There is no facing called “cheese”" in text
    data = "id,version,name,pack,price\r\n,,X,nothing,4\r\n"
    assert "There is no pack with this id" in plain(shop.get(taken(shop, data)))


def test_script_in_a_file_is_shown_as_text_in_preview_and_file_of_problems(shop: Shop) -> None:
    cell = '"' + SCRIPT.replace('"', '""') + '"'
    head = "id,version,name,notes,lift_mm\r\n"
    path = taken(shop, f"{head},,{cell},{cell},{cell}\r\n,,=cmd(),@x,-x\r\n", "packs")
    text = shop.get(path)
    assert "&lt;script&gt;" in text
    assert "<script>alert" not in text
    assert "<img src=x" not in text
    assert "{{7*7}}" in text
    made = shop.client.get(f"{path}/problems.csv").content.decode("utf-8-sig")
    assert '"\'=cmd()","\'@x","\'-x"' in made
    again = rows_of(made.encode())
    assert again[0]["notes"] == SCRIPT
