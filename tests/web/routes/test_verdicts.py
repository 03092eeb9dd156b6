import re

import pytest
import sqlalchemy as sa

from app.comparison import model
from app.errors import StorageUnavailable
from app.records import database
from app.records.database import catalogue_revision
from app.records.verdicts import Verdict, VerdictInput
from app.services import verdicts
from tests.web.routes.conftest import ENGINE, PACK, Shop

SCRIPT = "<script>alert(1)</script>"


@pytest.fixture
def pair(shop: Shop) -> tuple[str, str]:
    pack = shop.save("/packs/new", PACK | {"name": f"Six {SCRIPT}"})
    engine = shop.save("/engines/new", ENGINE)
    return pack.removeprefix("/packs/"), engine.removeprefix("/engines/")


def plain(text: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", text).replace("\u00a0", " ").split())


def count(shop: Shop, table: type[object]) -> int:
    with database.read_session(shop.client.app.state.engine) as session:
        return int(session.scalars(sa.select(sa.func.count()).select_from(table)).one())


def kept(shop: Shop, **form: str) -> str:
    answer = shop.client.post("/verdicts", data=form)
    assert answer.status_code == 303, answer.text[:2000]
    return answer.headers["location"]


def test_an_exported_board_is_kept_as_it_was_shown(shop: Shop, pair: tuple[str, str]) -> None:
    with database.read_session(shop.client.app.state.engine) as session:
        before = catalogue_revision(session)
    answer = shop.client.get("/board.csv?wear=worn&heavy_above=4")
    path = answer.headers["gripledger-verdict"]
    text = plain(shop.get(path))
    assert "1 pack × 1 engine, as it was shown" in text
    assert "oiled, sliding, worn to each pack’s limit" in text
    assert "called heavy above a ratio of 4" in text
    assert "this computer, exported as CSV" in text
    assert re.search(r"Worked out \d{4}-\d\d-\d\d \d\d:\d\d UTC", text)
    assert f"catalogue revision {before}" in text
    assert f"model {model.MODEL_VERSION}" in text
    assert "Nothing: records, limits, model and verdicts are as they were." in text
    with database.read_session(shop.client.app.state.engine) as session:
        assert catalogue_revision(session) == before


def test_a_changed_record_changes_nothing_of_it_and_the_difference_is_told(
    shop: Shop, pair: tuple[str, str]
) -> None:
    path = kept(shop, query="")
    shown = shop.get(path).split('id="shown"')[1].split("</section>")[0]
    shop.save(f"/packs/{pair[0]}/edit", {"friction_plates": "12", "name": "Renamed"})
    text = shop.get(path)
    assert text.split('id="shown"')[1].split("</section>")[0] == shown
    told = plain(text)
    assert "was changed since" in told
    assert "Friction plates 6 → became 12" in told
    assert "Cells that come out otherwise today" in told
    assert f"Six {SCRIPT}" not in text
    assert "&lt;script&gt;" in text


def test_a_record_that_is_gone_is_told_and_the_sheet_stays(
    shop: Shop, pair: tuple[str, str]
) -> None:
    path = kept(shop, pack=pair[0], engine=pair[1], query="unit=lbf_ft")
    shop.send(f"/packs/{pair[0]}/put-aside", {"version": "1"})
    text = plain(shop.get(path))
    assert "is not in use any more" in text
    assert "on Single 250, as it was shown" in text
    assert re.search(r"(Holds|Tight|Slips) [\d.]+ [\d.]+–[\d.]+, .* to fall short", text)


def test_another_model_another_limit_and_another_check_are_told(
    shop: Shop, pair: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    shop.save(f"/packs/{pair[0]}/checked", {"checked_by": "Bea", "checked_at": "2026-11-25"})
    path = kept(shop, query="")
    assert "Bea, 2026-11-25" in shop.get(path)
    monkeypatch.setattr("app.presentation.verdict_page.MODEL_VERSION", "99")
    shop.save("/settings", {"heavy": "5"})
    text = plain(shop.get(path))
    assert f"Model {model.MODEL_VERSION} → 99" in text
    assert "Called heavy above 3 → 5" in text


def test_the_buttons_of_board_cell_and_comparison_keep_what_they_show(
    shop: Shop, pair: tuple[str, str]
) -> None:
    saved = {"name": "Autumn", "query": "", "which": "these", "submission": "x"}
    comparison = shop.client.post("/comparisons/new", data=saved).headers["location"]
    for page in (
        "/?lubrication=dry&order=-name",
        f"/cell/{pair[0]}/{pair[1]}?lubrication=dry&unit=lbf_ft",
        comparison,
    ):
        text = shop.get(page)
        (form,) = re.findall(r'action="/verdicts">(.*?)</form>', text, re.DOTALL)
        typed = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
        typed = {name: value.replace("&amp;", "&") for name, value in typed.items()}
        state = "oiled" if page == comparison else "dry"
        assert f"{state}, sliding, new" in plain(shop.get(kept(shop, **typed)))


def test_documents_are_kept_once_however_often_they_are_shown(
    shop: Shop, pair: tuple[str, str]
) -> None:
    for _ in range(3):
        kept(shop, query="")
    assert (count(shop, Verdict), count(shop, VerdictInput)) == (3, 2)
    text = plain(shop.get("/verdicts"))
    assert "3 kept verdicts found" in text
    assert "kept for print" in text
    assert 'href="/verdicts"' in shop.get("/history")


def test_of_a_very_large_board_the_versions_are_kept(
    shop: Shop, pair: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(verdicts, "MOST_CELLS", 0)
    path = shop.client.get("/board.csv").headers["gripledger-verdict"]
    assert "too large to keep every figure" in shop.get(path)
    shop.save(f"/packs/{pair[0]}/edit", {"friction_plates": "12"})
    assert "is at version 2; version 1 was shown" in plain(shop.get(path))


def test_what_is_not_there_or_cannot_be_read_is_refused(
    shop: Shop, pair: tuple[str, str]
) -> None:
    shop.get("/verdicts/nothing", 404)
    shop.get("/verdicts?page=x", 422)
    for form, status in (
        ({"query": "colour=red"}, 422),
        ({"query": "pack=nothing"}, 422),
        ({"pack": "nothing", "engine": pair[1]}, 404),
        ({"pack": pair[0], "engine": "nothing"}, 404),
    ):
        assert shop.client.post("/verdicts", data=form).status_code == status
    assert count(shop, Verdict) == 0


def test_a_disk_that_takes_nothing_does_not_keep_the_figures_in(
    shop: Shop, pair: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_args: object, **_more: object) -> str:
        raise StorageUnavailable("the disk is full")

    monkeypatch.setattr("app.records.verdict_queries.add_verdict", full)
    answer = shop.client.get("/board.csv")
    assert answer.status_code == 200
    assert "gripledger-verdict" not in answer.headers
    assert answer.content.count(b"\r\n") == 2
