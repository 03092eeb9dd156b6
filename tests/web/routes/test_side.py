"""Packs side by side at their address."""

import html
import re
from collections.abc import Iterator
from urllib.parse import urlencode

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.records.database import read_session, writing
from app.services.seeding import load_demo
from app.services.standing import Standing, standing


@pytest.fixture
def shop(app: FastAPI) -> Iterator[tuple[TestClient, Standing]]:
    with TestClient(app, base_url="http://localhost:8000", follow_redirects=False) as client:
        with writing(app.state.engine) as session:
            load_demo(session)
        with read_session(app.state.engine) as session:
            now = standing(session)
        yield client, now


def address(now: Standing, count: int, *more: tuple[str, str]) -> str:
    return "/side?" + urlencode([("pack", p.public_id) for p in now.packs[:count]] + list(more))


def heads(page: str) -> list[str]:
    row = page.split("<thead>")[1].split("</thead>")[0]
    return [html.unescape(name) for name in re.findall(r"<a [^>]*>([^<]*)</a>", row)]


def test_ticked_packs_stand_side_by_side_with_the_verdicts_in_the_state(
    shop: tuple[TestClient, Standing],
) -> None:
    client, now = shop
    engine = now.engines[0].public_id
    page = client.get(address(now, 3, ("wear", "worn"), ("engine", engine))).text
    assert heads(page) == [p.name for p in now.packs[:3]]
    assert page.count('<td class="cell') == 3
    assert f'href="/cell/{now.packs[0].public_id}/{engine}?wear=worn' in page
    assert "worn to each pack’s limit" in page


def test_only_differences_and_back(shop: tuple[TestClient, Standing]) -> None:
    client, now = shop
    page = client.get(address(now, 2)).text
    (switch,) = re.findall(r'href="(/side\?[^"]*only=differences)"', page)
    some = client.get(html.unescape(switch)).text
    assert 0 < some.count('scope="row"') < page.count('scope="row"')
    assert f'href="{html.escape(address(now, 2))}"' in some


def test_too_few_or_too_many_are_said(shop: tuple[TestClient, Standing]) -> None:
    client, now = shop
    for count in (0, 1):
        answer = client.get(address(now, count))
        assert answer.status_code == 200
        assert "Tick two to five packs" in answer.text
        assert "<table" not in answer.text
    many = client.get(address(now, 7)).text
    assert "The first 5 of 7 packs are shown." in many
    assert len(heads(many)) == 5


def test_the_way_back_is_the_board_as_it_was_left_and_never_elsewhere(
    shop: tuple[TestClient, Standing],
) -> None:
    client, now = shop
    assert 'href="/?q=six"' in client.get(address(now, 2, ("from", "q=six"))).text
    page = client.get(address(now, 2, ("from", "//elsewhere.example/"))).text
    assert '<p class="back no-print"><a href="/">Board</a></p>' in page


def test_what_cannot_be_read_is_refused(shop: tuple[TestClient, Standing]) -> None:
    client, now = shop
    assert client.get(address(now, 2, ("wear", "old"))).status_code == 422
    assert client.get(address(now, 2, ("order", "name"))).status_code == 422
    assert client.get("/side?pack=gone&pack=gone2").status_code == 422


def test_just_these_packs_can_be_saved_kept_and_taken_as_a_file(
    shop: tuple[TestClient, Standing],
) -> None:
    client, now = shop
    page = client.get(address(now, 2, ("wear", "worn"), ("from", "q=six"))).text
    file = html.unescape(re.findall(r'href="(/board\.csv\?[^"]*)"', page)[0])
    asked = file.partition("?")[2]
    assert "from=" not in asked
    answer = client.get(file)
    assert answer.status_code == 200
    inside = [p.name for p in now.packs if p.name in answer.text]
    assert inside == [p.name for p in now.packs[:2]]
    assert f'href="/comparisons/new?{html.escape(asked)}"' in page
    assert client.get(f"/comparisons/new?{asked}").status_code == 200
    assert f'name="query" value="{html.escape(asked)}"' in page
