import pytest
from starlette.requests import Request

from app.services.sign_in import SignedIn
from app.web.etag import matched_version, not_modified, page_tag, record_tag
from app.web.notices import COOKIE
from app.web.visitor import Visitor

NOBODY_SIGNS_IN = Visitor(signs_in=False)


def request(query: str = "", **headers: str) -> Request:
    pairs = [(k.replace("_", "-").encode(), v.encode()) for k, v in headers.items()]
    return Request(
        {
            "type": "http",
            "path": "/packs",
            "query_string": query.encode(),
            "headers": [*pairs, (b"host", b"localhost")],
            "visitor": NOBODY_SIGNS_IN,
        }
    )


def test_two_sessions_never_share_a_tag() -> None:
    def tag(**more: object) -> str:
        asked = request()
        asked.scope["visitor"] = Visitor(signs_in=True, **more)
        return page_tag(asked, "0.1", 4)

    viewer, admin = (SignedIn("m", "Ada", role, "s") for role in ("viewer", "admin"))
    tags = {
        page_tag(request(), "0.1", 4),
        tag(member=viewer, form_token="a" * 64),
        tag(member=viewer, form_token="b" * 64),
        tag(member=admin, form_token="a" * 64),
    }
    assert len(tags) == 4


def test_a_tag_changes_with_all_that_the_page_depends_on() -> None:
    base = page_tag(request(), "0.1", 4)
    others = {
        page_tag(request("q=a"), "0.1", 4),
        page_tag(request(), "0.2", 4),
        page_tag(request(), "0.1", 5),
        page_tag(request(), "0.1", 4, "N·m"),
    }
    assert base.startswith('W/"')
    assert len({base, *others}) == 5
    assert page_tag(request(), "0.1", 4) == base


def test_the_same_page_is_not_sent_twice() -> None:
    tag = page_tag(request(), "0.1", 4)
    for held in (tag, f'"x", {tag}', tag.removeprefix("W/"), "*"):
        answer = not_modified(request(if_none_match=held), tag)
        assert answer is not None
        assert answer.status_code == 304
        assert answer.headers["etag"] == tag
    assert not_modified(request(if_none_match='W/"x"'), tag) is None
    assert not_modified(request(), tag) is None


def test_a_waiting_notice_is_always_shown() -> None:
    tag = page_tag(request(), "0.1", 4)
    assert not_modified(request(if_none_match=tag, cookie=f"{COOKIE}=x"), tag) is None


def test_a_record_s_tag_is_its_version() -> None:
    assert matched_version(record_tag(12)) == 12


@pytest.mark.parametrize("header", [None, "", "*", '"a"', '"-1"', '"1.0"', '"٣"'])
def test_what_names_no_version_is_none(header: str | None) -> None:
    assert matched_version(header) is None
