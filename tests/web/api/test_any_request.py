"""Requests made from the interface's own description, good ones and bad ones: none makes it fail.

Records that are there are asked for and changed too, at the version that they are at, so that
what is made up reaches the database and comes out of it again.
"""

import json
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, seed
from hypothesis import settings as effort
from hypothesis import strategies as st
from schemathesis import Case, GenerationMode
from starlette.testclient import TestClient

from app.main import create_app
from app.settings import Settings
from tests.factories import make_engine_document, make_pack

ADDRESS = "http://127.0.0.1:8000"
EXAMPLES = 4
"""Of each address and method, good and bad each."""

SENT = ("method", "url", "headers", "json", "data", "params")


@pytest.fixture
def client(settings: Settings) -> Iterator[TestClient]:
    """A client of an application on each kind of database in turn."""
    quiet = settings.model_copy(update={"daily_backup": False})
    application = create_app(quiet)
    with TestClient(application, base_url=ADDRESS, raise_server_exceptions=False) as found:
        for path, document in (("packs", make_pack()), ("engines", make_engine_document())):
            made = found.post(f"/api/v1/{path}", json=document.written())
            assert made.status_code == 201, made.text
        yield found


def standing(client: TestClient, path: str) -> tuple[str, int] | None:
    """A record of the list that a record's address is under: its id and version."""
    listed = client.get(path.partition("/{")[0]).json()
    items = listed.get("items", []) if isinstance(listed, dict) else []
    return (items[0]["id"], items[0]["version"]) if items else None


def send(client: TestClient, case: Case) -> Any:
    """Send a request that was made up; a body is sent as its own bytes."""
    made = case.as_transport_kwargs(base_url=ADDRESS)
    sent = {name: made[name] for name in SENT if made.get(name) is not None}
    if isinstance(sent.get("data"), str | bytes):
        sent["content"] = sent.pop("data")
    if made["method"] == "POST":  # without it the guard answers, and no handler is reached
        sent["headers"] = {"Content-Type": "application/json", **sent["headers"]}
    return client.request(**sent)


def modes(operation: Any) -> list[GenerationMode]:
    """Bad requests can be made where something can be got wrong: any text is a good id."""
    parts = operation.definition.raw
    more = "requestBody" in parts or any(
        p["in"] == "query" or (p["in"] == "header" and p.get("required"))
        for p in parts.get("parameters", ())
    )
    return [GenerationMode.POSITIVE, *([GenerationMode.NEGATIVE] if more else [])]


def test_no_request_makes_it_fail(client: TestClient) -> None:
    description = client.get("/api/v1/openapi.json").json()
    schema = schemathesis.openapi.from_dict(description)
    operations = [found.ok() for found in schema.get_all_operations()]
    assert len(operations) > 40
    statuses: Counter[int] = Counter()
    for operation in operations:
        for mode in modes(operation):
            statuses += ask(client, operation, mode)
    assert statuses[200] > 20
    assert statuses[201] > 2
    assert statuses[422] > 30
    assert client.get("/healthz").status_code == 200


def ask(client: TestClient, operation: Any, mode: GenerationMode) -> Counter[int]:
    """Send what was made up for one address and method; how it was answered."""
    statuses: Counter[int] = Counter()

    @seed(1)
    @effort(
        max_examples=EXAMPLES,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(generation_mode=mode), there=st.booleans())
    def one(case: Case, there: bool) -> None:
        record = standing(client, operation.path) if there and "{id}" in operation.path else None
        if record is not None:
            case.path_parameters = {**case.path_parameters, "id": record[0]}
            case.headers["If-Match"] = f'"{record[1]}"'
        answer = send(client, case)
        statuses[answer.status_code] += 1
        told = f"{case.method} {operation.path}: {answer.status_code} {answer.text[:500]}"
        assert answer.status_code < 500, told
        assert str(answer.status_code) in operation.definition.raw["responses"], told
        if answer.status_code >= 400:
            assert answer.headers["content-type"] == "application/problem+json", told
            assert json.loads(answer.text)["status"] == answer.status_code

    one()
    return statuses
