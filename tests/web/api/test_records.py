"""Records by JSON: listed, read, added, changed under their version, put aside, brought back."""

from typing import Any

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from tests.web.api.written import (
    CLAMPS,
    ENGINE,
    FACING,
    JSON,
    KINDS,
    LOAD,
    MERGE,
    OFFER,
    PACK,
    add,
    measured,
    names,
    problem,
)


@pytest.mark.parametrize("plural", KINDS)
def test_a_record_is_added_and_read_back(client: TestClient, plural: str) -> None:
    document = KINDS[plural]
    answer = client.post(f"/api/v1/{plural}", json=document)
    assert answer.status_code == 201
    assert answer.headers["etag"] == '"1"'
    record = answer.json()
    assert answer.headers["location"] == f"/api/v1/{plural}/{record['id']}"
    assert record["warnings"] == []
    read = client.get(answer.headers["location"])
    assert read.headers["etag"] == '"1"'
    assert read.json() == {k: v for k, v in record.items() if k != "warnings"}
    for name, value in document.items():
        assert read.json()[name] == value


@pytest.mark.parametrize("kind", sorted(CLAMPS))
def test_every_kind_of_clamp_comes_back_as_it_was_sent(client: TestClient, kind: str) -> None:
    record = add(client, "packs", {**PACK, "clamp": CLAMPS[kind]})
    kept = record["clamp"]
    for group in kept.get("springs", ()):
        group.pop("tester_limit", None)  # the usual one is filled in beside load points
    for name, value in CLAMPS[kind].items():
        if name != "springs":
            assert kept[name] == value
    for sent, group in zip(CLAMPS[kind].get("springs", ()), kept.get("springs", ()), strict=True):
        assert {k: group[k] for k in sent} == sent


def test_a_usual_doubt_is_filled_in_and_marked(client: TestClient) -> None:
    lift = {"value": 1.2, "how": "measured"}
    record = add(client, "packs", {**PACK, "lift_mm": lift})
    assert record["lift_mm"] == {**lift, "plus_minus": 0.05, "default_doubt": True}


def test_unknown_keys_are_answered_with_a_warning(client: TestClient) -> None:
    document = {**PACK, "colour": "red", "clamp": {**LOAD, "weight": 3}, "version": 9}
    record = add(client, "packs", document)
    assert {(w["code"], w["where"]) for w in record["warnings"]} == {
        ("unknown_field", "colour"),
        ("unknown_field", "clamp.weight"),
        ("not_changed", "version"),
    }
    assert "colour" not in record
    assert record["version"] == 1


def test_what_physics_excludes_is_refused_and_nothing_is_stored(client: TestClient) -> None:
    found = problem(
        client.post("/api/v1/packs", json={**PACK, "facing_od_mm": 70, "lift_mm": -1}), 422
    )
    assert {e["path"] for e in found["errors"]} == {"facing_od_mm", "lift_mm"}
    assert client.get("/api/v1/packs").json()["items"] == []


def test_a_name_is_given_once(client: TestClient) -> None:
    add(client, "packs", PACK)
    found = problem(client.post("/api/v1/packs", json={**PACK, "name": "SANDPIPER  six"}), 409)
    assert "already" in found["detail"]


def test_a_request_sent_twice_makes_one_record(client: TestClient) -> None:
    key = {"Idempotency-Key": "7c1f"}
    first = client.post("/api/v1/packs", json=PACK, headers=key)
    again = client.post("/api/v1/packs", json=PACK, headers=key)
    assert again.status_code == 201
    assert again.json()["id"] == first.json()["id"]
    # The same key for another kind of record is another key.
    other = client.post("/api/v1/engines", json=ENGINE, headers=key)
    assert other.status_code == 201
    assert other.json()["name"] == ENGINE["name"]
    assert len(client.get("/api/v1/packs").json()["items"]) == 1
    problem(client.post("/api/v1/packs", json=PACK, headers={"Idempotency-Key": "x" * 201}), 400)


def test_a_whole_document_replaces_the_one_before(client: TestClient) -> None:
    record = add(client, "packs", PACK)
    at = f"/api/v1/packs/{record['id']}"
    answer = client.put(at, json={"name": "Plover"}, headers={"If-Match": '"1"'})
    assert answer.status_code == 200
    assert answer.headers["etag"] == '"2"'
    assert answer.json()["name"] == "Plover"
    assert "clamp" not in answer.json()
    assert client.get(at).json()["version"] == 2


def test_a_record_read_may_be_sent_back_as_it_is(client: TestClient) -> None:
    at = f"/api/v1/packs/{add(client, 'packs', PACK)['id']}"
    read = client.get(at)
    answer = client.put(at, json=read.json(), headers={"If-Match": read.headers["etag"]})
    assert answer.status_code == 200
    assert answer.json()["warnings"] == []
    assert answer.json()["version"] == 1  # nothing differs, nothing is written


