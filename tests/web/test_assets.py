import gzip
import re
from importlib import metadata
from pathlib import Path

import pytest
from starlette.requests import Request
from starlette.testclient import TestClient

from app.settings import PROJECT_ROOT
from app.web.assets import LIBRARIES, Assets, find_library, takes_gzip

OWN = ("css/base.css", "css/tables.css", "css/forms.css", "css/print.css", "js/app.js",
       "js/charts.js", "icon.svg")  # fmt: skip
KEPT = "public, max-age=31536000, immutable"


@pytest.fixture(scope="module")
def assets() -> Assets:
    return Assets(PROJECT_ROOT / "static")


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


def test_an_address_changes_with_the_content(tmp_path: Path) -> None:
    file = tmp_path / "a.css"
    addresses = set()
    for text in ("a {}", "b {}"):
        file.write_text(text)
        addresses.add(Assets(tmp_path).address("a.css"))
    assert len(addresses) == 2


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


def test_libraries_come_from_their_distributions(assets: Assets) -> None:
    for name, (distribution, _) in LIBRARIES.items():
        assert metadata.version(distribution) in assets.address(name)
        assert "site-packages" in str(assets.libraries[name].path)
    with pytest.raises(FileNotFoundError, match="does not hold"):
        find_library("plotly", "plotly/nothing.js")


def test_a_library_is_compressed_once(assets: Assets) -> None:
    file = assets.libraries["htmx.min.js"]
    assert file.packed() is file.packed()
    assert gzip.decompress(file.packed()) == file.path.read_bytes()


def test_none_of_the_libraries_is_committed() -> None:
    for path in (PROJECT_ROOT / "static").rglob("*"):
        assert not re.search(r"htmx|plotly", path.name)


@pytest.mark.parametrize(
    ("header", "taken"),
    [
        ("gzip", True),
        ("br, gzip;q=0.5", True),
        ("*", True),
        ("GZIP", True),
        ("", False),
        ("br", False),
        ("gzip;q=0", False),
        ("gzip; q=0.0, br", False),
    ],
)
def test_only_those_who_read_gzip_get_it(header: str, taken: bool) -> None:
    scope = {"type": "http", "headers": [(b"accept-encoding", header.encode())]}
    assert takes_gzip(Request(scope)) is taken
