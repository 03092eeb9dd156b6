"""The description of the interface: whole, sound, and true to what the server does."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.openapi.models import OpenAPI
from starlette.testclient import TestClient

from app.main import create_app
from app.settings import Settings
from app.web.api.openapi import described

METHODS = {"get", "put", "post", "delete", "patch"}


@pytest.fixture
def description(reader: TestClient) -> dict[str, Any]:
    answer = reader.get("/api/v1/openapi.json")
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


def operations(description: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, methods in description["paths"].items():
        for method, operation in methods.items():
            yield path, method, operation


def references(part: Any) -> Iterator[str]:
    if isinstance(part, dict):
        if isinstance(part.get("$ref"), str):
            yield part["$ref"]
        for inner in part.values():
            yield from references(inner)
    elif isinstance(part, list):
        for inner in part:
            yield from references(inner)


def test_it_is_a_document_of_the_standard(description: dict[str, Any]) -> None:
    assert description["openapi"].startswith("3.1")
    assert OpenAPI.model_validate(description).info.title == "Gripledger"


def test_every_reference_leads_somewhere(description: dict[str, Any]) -> None:
    found = set(references(description))
    assert found
    for reference in found:
        here: Any = description
        for step in reference.removeprefix("#/").split("/"):
            here = here[step]


def test_it_names_every_address(reader: TestClient, description: dict[str, Any]) -> None:
    described = {(path, method) for path, method, _ in operations(description)}
    plurals = (
        "packs",
        "engines",
        "facings",
        "offers",
        "slip-tests",
        "instruments",
        "findings",
    )
    expected = {("/api/v1/board", "get"), ("/api/v1/classes", "get")}
    questions = ("evaluate", "spring-rate", "friction-fit", "test-plan", "changes", "launch")
    expected |= {(f"/api/v1/{name}", "post") for name in questions}
    for plural in plurals:
        at = f"/api/v1/{plural}"
        expected |= {(at, "get"), (at, "post"), (f"{at}/{{id}}/bring-back", "post")}
        expected |= {(f"{at}/{{id}}", method) for method in METHODS - {"post"}}
    assert expected <= described
    # And whatever else the server answers at, found by asking it: 405 names what is taken.
    for path, _, _ in operations(description):
        address = re.sub(r"\{\w+\}", "nowhere222", path)
        allowed = reader.request("OPTIONS", address).headers["allow"].lower().split(", ")
        assert {method for p, method in described if p == path} >= set(allowed) & METHODS


def test_every_operation_says_what_it_does(description: dict[str, Any]) -> None:
    seen = set()
    for path, method, operation in operations(description):
        assert operation["summary"], path
        assert len(operation["description"]) > 20, path
        assert operation["operationId"] not in seen
        seen.add(operation["operationId"])
        assert operation["tags"]
        for parameter in operation.get("parameters", ()):
            assert parameter["description"], (path, parameter)
        names = {p["name"] for p in operation.get("parameters", ())}
        assert set(re.findall(r"\{(\w+)\}", path)) <= names
        if method in ("put", "patch", "delete"):
            assert "If-Match" in names


def test_refusals_are_problem_documents(description: dict[str, Any]) -> None:
    for path, method, operation in operations(description):
        answers = operation["responses"]
        expected = {"400", "500"}
        if method in ("put", "patch", "delete"):
            expected |= {"404", "409", "412", "428"}
        if "requestBody" in operation:
            expected |= {"413", "415", "422"}
        assert expected <= set(answers), path
        for status, answer in answers.items():
            if status >= "400":
                assert answer["$ref"] == f"#/components/responses/Problem{status}"
    for response in description["components"]["responses"].values():
        assert list(response["content"]) == ["application/problem+json"]


def test_bodies_and_answers_are_described(description: dict[str, Any]) -> None:
    paths, schemas = description["paths"], description["components"]["schemas"]
    sent = paths["/api/v1/packs"]["post"]["requestBody"]["content"]["application/json"]["schema"]
    assert sent == {"$ref": "#/components/schemas/Pack"}
    assert "name" in schemas["Pack"]["required"]
    assert {"id", "version", "clamp"} <= set(schemas["PackRecord"]["properties"])
    patch = paths["/api/v1/packs/{id}"]["patch"]["requestBody"]["content"]
    assert list(patch) == ["application/merge-patch+json"]
    undescribed = [
        f"{name}.{field}"
        for name in (
            "Pack",
            "Engine",
            "Offer",
            "Facing",
            "SpringGroup",
            "State",
            "SlipTest",
            "TorqueReading",
            "Instrument",
            "Finding",
        )
        for field, about in schemas[name]["properties"].items()
        if field != "kind" and not about.get("description")
    ]
    assert undescribed == []


def test_it_says_how_access_is_kept_safe(description: dict[str, Any]) -> None:
    about = description["info"]["description"]
    for word in ("Host", "Origin", "Sec-Fetch-Site", "If-Match", "Bearer", "slip test"):
        assert word in about
    assert description["security"] == []


def test_a_shared_server_says_that_a_token_is_needed(tmp_path: Any) -> None:
    shared = Settings(data_dir=tmp_path, database_url="", host="192.0.2.10")
    found = described(create_app(shared))
    assert found["components"]["securitySchemes"] == {"token": {"type": "http", "scheme": "bearer"}}
    assert found["security"] == [{"token": []}]
    for _, _, operation in operations(found):
        assert {"401", "403"} <= set(operation["responses"])


def test_it_is_closed_where_the_settings_close_it(tmp_path: Any) -> None:
    app: FastAPI = create_app(Settings(data_dir=tmp_path, database_url="", production=True))
    with TestClient(app, base_url="http://127.0.0.1") as client:
        assert client.get("/api/v1/openapi.json").status_code == 404


@pytest.mark.parametrize("address", ["/docs", "/redoc", "/openapi.json"])
def test_pages_that_load_scripts_from_elsewhere_are_not_there(
    reader: TestClient, address: str
) -> None:
    assert reader.get(address).status_code == 404
