"""The teardown's checklist: findings kept one by one, the blank sheet, the link on the pack."""

import pytest

from tests.web.routes.boxes import boxes
from tests.web.routes.conftest import PACK, Shop


@pytest.fixture
def pack(shop: Shop) -> str:
    return shop.save("/packs/new", PACK)


def test_each_answered_question_becomes_a_finding(shop: Shop, pack: str) -> None:
    path = f"{pack}/teardown"
    assert f'href="{path}"' in shop.get(pack)
    assert "Nothing is recorded yet." in shop.get(path)
    typed = {"damper.outcome": "bad", "damper.notes": "locked solid", "by": "Ada",
             "spring_lengths.measured": "31.2 31.0; 30,2 mm"}
    assert shop.save(path, typed) == path
    found = {f.document.check: f.document for f in shop.stored("findings")}
    assert set(found) == {"damper", "spring_lengths"}
    # (31.2 − 30.2)/30.8 = 3.2 %, above 2 %.
    assert found["spring_lengths"].outcome == "watch"
    text = shop.get(path).replace("\u00a0", " ")
    assert "spread 3.2 % of the mean, above 2 %" in text
    assert "the peaks of the engine&#39;s torque reach the plates whole" in text
    assert "common practice" in text


def test_a_form_sent_twice_makes_each_finding_once(shop: Shop, pack: str) -> None:
    path = f"{pack}/teardown"
    typed = shop.form(path) | {"damper.outcome": "good", "oil.outcome": "good"}
    assert {shop.send(path, typed).status_code for _ in range(2)} == {303}
    assert len(shop.stored("findings")) == 2


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({}, "Answer one question at least"),
        ({"damper.notes": "hm"}, "Damper free to move: choose an answer too"),
        ({"spring_lengths.measured": "long"}, "write the free lengths in mm"),
        ({"damper.outcome": "good", "date": "soon"}, "year-month-day"),
        ({"damper.outcome": "fine"}, "choose one of: good, watch, bad."),
    ],
)
def test_what_cannot_be_is_refused_with_everything_kept(
    shop: Shop, pack: str, typed: dict[str, str], words: str
) -> None:
    path = f"{pack}/teardown"
    answer = shop.send(path, shop.form(path) | typed)
    assert answer.status_code == 422
    assert words in answer.text
    kept = boxes(answer.text, path)
    for name, text in typed.items():
        if not name.endswith("outcome"):
            assert kept[name] == text
    assert shop.stored("findings") == []


def test_a_finding_is_put_aside_and_brought_back(shop: Shop, pack: str) -> None:
    path = f"{pack}/teardown"
    shop.save(path, {"damper.outcome": "good"})
    (stored,) = shop.stored("findings")
    aside = f"/findings/{stored.id}/put-aside"
    answer = shop.send(aside, boxes(shop.get(path), aside))
    assert answer.headers["location"] == path
    text = shop.get(path)
    assert "Nothing is recorded yet." in text
    assert f'action="/findings/{stored.id}/bring-back"' in text
    shop.send(f"/findings/{stored.id}/bring-back", {})
    assert "It moves a little and springs back" in shop.get(path)


def test_the_blank_sheet_has_every_question_and_the_cautions(shop: Shop) -> None:
    text = shop.get("/packs/teardown-sheet")
    assert text.count('class="tick"') == 3 * 10
    for words in ("Damper free to move?", "circlip", "stored energy", "asbestos"):
        assert words in text
