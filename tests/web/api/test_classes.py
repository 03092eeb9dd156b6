"""The displacement classes by JSON: what the page says, refusals as problems, paging."""

import html
import re
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.presentation.class_words import CLAIM_WORDS
from app.records.database import writing
from app.services.seeding import load_demo


@pytest.fixture
def shop(client: TestClient) -> TestClient:
    """A client of the made-up shop."""
    app = client.app
    assert isinstance(app, FastAPI)
    with writing(app.state.engine) as session:
        load_demo(session)
    return client


def read(client: TestClient, query: str = "") -> dict[str, Any]:
    answer = client.get(f"/api/v1/classes?{query}")
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def test_the_offers_pages_tell_the_same_judgement(shop: TestClient) -> None:
    judged = {c["offer"]: c["judgement"] for p in read(shop)["packs"] for c in p["claims"]}
    assert set(judged.values()) == {"supported", "partly", "not supported", "can't tell"}
    for offer, judgement in judged.items():
        page = html.unescape(re.sub(r"<[^>]+>", " ", shop.get(f"/offers/{offer}").text))
        assert f"{CLAIM_WORDS[judgement]} by displacement class" in page


def test_a_supported_claim_lies_within_the_classes_that_are_held(shop: TestClient) -> None:
    answer = read(shop, "wear=worn&factor=1.2")
    sizes = [c["displacement_cc"] for c in answer["classes"]]
    for pack in answer["packs"]:
        for claim in pack["claims"]:
            high = claim["claimed_cc_high"]
            needed = min((s for s in sizes if s >= (high or max(sizes))), default=None)
            held = needed is not None and (pack["whole_cc"] or 0) >= needed
            assert (claim["judgement"] == "supported") == held, pack["name"]


def test_what_a_pack_holds_follows_from_its_figures(shop: TestClient) -> None:
    for query in ("", "kind=two_stroke&factor=1.4", "lubrication=dry"):
        answer = read(shop, query)
        for pack in answer["packs"]:
            if pack["why_not"]:
                continue
            low = pack["capacity_nm"]["low"]
            held = []
            for one in answer["classes"]:
                if low < one[pack["mounting"]]["high_nm"]:
                    break
                held.append(one["displacement_cc"])
            assert pack["whole_cc"] == (held[-1] if held else None), (query, pack["name"])


def test_pages_and_order(shop: TestClient) -> None:
    found = read(shop, "per=5&page=2&order=-capacity")
    assert (found["page"], found["per"], len(found["packs"])) == (2, 5, 5)
    torques = [p["capacity_nm"]["value"] for p in found["packs"]]
    assert torques == sorted(torques, reverse=True)


def test_a_view_that_cannot_be_read_is_a_problem_document(shop: TestClient) -> None:
    answer = shop.get("/api/v1/classes?factor=0&kind=steam")
    assert answer.status_code == 422
    assert {e["path"] for e in answer.json()["errors"]} == {"factor", "kind"}


def test_what_is_held_already_is_not_sent_again(shop: TestClient) -> None:
    tag = shop.get("/api/v1/classes").headers["etag"]
    assert shop.get("/api/v1/classes", headers={"If-None-Match": tag}).status_code == 304
