import pytest

from app.web.forms.photo_form import MOST_SENT, body_limit
from app.web.guards import DEFAULT_BODY_LIMIT


@pytest.mark.parametrize(
    ("method", "path", "more"),
    [("POST", "/tests/abc234/photos", True), ("POST", "/findings/abc234/photos", True),
     ("PUT", "/tests/abc234/photos", False), ("POST", "/tests/abc234/photos/", False),
     ("POST", "/tests/photos", False), ("POST", "/tests/a/b/photos", False),
     ("POST", "/api/v1/tests/abc/photos", False), ("POST", "/packs/abc/photos", False),
     ("POST", "/tests/abc/photos\n", False)],
)
def test_only_the_addresses_of_photos_take_more(method: str, path: str, more: bool) -> None:
    assert body_limit(method, path, DEFAULT_BODY_LIMIT) == (
        MOST_SENT if more else DEFAULT_BODY_LIMIT)


def test_a_larger_limit_of_the_server_s_own_stands() -> None:
    assert body_limit("POST", "/tests/abc/photos", 2 * MOST_SENT) == 2 * MOST_SENT
