import logging
import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from app.main import create_app
from app.settings import Settings
from app.web.middleware import POLICY, STRICT_TRANSPORT

EVERY = {
    "content-security-policy": POLICY,
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "referrer-policy": "same-origin",
    "x-content-type-options": "nosniff",
}


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/about", 200),
        ("/healthz", 200),
        ("/nothing-here", 404),
        ("/api/nothing-here", 404),
        ("/test/fail", 500),
        ("/test/fact/full", 503),
    ],
)
def test_every_answer_has_the_security_headers(client: TestClient, path: str, status: int) -> None:
    answer = client.get(path)
    assert answer.status_code == status
    assert EVERY.items() <= dict(answer.headers).items()
    assert "server" not in answer.headers


def test_only_over_tls_a_browser_is_told_to_come_no_other_way(
    client: TestClient, tmp_path: Path
) -> None:
    assert "strict-transport-security" not in client.get("/about").headers
    encrypted = Settings(data_dir=tmp_path, tls_cert=tmp_path / "c", tls_key=tmp_path / "k")
    with TestClient(create_app(encrypted), base_url="https://localhost") as other:
        assert other.get("/healthz").headers["strict-transport-security"] == STRICT_TRANSPORT


def test_refusals_by_the_guards_have_them_too(client: TestClient) -> None:
    foreign = client.get("/about", headers={"Host": "evil.example"})
    forged = client.post("/about", data={"a": "b"})
    assert (foreign.status_code, forged.status_code) == (400, 403)
    for answer in (foreign, forged):
        assert EVERY.items() <= dict(answer.headers).items()


def test_the_policy_lets_nothing_inline_run() -> None:
    assert "unsafe" not in POLICY
    assert "script-src 'self'" in POLICY
    assert "default-src 'none'" in POLICY


def test_pages_may_not_be_kept_unasked(client: TestClient) -> None:
    assert client.get("/about").headers["cache-control"] == "private, no-cache"
    assert client.get("/nothing-here").headers["cache-control"] == "no-store"


def test_pages_are_compressed_for_those_who_read_it(client: TestClient) -> None:
    packed = client.get("/about", headers={"Accept-Encoding": "gzip"})
    plain = client.get("/about", headers={"Accept-Encoding": "identity"})
    assert packed.headers["content-encoding"] == "gzip"
    assert "content-encoding" not in plain.headers
    assert packed.text == plain.text
    assert "Accept-Encoding" in plain.headers["vary"]


def test_head_is_answered_like_get(client: TestClient) -> None:
    assert client.head("/about").status_code == 200


@pytest.mark.parametrize("path", ["/docs", "/redoc", "/openapi.json", "/static/", "/static"])
def test_nothing_is_open_that_should_be_shut(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404


def test_a_request_is_one_log_line_without_its_query(
    client: TestClient, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.INFO, "gripledger.requests"):
        client.get("/about?token=secret")
    lines = [record.getMessage() for record in caplog.records]
    assert any(re.fullmatch(r"GET /about 200 [0-9.]+ ms", line) for line in lines)
    assert "secret" not in caplog.text


def test_an_answer_that_breaks_off_is_not_made_to_look_whole(client: TestClient) -> None:
    with pytest.raises(RuntimeError, match="after the first byte"):
        client.get("/test/late")