def test_a_merge_patch_changes_parts(client: TestClient) -> None:
    document = {**PACK, "lift_mm": {"value": 1.2, "how": "measured", "typed": "1.2 mm"}}
    at = f"/api/v1/packs/{add(client, 'packs', document)['id']}"
    patch = {
        "notes": "plates bedded in",
        "stack_wear_limit_mm": None,
        "lift_mm": {"value": 1.5},
        "clamp": {"force_n": {"plus_minus": 9}},
        "grooved_fraction": 0.2,
    }
    answer = client.patch(at, json=patch, headers={"If-Match": '"1"', "Content-Type": MERGE})
    assert answer.status_code == 200, answer.text
    record = answer.json()
    assert record["version"] == 2
    assert record["notes"] == "plates bedded in"
    assert "stack_wear_limit_mm" not in record
    # The words and the usual doubt belonged to the value before.
    usual = {"value": 1.5, "how": "measured", "plus_minus": 0.05, "default_doubt": True}
    assert record["lift_mm"] == usual
    assert record["clamp"] == {**LOAD, "force_n": measured(900.0, 9.0)}
    assert record["grooved_fraction"] == 0.2
    assert record["name"] == PACK["name"]


def test_a_patched_document_is_checked_whole(client: TestClient) -> None:
    at = f"/api/v1/packs/{add(client, 'packs', PACK)['id']}"
    for patch, path in (
        ({"facing_id_mm": 120}, "facing_od_mm"),
        ({"name": None}, "name"),
        ({"lift_mm": {"std": 0.1}}, "lift_mm"),
        ({"clamp": {"kind": "disc", "thickness_mm": 0}}, "clamp.thickness_mm"),
    ):
        found = problem(client.patch(at, json=patch, headers={"If-Match": '"1"'}), 422)
        assert [e["path"] for e in found["errors"]] == [path], patch
    problem(client.patch(at, json=["a"], headers={"If-Match": '"1"'}), 422)
    assert client.get(at).json()["version"] == 1


def test_a_record_is_put_aside_and_brought_back(client: TestClient) -> None:
    at = f"/api/v1/packs/{add(client, 'packs', PACK)['id']}"
    assert client.delete(at, headers={"If-Match": '"1"'}).status_code == 204
    problem(client.get(at), 404)
    problem(client.delete(at, headers={"If-Match": '"2"'}), 404)
    assert client.get("/api/v1/packs").json()["items"] == []
    aside = client.get("/api/v1/packs?put_aside=true").json()["items"]
    assert [r["name"] for r in aside] == [PACK["name"]]
    assert aside[0]["put_aside_at"]
    answer = client.post(f"{at}/bring-back", headers=JSON)
    assert answer.status_code == 200, answer.text
    assert answer.headers["etag"] == client.get(at).headers["etag"]
    assert len(client.get("/api/v1/packs").json()["items"]) == 1


def test_a_name_given_to_another_meanwhile_stays_there(client: TestClient) -> None:
    at = f"/api/v1/packs/{add(client, 'packs', PACK)['id']}"
    client.delete(at, headers={"If-Match": '"1"'})
    add(client, "packs", PACK)
    problem(client.post(f"{at}/bring-back", headers=JSON), 409)


def test_a_facing_that_packs_name_stays(client: TestClient) -> None:
    facing = add(client, "facings", FACING)
    add(client, "packs", {**PACK, "facing": FACING["name"]})
    at = f"/api/v1/facings/{facing['id']}"
    found = problem(client.delete(at, headers={"If-Match": '"1"'}), 409)
    assert PACK["name"] in found["detail"]


def test_an_offer_names_a_pack_that_is_there(client: TestClient) -> None:
    pack = add(client, "packs", PACK)
    assert add(client, "offers", {**OFFER, "pack": pack["id"]})["pack"] == pack["id"]
    found = problem(client.post("/api/v1/offers", json={"name": "B", "pack": "nowhere222"}), 422)
    assert found["errors"][0]["path"] == "pack"


@pytest.mark.parametrize("method", ["put", "patch", "delete"])
def test_a_change_needs_the_version_that_it_starts_from(client: TestClient, method: str) -> None:
    at = f"/api/v1/packs/{add(client, 'packs', PACK)['id']}"
    change: dict[str, Any] = {} if method == "delete" else {"json": {**PACK, "notes": "mine"}}

    def send(if_match: str | None) -> Response:
        headers = {} if if_match is None else {"If-Match": if_match}
        answer: Response = client.request(method, at, headers=headers, **change)
        return answer

    assert "If-Match" in problem(send(None), 428)["detail"]
    for malformed in ("1", "one", '"1', "", '"1" "2"', "W/1", '*, "1"'):
        problem(send(malformed), 400)
    client.patch(at, json={"notes": "theirs"}, headers={"If-Match": '"1"'})
    for stale in ('"1"', '"0"', '"99999999999999999999"', '"abc"', 'W/"2"', '"1", "3"'):
        found = problem(send(stale), 412)
        assert found["version"] == 2
        assert found["current"]["document"]["notes"] == "theirs"
    assert client.get(at).json()["notes"] == "theirs"
    assert send('"7", "2"').status_code in (200, 204)


