from starlette.requests import Request

from app.web.forms.typed_again import remember, typed_again


def request(query: str = "") -> Request:
    return Request(
        {
            "type": "http",
            "method": "POST",
            "path": "/packs/new",
            "query_string": query.encode(),
            "headers": [(b"host", b"localhost")],
        }
    )


def test_what_was_typed_can_be_read_and_sent_again() -> None:
    asked = request("from=board")
    remember(asked, {"name": "Tern 4", "notes": "", "version": "3", "form_token": "secret"})
    kept = typed_again(asked)
    assert kept is not None
    assert kept.action == "/packs/new?from=board"
    assert list(kept.boxes) == [("name", "Tern 4"), ("notes", ""), ("version", "3")]
    assert list(kept.shown) == [("Name", "Tern 4")]


def test_a_form_with_a_secret_is_shown_nowhere() -> None:
    for name in ("password", "new_password", "code"):
        asked = request()
        remember(asked, {"name": "Ada", name: "horse staple"})
        assert typed_again(asked) is None


def test_without_a_form_there_is_nothing() -> None:
    assert typed_again(request()) is None
    asked = request()
    remember(asked, {})
    assert typed_again(asked) is None
