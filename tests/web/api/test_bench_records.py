"""Slip tests, instruments and findings by JSON, as the other records are."""

from typing import Any

from starlette.testclient import TestClient

from tests.web.api.written import PACK


def add(client: TestClient, plural: str, document: dict[str, Any]) -> dict[str, Any]:
    answer = client.post(f"/api/v1/{plural}", json=document)
    assert answer.status_code == 201, answer.text
    record: dict[str, Any] = answer.json()
    return record


def test_a_run_is_added_read_changed_put_aside_and_brought_back(client: TestClient) -> None:
    pack = add(client, "packs", PACK)
    gauge = add(client, "instruments", {"name": "Fish scale", "range_high_nm": 60})
    run = {
        "pack": pack["id"],
        "instrument": gauge["id"],
        "date": "2026-11-20",
        "lubrication": "oiled",
        "friction": "sliding",
        "readings": [{"low_nm": 41, "high_nm": 44}, {"at_least_nm": 60}],
        "oil_on_plates": False,
    }
    made = add(client, "slip-tests", run)
    assert made["name"] == "2026-11-20 Sandpiper six, run 01"
    at = f"/api/v1/slip-tests/{made['id']}"
    patched = client.patch(at, json={"heat": "hot"}, headers={"If-Match": '"1"'})
    assert (patched.status_code, patched.json()["heat"]) == (200, "hot")
    beyond = client.patch(at, json={"readings": [{"torque_nm": 64}]}, headers={"If-Match": '"2"'})
    assert beyond.status_code == 422
    (error,) = beyond.json()["errors"]
    assert error["path"] == "readings.0.as_read"
    assert "is 64 a value, or at least 60?" in error["detail"]
    assert client.delete(at, headers={"If-Match": '"2"'}).status_code == 204
    assert client.get("/api/v1/slip-tests").json()["items"] == []
    assert client.post(f"{at}/bring-back", json={}).status_code == 200
    assert client.get("/api/v1/slip-tests").json()["items"][0]["readings"] == made["readings"]


def test_runs_outlive_their_pack_s_being_put_aside(client: TestClient) -> None:
    pack = add(client, "packs", PACK)
    run = {
        "pack": pack["id"], "lubrication": "dry", "friction": "static",
        "readings": [{"torque_nm": 40}],
    }
    made = add(client, "slip-tests", run)
    found = add(
        client, "findings", {"pack": pack["id"], "check": "damper", "outcome": "bad"}
    )
    client.delete(f"/api/v1/packs/{pack['id']}", headers={"If-Match": '"1"'})
    assert client.get(f"/api/v1/slip-tests/{made['id']}").json()["pack"] == pack["id"]
    assert client.get(f"/api/v1/findings/{found['id']}").json()["pack"] == pack["id"]
