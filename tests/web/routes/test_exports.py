import json
import re

import pytest

from tests.web.routes.conftest import ENGINE, PACK, Shop

OFFER = {"name": "=cmd()", "price": "39,90", "currency": "eur", "notes": "a;b"}


@pytest.fixture
def stocked(shop: Shop) -> Shop:
    pack = shop.save("/packs/new", PACK)
    shop.save("/engines/new", ENGINE)
    shop.save(f"{pack}/offers/new", OFFER)
    return shop


@pytest.mark.parametrize("name", ["packs", "engines", "offers"])
def test_an_export_is_a_file_that_every_spreadsheet_opens_and_none_runs(
    stocked: Shop, name: str
) -> None:
    answer = stocked.client.get(f"/export/{name}.csv")
    headers = answer.headers
    assert headers["content-type"] == "text/csv; charset=utf-8"
    assert headers["x-content-type-options"] == "nosniff"
    assert re.fullmatch(
        rf'attachment; filename="gripledger-{name}-\d{{4}}-\d\d-\d\d\.csv"',
        headers["content-disposition"],
    )
    body = answer.content
    assert body.startswith(b"\xef\xbb\xbf\"id\",\"version\",\"name\"")
    assert body.count(b"\r\n") == body.count(b"\n") == 2
    assert b',"=' not in body


def test_numbers_stand_bare_to_their_last_digit_and_texts_in_quotes(stocked: Shop) -> None:
    text = stocked.client.get("/export/offers.csv").content.decode("utf-8-sig")
    row = text.splitlines()[1]
    assert ",39.9," in row
    assert '"\'=cmd()"' in row
    packs = stocked.client.get("/export/packs.csv").content.decode("utf-8-sig")
    assert ",0.12," in packs
    assert ",17.512683524647638," in packs


def test_the_variant_with_semicolons_has_decimal_commas(stocked: Shop) -> None:
    text = stocked.client.get("/export/offers.csv?variant=semicolon").text
    assert '"id";"version";"name"' in text
    assert ";39,9;" in text
    stocked.get("/export/offers.csv?variant=tabs", 422)
    stocked.get("/export/offers.csv?colour=red", 422)


def test_what_was_put_aside_is_left_out(stocked: Shop) -> None:
    (pack,) = stocked.stored("packs")
    stocked.send(f"/packs/{pack.id}/put-aside", {"version": "1"})
    assert stocked.client.get("/export/packs.csv").content.count(b"\r\n") == 1


def test_the_metadata_describes_the_very_columns(stocked: Shop) -> None:
    written = json.loads(stocked.get("/export/packs.csv-metadata.json"))
    head = stocked.client.get("/export/packs.csv").content.decode("utf-8-sig").splitlines()[0]
    titles = [column["titles"] for column in written["tableSchema"]["columns"]]
    assert ",".join(f'"{title}"' for title in titles) == head


@pytest.mark.parametrize("name", ["wheels", "pack", "facings"])
def test_other_kinds_are_not_exported(shop: Shop, name: str) -> None:
    shop.get(f"/export/{name}.csv", 404)
    shop.get(f"/export/{name}.csv-metadata.json", 404)
