from pathlib import Path

import pytest
from starlette.testclient import TestClient

from app.web.assets import LIBRARIES, Assets

OWN = ("css/base.css", "css/board.css", "css/print.css", "js/app.js",
       "js/charts.js", "icon.svg")  # fmt: skip
KEPT = "public, max-age=31536000, immutable"


@pytest.fixture
def assets(client: TestClient) -> Assets:
    found: Assets = client.app.state.assets  # type: ignore[attr-defined]  # the client does not say which application it holds
    return found


@pytest.mark.parametrize("name", [*OWN, *LIBRARIES])
def test_a_file_is_served_at_its_address_for_good(
    client: TestClient, assets: Assets, name: str
) -> None:
    answer = client.get(assets.address(name))
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == KEPT
    assert answer.headers["content-encoding"] == "gzip"
    assert answer.headers["x-content-type-options"] == "nosniff"
    kinds = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
    assert answer.headers["content-type"].startswith(kinds[Path(name).suffix])
    plain = client.get(assets.address(name), headers={"Accept-Encoding": "identity"})
    assert "content-encoding" not in plain.headers
    assert plain.content == answer.content


def test_an_old_or_bare_address_gets_today_s_file_without_a_promise(client: TestClient) -> None:
    for query in ("", "?v=0123456789ab"):
        answer = client.get(f"/static/css/base.css{query}")
        assert answer.status_code == 200
        assert answer.headers["cache-control"] == "no-cache"
        again = client.get(
            f"/static/css/base.css{query}", headers={"If-None-Match": answer.headers["etag"]}
        )
        assert again.status_code == 304
        assert again.content == b""


@pytest.mark.parametrize(
    "path",
    [
        "/static/nothing.css",
        "/static/../pyproject.toml",
        "/static/..%2fpyproject.toml",
        "/static/%2e%2e/templates/base.html",
        "/static/css",
        "/static//etc/passwd",
        "/libraries/0.0.0/plotly.min.js",
        "/libraries/%2e%2e/plotly.min.js",
    ],
)
def test_what_is_not_in_the_table_does_not_exist(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404
