import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.requests import Request

from app.web.ways_back import own_path, sign_in_address


@pytest.mark.parametrize(
    "path", ["/", "/packs", "/packs?q=a%20b&page=2", "/cell/abc/def?state=dry", "/tests/plan"]
)
def test_a_page_of_ours_is_kept_with_its_query(path: str) -> None:
    assert own_path(path) == path


@pytest.mark.parametrize(
    "path",
    [
        "",
        "packs",
        "//evil.example",
        "/\\evil.example",
        "https://evil.example",
        "/a\\b",
        "/a b",
        "/a\r\nb",
        "/\t/evil.example",
        "/é",
        "/" + "x" * 3000,
        "/sign-in?next=/",
        "/sign-out",
        "/setup",
    ],
)
def test_anything_else_is_the_first_page(path: str) -> None:
    assert own_path(path) == "/"


@given(st.text(max_size=40))
def test_no_text_leads_out(text: str) -> None:
    for start in ("", "/", "//", "/\\"):
        found = own_path(start + text)
        assert found.startswith("/")
        assert not found.startswith(("//", "/\\"))
        assert found.isascii()
        assert found.isprintable()


def asked(method: str, path: str, query: str = "", **headers: str) -> Request:
    pairs = [(k.replace("_", "-").encode(), v.encode()) for k, v in headers.items()]
    return Request(
        {
            "type": "http",
            "method": method,
            "path": path,
            "query_string": query.encode(),
            "scheme": "https",
            "headers": [(b"host", b"bench.lan"), *pairs],
        }
    )


@pytest.mark.parametrize(
    ("request_", "address"),
    [
        (asked("GET", "/"), "/sign-in"),
        (asked("GET", "/packs", "q=a&page=2"), "/sign-in?next=%2Fpacks%3Fq%3Da%26page%3D2"),
        # A form that was sent from its own page goes back there; so does a button.
        (asked("POST", "/packs/new"), "/sign-in?next=%2Fpacks%2Fnew"),
        (
            asked("POST", "/packs/x/put-aside", referer="https://bench.lan/packs/x"),
            "/sign-in?next=%2Fpacks%2Fx",
        ),
        (
            asked("POST", "/packs/x/put-aside", referer="https://evil.example/packs/x"),
            "/sign-in?next=%2Fpacks%2Fx%2Fput-aside",
        ),
        # A script's request stands for the page that it was made on.
        (
            asked("GET", "/packs", "q=a", hx_current_url="https://bench.lan/packs?q=b"),
            "/sign-in?next=%2Fpacks%3Fq%3Db",
        ),
        (
            asked("POST", "/packs/new", hx_current_url="https://bench.lan/packs/new"),
            "/sign-in?next=%2Fpacks%2Fnew",
        ),
        (
            asked("POST", "/packs/new", hx_current_url="https://evil.example/x"),
            "/sign-in?next=%2Fpacks%2Fnew",
        ),
    ],
)
def test_the_way_back_is_the_page_that_was_looked_at(request_: Request, address: str) -> None:
    assert sign_in_address(request_) == address
