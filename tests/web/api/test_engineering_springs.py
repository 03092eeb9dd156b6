"""Springs of the catalogue in the answer on what would make a pack hold."""

from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.web.api.written import ENGINE, PACK, STATE

CELL: dict[str, Any] = {"pack": PACK, "engine": ENGINE, "state": STATE}


def test_changes_name_springs_of_the_catalogue(client: TestClient) -> None:
    def springs(rate: float, name: str) -> dict[str, Any]:
        group = {
            "count": 6, "free_length_mm": 40, "installed_length_mm": 30, "outside_mm": 15,
            "rate_n_per_mm": rate, "name": name,
        }
        return {"kind": "coil", "springs": [group]}

    kept = {**PACK, "name": "Firm", "clamp": springs(24.0, "Firm set")}
    made = client.post("/api/v1/packs", json=kept)
    assert made.status_code == 201, made.text
    asked = {**CELL, "pack": {**PACK, "clamp": springs(12.0, "own")}}
    now = client.post("/api/v1/evaluate", json=asked).json()["ratio"]["value"]
    answer = client.post("/api/v1/changes", json={**asked, "target_ratio": 1.5 * now}).json()
    (found,) = answer["catalogue_springs"]
    assert (found["name"], found["pack_name"]) == ("Firm set", "Firm")
    assert found["pack"] == made.json()["id"]
    assert found["result_ratio"] == pytest.approx(2.0 * now, rel=1e-12)
    beyond = client.post("/api/v1/changes", json={**asked, "target_ratio": 3.0 * now}).json()
    assert beyond["catalogue_springs"] == []
