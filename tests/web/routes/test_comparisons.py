import re

import pytest

from app.comparison.model import MODEL_VERSION
from app.records import database
from app.services.catalogue import comparisons, packs
from tests.factories import make_pack
from tests.web.routes.conftest import ENGINE, PACK, Shop

SCRIPT = '<script>alert(1)</script>{{7*7}}'


@pytest.fixture
def two(shop: Shop) -> tuple[str, str, str]:
    """Ids of two packs and an engine."""
    with database.writing(shop.client.app.state.engine) as session:
        first, second = packs.add_many(session, [make_pack("One"), make_pack("Two")], by="Ann")
    engine = shop.save("/engines/new", ENGINE).removeprefix("/engines/")
    return first, second, engine


def kept(shop: Shop) -> list[object]:
    with database.read_session(shop.client.app.state.engine) as session:
        return list(comparisons.page(session).records)


def saved(shop: Shop, query: str, **typed: str) -> str:
    path = f"/comparisons/new?{query}"
    form = {"name": "Autumn", "query": query, "which": "these", "submission": "once"}
    assert shop.get(path)
    answer = shop.client.post("/comparisons/new", data={**form, **typed})
    assert answer.status_code == 303, answer.text[:2000]
    return answer.headers["location"]


def plain(text: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", text).replace("\u00a0", " ").split())


def test_a_board_is_kept_under_a_name_with_its_packs_engines_state_and_limits(
    shop: Shop, two: tuple[str, str, str]
) -> None:
    query = f"lubrication=dry&wear=worn&heavy_above=4&unit=lbf_ft&order=-capacity&pack={two[1]}"
    assert f'href="/comparisons/new?pack={two[1]}"' in shop.get(f"/?pack={two[1]}")
    path = saved(shop, query, notes="for the spring")
    text = plain(shop.get(path))
    assert "Autumn" in text
    assert "for the spring" in text
    assert "dry, sliding, worn to each pack’s limit" in text
    assert "called heavy above a ratio of 4" in text
    assert "Holds: the lower end of the 95 % interval" in text
    assert re.search(r"Worked out \d{4}-\d\d-\d\d \d\d:\d\d UTC", text)
    assert re.search(r"catalogue revision \d+", text)
    assert re.search(rf"Gripledger [\d.]+, model {MODEL_VERSION}\b", text)
    assert "Calculated aid" in text
    assert "nobody yet" in text
    assert "One" not in text.split("What it was worked out from")[1]
    (stored,) = kept(shop)
    assert stored.document.packs == [two[1]]
    assert (stored.document.wear, stored.document.order) == ("worn", "-capacity")


def test_its_link_alone_gives_the_same_board(shop: Shop, two: tuple[str, str, str]) -> None:
    path = saved(shop, f"q=one&unit=lbf_ft&order=margin:{two[2]}", which="filters")
    (href,) = re.findall(r'<a class="button" href="(/\?[^"]*)">Open on the board', shop.get(path))
    assert "q=one" in href
    assert "unit=lbf_ft" in href
    assert f"order=margin:{two[2]}" in href
    assert "1 pack found" in shop.get(href.replace("&amp;", "&"))


def test_what_was_put_aside_since_is_named_and_the_rest_shown(
    shop: Shop, two: tuple[str, str, str]
) -> None:
    path = saved(shop, "")
    shop.send(f"/packs/{two[0]}/put-aside", {"version": "1"})
    text = plain(shop.get(path))
    assert "Put aside since it was saved: One" in text
    assert "Two" in text
    shop.send(f"/packs/{two[1]}/put-aside", {"version": "1"})
    assert "Nothing of it is in use any more." in shop.get(path)


def test_who_checked_the_figures_stands_on_the_sheet(
    shop: Shop, two: tuple[str, str, str]
) -> None:
    path = saved(shop, "")
    shop.save(f"/packs/{two[0]}/checked", {"checked_by": "Bea", "checked_at": "2026-11-25"})
    assert "Bea, 2026-11-25" in shop.get(path)


def test_comparisons_are_listed_renamed_put_aside_and_brought_back(
    shop: Shop, two: tuple[str, str, str]
) -> None:
    assert "No comparison is saved yet" in shop.get("/comparisons")
    path = saved(shop, "lubrication=dry")
    text = plain(shop.get("/comparisons"))
    assert "Autumn 2 packs × 1 engine dry, sliding, new" in text
    assert shop.save(f"{path}/edit", {"name": "Winter"}) == path
    assert "Winter" in shop.get("/comparisons?q=winter")
    mine = shop.form(f"{path}/edit") | {"name": "Mine"}
    shop.save(f"{path}/edit", {"name": "Theirs"})
    answer = shop.send(f"{path}/edit", mine)
    assert answer.status_code == 409
    assert "<td>Theirs</td><td>Mine</td>" in answer.text
    assert "changed the comparison" in shop.get(f"{path}/history")
    answer = shop.send(f"{path}/put-aside", {"version": "3"})
    assert answer.headers["location"] == "/comparisons"
    assert f'action="{path}/bring-back"' in shop.get("/comparisons")
    assert "Theirs" in shop.get("/comparisons/put-aside")
    shop.send(f"{path}/bring-back", {})
    assert "Theirs" in shop.get(path)


def test_what_cannot_be_saved_is_told_with_everything_kept(
    shop: Shop, two: tuple[str, str, str]
) -> None:
    saved(shop, "")
    typed = {"name": "autumn", "query": "", "which": "these", "submission": "two", "notes": "n"}
    answer = shop.client.post("/comparisons/new", data=typed)
    assert answer.status_code == 422
    assert "There is already a comparison called" in answer.text
    assert 'value="autumn"' in answer.text
    answer = shop.client.post("/comparisons/new", data={**typed, "name": " "})
    assert "Write a name" in answer.text
    answer = shop.client.post("/comparisons/new", data={**typed, "query": "colour=red"})
    assert answer.status_code == 422
    assert "is no setting here" in answer.text
    answer = shop.client.post("/comparisons/new", data={**typed, "query": "pack=nothing"})
    assert "There is no pack nothing" in answer.text
    assert len(kept(shop)) == 1


def test_a_form_sent_twice_makes_one(shop: Shop, two: tuple[str, str, str]) -> None:
    assert saved(shop, "") == saved(shop, "")
    assert len(kept(shop)) == 1


def test_script_in_name_and_notes_is_text(shop: Shop, two: tuple[str, str, str]) -> None:
    path = saved(shop, "", name=SCRIPT, notes=SCRIPT)
    for page in (path, "/comparisons", f"{path}/edit", f"{path}/history"):
        assert "<script>alert" not in shop.get(page)
        assert "&lt;script&gt;" in shop.get(page)


def test_comparisons_come_by_json_too(shop: Shop, two: tuple[str, str, str]) -> None:
    saved(shop, f"engine={two[2]}&wear=0.5")
    answer = shop.client.get("/api/v1/comparisons").json()
    (item,) = answer["items"]
    assert (item["name"], item["engines"], item["wear"]) == ("Autumn", [two[2]], 0.5)
    body = {"name": "By script", "packs": [two[0]], "order": f"-margin:{two[2]}", "wear": "worn"}
    made = shop.client.post("/api/v1/comparisons", json=body)
    assert made.status_code == 201
    assert "By script" in shop.get(f"/comparisons/{made.json()['id']}")
    for wrong, path in (
        ({"name": "x", "packs": ["nothing"]}, "packs.0"),
        ({"name": "x", "order": "colour"}, "order"),
        ({"name": "x", "wear": "much"}, "wear"),
        ({"name": "x", "wear": -1}, "wear"),
    ):
        refused = shop.client.post("/api/v1/comparisons", json=wrong)
        assert refused.status_code == 422
        assert [e["path"] for e in refused.json()["errors"]] == [path]


def test_an_empty_catalogue_and_a_stranger_s_address(shop: Shop) -> None:
    shop.get("/comparisons/nothing", 404)
    assert "Save this comparison" in shop.get("/comparisons/new?colour=red")
    shop.save("/packs/new", PACK)
    assert "Save this comparison" in shop.get("/comparisons/new")
