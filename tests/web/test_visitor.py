import pytest
from starlette.requests import Request

from app.services.sign_in import SignedIn
from app.web.visitor import Visitor, peer, set_visitor, visitor_of


def request(**more: object) -> Request:
    return Request({"type": "http", "path": "/", "query_string": b"", "headers": [], **more})


def test_where_nobody_signs_in_everything_is_open() -> None:
    visitor = Visitor(signs_in=False)
    assert (visitor.inside, visitor.edits, visitor.manages, visitor.name) == (True, True, True, "")


def test_where_one_signs_in_nobody_may_nothing() -> None:
    visitor = Visitor(signs_in=True)
    assert (visitor.inside, visitor.edits, visitor.manages) == (False, False, False)


@pytest.mark.parametrize(
    ("role", "may"),
    [
        ("viewer", (True, False, False)),
        ("editor", (True, True, False)),
        ("admin", (True, True, True)),
    ],
)
def test_each_role_may_what_those_below_may(role: str, may: tuple[bool, ...]) -> None:
    visitor = Visitor(signs_in=True, member=SignedIn("k", "Ada", role, "s"))
    assert (visitor.inside, visitor.edits, visitor.manages) == may
    assert visitor.name == "Ada"


def test_before_the_way_in_a_shared_server_s_visitor_is_nobody() -> None:
    class App:
        class state:  # noqa: N801 - as the framework names it
            require_sign_in = True

    asked = request(app=App())
    assert visitor_of(asked) == Visitor(signs_in=True)
    ada = Visitor(signs_in=True, member=SignedIn("k", "Ada", "admin", "s"))
    set_visitor(asked, ada)
    assert visitor_of(asked) is ada


def test_where_a_request_came_from() -> None:
    assert peer(request(client=("192.0.2.7", 5))) == "192.0.2.7"
    assert peer(request()) == "unknown"
