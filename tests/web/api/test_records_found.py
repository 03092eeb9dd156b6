"""Records by JSON: found by words, in pages that hold still, by their id."""

import base64

import pytest
from starlette.testclient import TestClient

from tests.web.api.written import JSON, KINDS, add, names, problem


def test_a_list_comes_in_pages_that_hold_still(client: TestClient) -> None:
    for n in (3, 1, 4, 0, 2):
        add(client, "packs", {"name": f"Pack {n}"})
    first = client.get("/api/v1/packs?limit=2")
    assert names(first) == ["Pack 0", "Pack 1"]
    add(client, "packs", {"name": "Pack 0b"})
    second = client.get("/api/v1/packs", params={"limit": 2, "cursor": first.json()["next"]})
    assert names(second) == ["Pack 2", "Pack 3"]
    third = client.get("/api/v1/packs", params={"limit": 2, "cursor": second.json()["next"]})
    assert names(third) == ["Pack 4"]
    assert third.json()["next"] is None
    assert names(client.get("/api/v1/packs?order=-name&limit=1")) == ["Pack 4"]


def test_a_list_is_searched_by_words(client: TestClient) -> None:
    for name in ("Grey heron", "Heron small", "Snipe 100 %"):
        add(client, "packs", {"name": name})
    assert names(client.get("/api/v1/packs?q=HERON")) == ["Grey heron", "Heron small"]
    assert names(client.get("/api/v1/packs?q=small heron")) == ["Heron small"]
    assert names(client.get("/api/v1/packs", params={"q": "%"})) == ["Snipe 100 %"]
    assert names(client.get("/api/v1/packs?q=owl")) == []


@pytest.mark.parametrize(
    ("query", "path"),
    [
        ("limit=0", "limit"),
        ("limit=201", "limit"),
        ("limit=two", "limit"),
        ("limit=1e2", "limit"),
        ("limit=99999999999999999999", "limit"),
        ("cursor=nothing", "cursor"),
        ("cursor=%00", "cursor"),
        ("cursor=W10", "cursor"),
        ("order=colour", "order"),
        ("put_aside=perhaps", "put_aside"),
        ("q=%00", "q"),
    ],
)
def test_a_list_that_says_nothing_clear_is_refused(
    reader: TestClient, query: str, path: str
) -> None:
    found = problem(reader.get(f"/api/v1/packs?{query}"), 422)
    assert [e["path"] for e in found["errors"]] == [path]


def test_a_forged_cursor_is_refused(reader: TestClient) -> None:
    for text in (
        '["name", "a", 99999999999999999999999]',
        '["name", "\\ud800", 1]',
        '["name", "a", true]',
        '["name", "a\\u0000", 1]',
        '["-name", "a", 1]',
        '["changed", "2026-01-01T00:00:00", 1]',
        "[" * 3000,
    ):
        cursor = base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")
        for order in ("name", "changed"):
            query = {"cursor": cursor[:1000], "order": order}
            problem(reader.get("/api/v1/packs", params=query), 422)


@pytest.mark.parametrize("plural", KINDS)
@pytest.mark.parametrize("key", ["nowhere222", "1", "%00", "..%2f..", "ä" * 10, "x" * 5000])
def test_an_id_that_is_none_is_not_found(reader: TestClient, plural: str, key: str) -> None:
    at = f"/api/v1/{plural}/{key}"
    problem(reader.get(at), 404)
    problem(reader.put(at, json=KINDS[plural], headers={"If-Match": '"1"'}), 404)
    problem(reader.delete(at, headers={"If-Match": '"1"'}), 404)
    problem(reader.post(f"{at}/bring-back", headers=JSON), 404)
