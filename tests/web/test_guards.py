
import pytest
from fastapi import FastAPI
from hypothesis import given
from hypothesis import strategies as st
from starlette.datastructures import Headers
from starlette.testclient import TestClient
from starlette.types import Message

from app.web.guards import LOOPBACK_NAMES, host_name, is_json, origin_refusal
from tests.apart import run_apart
from tests.web.conftest import LIMIT

OWN = "http://localhost:8000"


@pytest.mark.parametrize(
    "host",
    ["127.0.0.1", "127.0.0.1:8000", "127.0.0.1:1", "localhost", "LOCALHOST:65535", "[::1]:80"],
)
def test_own_names_are_answered_on_any_port(client: TestClient, host: str) -> None:
    assert client.get("/about", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "",
        "gripledger.example",
        "localhost.example",
        "127.0.0.1.example",
        "127.0.0.2",
        "127.0.0.1:80:80",
        "127.0.0.1:8o",
        "user@127.0.0.1",
        "example@127.0.0.1:80",
        "[::1",
        "[::1]x",
        "::1",
        "localhost/",
        "localhost, example",
        "lоcalhost".encode(),  # with a Cyrillic o
    ],
)
def test_foreign_names_get_400_before_any_handler(client: TestClient, host: str | bytes) -> None:
    answer = client.get("/test/fail", headers={"Host": host})
    assert answer.status_code == 400
    assert "Gripledger" in answer.text
    assert "<" not in answer.text


@given(st.text(max_size=40))
def test_host_name_never_widens_the_list(host: str) -> None:
    name = host_name(host)
    if name in LOOPBACK_NAMES:
        bare = host.strip().lower()
        assert bare == name or bare.startswith(name + ":")


@pytest.mark.parametrize(
    ("method", "headers", "status"),
    [
        ("GET", {"sec-fetch-site": "cross-site"}, None),
        ("HEAD", {"origin": "http://evil.example"}, None),
        ("POST", {"sec-fetch-site": "same-origin"}, None),
        ("POST", {"sec-fetch-site": "none"}, None),
        ("POST", {"sec-fetch-site": "same-origin", "origin": OWN}, None),
        ("POST", {"origin": OWN}, None),
        ("POST", {"origin": OWN.upper()}, None),
        ("POST", {"content-type": "application/json"}, None),
        ("POST", {"sec-fetch-site": "cross-site"}, 403),
        ("POST", {"sec-fetch-site": "same-site"}, 403),
        ("POST", {"sec-fetch-site": "same-origin", "origin": "http://evil.example"}, 403),
        ("POST", {"origin": "null"}, 403),
        ("POST", {"origin": "http://localhost:9000"}, 403),
        ("POST", {"origin": "https://localhost:8000"}, 403),
        ("POST", {"origin": "http://evil.example", "content-type": "application/json"}, 403),
        ("POST", {"sec-fetch-site": "cross-site", "content-type": "application/json"}, 403),
        ("POST", {}, 403),
        ("POST", {"content-type": "text/plain"}, 403),
        ("POST", {"content-type": "application/x-www-form-urlencoded"}, 403),
        ("DELETE", {}, 403),
    ],
)
def test_unsafe_requests_say_where_they_come_from(
    method: str, headers: dict[str, str], status: int | None
) -> None:
    refusal = origin_refusal(
        method, "/packs", "http", Headers({"host": "localhost:8000", **headers})
    )
    assert (refusal.status if refusal else None) == status


@pytest.mark.parametrize(
    ("method", "headers", "status"),
    [
        ("POST", {"content-type": "application/json"}, None),
        ("POST", {"content-type": "application/json; charset=utf-8"}, None),
        ("PATCH", {"content-type": "application/merge-patch+json"}, None),
        ("POST", {"content-type": "application/json", "sec-fetch-site": "same-origin"}, None),
        ("DELETE", {}, None),
        ("POST", {}, 415),
        ("POST", {"content-type": "text/plain"}, 415),
        ("POST", {"content-type": "multipart/form-data", "origin": OWN}, 415),
        ("POST", {"content-type": "text/plain", "origin": "http://evil.example"}, 403),
        ("DELETE", {"origin": "http://evil.example"}, 403),
    ],
)
def test_the_interface_takes_json(method: str, headers: dict[str, str], status: int | None) -> None:
    refusal = origin_refusal(
        method, "/api/v1/packs", "http", Headers({"host": "localhost:8000", **headers})
    )
    assert (refusal.status if refusal else None) == status


@pytest.mark.parametrize("kind", ["text/json", "application/jsonx", "json", "application/x+xml"])
def test_what_only_looks_like_json_is_none(kind: str) -> None:
    assert not is_json(kind)


def test_a_refused_post_is_logged(client: TestClient, caplog: pytest.LogCaptureFixture) -> None:
    answer = client.post("/test/echo", data={"a": "1"}, headers={"Origin": "http://evil.example"})
    assert answer.status_code == 403
    assert "nothing was changed" in answer.text
    assert "refused POST /test/echo" in caplog.text


@pytest.mark.parametrize("size", [0, 1, LIMIT])
def test_a_body_within_the_limit_arrives_whole(client: TestClient, size: int) -> None:
    answer = client.post("/test/echo", content=b"x" * size, headers={"Origin": OWN})
    assert answer.text == str(size)


def test_a_body_over_the_limit_is_refused_by_its_declared_length(client: TestClient) -> None:
    answer = client.post("/test/echo", content=b"x" * (LIMIT + 1), headers={"Origin": OWN})
    assert answer.status_code == 413
    assert answer.headers["connection"] == "close"
    assert "4 KiB" in answer.text


def test_a_chunked_body_over_the_limit_is_refused(client: TestClient) -> None:
    def chunks() -> object:
        for _ in range(LIMIT // 512 + 1):
            yield b"x" * 512

    answer = client.post(
        "/api/test/echo",
        content=chunks(),
        headers={"Origin": OWN, "Content-Type": "application/json"},
    )
    assert answer.status_code == 413
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize("declared", ["-1", "1e3", "٣", " "])
def test_a_length_that_is_no_number_is_refused(client: TestClient, declared: str) -> None:
    headers = {"Origin": OWN, "Content-Length": declared.encode()}
    assert client.post("/test/echo", content=b"x", headers=headers).status_code == 413


def test_no_more_than_the_limit_is_read(app: FastAPI) -> None:
    read = 0

    async def receive() -> Message:
        nonlocal read
        read += 1024
        return {"type": "http.request", "body": b"x" * 1024, "more_body": True}

    statuses: list[int] = []

    async def send(message: Message) -> None:
        if message["type"] == "http.response.start":
            statuses.append(message["status"])

    headers = [(b"host", b"localhost"), (b"origin", b"http://localhost")]
    scope = {
        "type": "http",
        "method": "POST",
        "path": "/test/echo",
        "raw_path": b"/test/echo",
        "query_string": b"",
        "scheme": "http",
        "headers": headers,
        "server": ("localhost", 80),
        "client": ("127.0.0.1", 1),
        "http_version": "1.1",
    }
    run_apart(app, scope, receive, send)
    assert statuses == [413]
    assert read == LIMIT + 1024


@pytest.mark.parametrize("path", ["/packs/%00", "/api/v1/packs/a%00b", "/static/%00"])
def test_an_address_that_a_database_would_choke_on_is_not_there(
    client: TestClient, path: str
) -> None:
    assert client.get(path).status_code == 404
