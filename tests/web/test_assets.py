import gzip
import re
from importlib import metadata
from pathlib import Path

import pytest
from starlette.requests import Request

from app.settings import PROJECT_ROOT
from app.web.assets import LIBRARIES, Assets, find_library, takes_gzip


@pytest.fixture(scope="module")
def assets() -> Assets:
    return Assets(PROJECT_ROOT / "static")


def test_an_address_changes_with_the_content(tmp_path: Path) -> None:
    file = tmp_path / "a.css"
    addresses = set()
    for text in ("a {}", "b {}"):
        file.write_text(text)
        addresses.add(Assets(tmp_path).address("a.css"))
    assert len(addresses) == 2


def test_a_folder_named_like_a_file_is_sent_as_one_in_the_order_of_names(tmp_path: Path) -> None:
    parts = tmp_path / "css" / "a.css"
    parts.mkdir(parents=True)
    (parts / "2-last.css").write_text("b {}\n")
    (parts / "1-first.css").write_text("a {}\n")
    found = Assets(tmp_path).own
    assert set(found) == {"css/a.css"}
    assert found["css/a.css"].body == b"a {}\nb {}\n"
    assert found["css/a.css"].media_type == "text/css; charset=utf-8"


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
