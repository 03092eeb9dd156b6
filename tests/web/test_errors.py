import re

import pytest
from starlette.testclient import TestClient

from app import errors as facts
from app.web.errors import STATUS, status_of

PAGE_STATUS = {
    "missing": 404,
    "stale": 409,
    "twice": 409,
    "used": 409,
    "wrong": 422,
    "outside": 422,
    "full": 503,
}


@pytest.mark.parametrize(("name", "status"), PAGE_STATUS.items())
def test_a_fact_is_a_page_with_its_sentence(client: TestClient, name: str, status: int) -> None:
    answer = client.get(f"/test/fact/{name}")
    assert answer.status_code == status
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert "<nav" in answer.text


@pytest.mark.parametrize(("name", "status"), {**PAGE_STATUS, "stale": 412}.items())
def test_a_fact_is_a_problem_document_to_a_script(
    client: TestClient, name: str, status: int
) -> None:
    answer = client.get(f"/api/test/fact/{name}")
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    body = answer.json()
    assert body["status"] == status
    assert body["type"] == "about:blank"
    assert body["instance"] == f"/api/test/fact/{name}"
    assert body["detail"]


def test_a_problem_document_names_the_field(client: TestClient) -> None:
    body = client.get("/api/test/fact/wrong").json()
    assert body["errors"] == [{"path": "facing_od_mm", "detail": "Write a number, such as 142."}]


def test_every_fact_has_a_status() -> None:
    kinds = [
        kind
        for kind in vars(facts).values()
        if isinstance(kind, type)
        and issubclass(kind, facts.AppError)
        and kind is not facts.AppError
    ]
    assert set(kinds) == set(STATUS)
    assert status_of(facts.AppError("x"), api=False) == 422


@pytest.mark.parametrize("path", ["/test/fail", "/api/test/fail"])
def test_a_failure_gives_a_reference_and_no_trace(
    client: TestClient, caplog: pytest.LogCaptureFixture, path: str
) -> None:
    answer = client.get(path)
    assert answer.status_code == 500
    reference = answer.headers["gripledger-reference"]
    assert re.fullmatch(r"[0-9A-F]{8}", reference)
    assert reference in answer.text
    for secret in ("secret detail", "Traceback", "RuntimeError", "conftest"):
        assert secret not in answer.text
    assert f"failure {reference}" in caplog.text
    assert "secret detail" in caplog.text


def test_a_page_that_failed_can_be_asked_again(client: TestClient) -> None:
    assert '<a class="button" href="/test/fail">Try again</a>' in client.get("/test/fail").text


def test_unknown_addresses_and_methods_are_said_in_words(client: TestClient) -> None:
    assert "There is nothing at this address" in client.get("/nothing").text
    refused = client.put("/about", headers={"Origin": "http://localhost:8000"})
    assert refused.status_code == 405
    assert refused.headers["allow"] == "GET, HEAD"
    assert "Method Not Allowed" not in refused.text


def test_a_refused_method_is_told_every_method_that_the_address_takes(client: TestClient) -> None:
    # The list and the record each have a route of their own for every method.
    for path, taken in (
        ("/api/v1/packs", "GET, HEAD, POST"),
        ("/api/v1/packs/nowhere222", "DELETE, GET, HEAD, PATCH, PUT"),
        ("/api/v1/evaluate", "POST"),
    ):
        refused = client.request("OPTIONS", path)
        assert (refused.status_code, refused.headers["allow"]) == (405, taken)
        assert refused.json()["detail"] == f"This address takes {taken}."


def test_what_was_typed_in_the_address_is_shown_as_text(client: TestClient) -> None:
    answer = client.get("/<script>alert(1)</script>")
    assert "<script>alert" not in answer.text


def test_a_body_that_does_not_fit_names_the_field(client: TestClient) -> None:
    answer = client.post("/api/v1/evaluate", json={"engine": {"strokes": 3}})
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    assert "engine.strokes" in [error["path"] for error in answer.json()["errors"]]