def test_any_version_may_be_meant_in_so_many_words(client: TestClient) -> None:
    at = f"/api/v1/packs/{add(client, 'packs', PACK)['id']}"
    client.patch(at, json={"notes": "a"}, headers={"If-Match": '"1"'})
    answer = client.patch(at, json={"notes": "b"}, headers={"If-Match": "*"})
    assert answer.json()["version"] == 3


def test_what_is_held_already_is_not_sent_again(client: TestClient) -> None:
    at = f"/api/v1/packs/{add(client, 'packs', PACK)['id']}"
    for held, status in (('"1"', 304), ('W/"1"', 304), ('"0", "1"', 304), ("*", 304), ('"2"', 200)):
        answer = client.get(at, headers={"If-None-Match": held})
        assert answer.status_code == status
        assert answer.headers["etag"] == '"1"'
    listed = client.get("/api/v1/packs")
    tag = {"If-None-Match": listed.headers["etag"]}
    assert client.get("/api/v1/packs", headers=tag).status_code == 304
    add(client, "packs", {"name": "Another"})
    assert client.get("/api/v1/packs", headers=tag).status_code == 200


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b'{"name": "a", "name": "b"}', 400),
        (b'{"name": "a", "lift_mm": NaN}', 400),
        (b"[" * 50_000, 400),
        (b"\xff", 400),
        (b"[]", 422),
        (b'"name"', 422),
        (b"{}", 422),
        (b'{"name": "a", "lift_mm": 1e400}', 422),
        (b'{"name": "a", "clamp": {"kind": "coil", "springs": {"count": 1}}}', 422),
        (b'{"name": "\\u0000"}', 422),
    ],
)
def test_a_body_that_says_nothing_clear_is_refused(
    client: TestClient, body: bytes, status: int
) -> None:
    found = problem(client.post("/api/v1/packs", content=body, headers=JSON), status)
    assert found["instance"] == "/api/v1/packs"
    record = add(client, "packs", {"name": "kept"})
    at = f"/api/v1/packs/{record['id']}"
    problem(client.put(at, content=body, headers={**JSON, "If-Match": '"1"'}), status)


def test_other_types_of_content_are_refused(client: TestClient) -> None:
    at = f"/api/v1/packs/{add(client, 'packs', PACK)['id']}"
    match = {"If-Match": '"1"'}
    form = {"Content-Type": "application/x-www-form-urlencoded"}
    problem(client.post("/api/v1/packs", content=b"name=a", headers=form), 415)
    problem(client.put(at, content=b"{}", headers={**match, "Content-Type": MERGE}), 415)
    other = {**match, "Content-Type": "application/json-patch+json"}
    answer = client.patch(at, content=b"[]", headers=other)
    problem(answer, 415)
    assert MERGE in answer.headers["accept-patch"]
    problem(client.put(at, content=b"{}", headers=match), 415)


def test_a_change_from_another_site_is_refused(client: TestClient) -> None:
    at = f"/api/v1/packs/{add(client, 'packs', PACK)['id']}"
    foreign = {"Origin": "http://elsewhere.example", "If-Match": '"1"'}
    problem(client.delete(at, headers=foreign), 403)
    problem(client.post("/api/v1/packs", json={"name": "x"}, headers=foreign), 403)
    assert names(client.get("/api/v1/packs")) == [PACK["name"]]


def test_the_whole_life_of_a_record_is_the_same_on_postgresql(
    postgresql_client: TestClient,
) -> None:
    client = postgresql_client
    at = f"/api/v1/packs/{add(client, 'packs', {**PACK, 'clamp': CLAMPS['coil']})['id']}"
    match = {"If-Match": '"1"'}
    assert client.patch(at, json={"notes": "a"}, headers=match).json()["version"] == 2
    problem(client.patch(at, json={"notes": "b"}, headers=match), 412)
    assert (
        client.put(at, json=client.get(at).json(), headers={"If-Match": '"2"'}).json()["version"]
        == 2
    )
    problem(client.post("/api/v1/packs", json=PACK), 409)
    problem(client.get("/api/v1/packs/%00"), 404)
    problem(client.get("/api/v1/packs?q=%00"), 422)
    add(client, "packs", {"name": "Another"})
    first = client.get("/api/v1/packs?limit=1")
    rest = client.get("/api/v1/packs", params={"cursor": first.json()["next"]})
    assert names(first) + names(rest) == ["Another", PACK["name"]]
    add(client, "engines", ENGINE)
    assert len(client.get("/api/v1/board").json()["cells"]) == 2
    assert client.delete(at, headers={"If-Match": '"2"'}).status_code == 204
    assert len(client.get("/api/v1/board").json()["cells"]) == 1
    assert client.post(f"{at}/bring-back", headers=JSON).json()["version"] == 4
