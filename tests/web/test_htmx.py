import json

import pytest
from starlette.requests import Request

from app.web.htmx import HTMX_CONFIG, is_htmx, redirect
from app.web.notices import COOKIE, Notice


def request(**headers: str) -> Request:
    pairs = [(k.replace("_", "-").encode(), v.encode()) for k, v in headers.items()]
    return Request({"type": "http", "headers": pairs})


def test_a_browser_is_sent_on_with_303() -> None:
    answer = redirect(request(), "/packs/7", Notice("Pack saved."))
    assert answer.status_code == 303
    assert answer.headers["location"] == "/packs/7"
    assert COOKIE in answer.headers["set-cookie"]


def test_htmx_is_told_to_go_there_itself() -> None:
    answer = redirect(request(hx_request="true"), "/packs/7")
    assert answer.status_code == 204
    assert answer.headers["hx-redirect"] == "/packs/7"
    assert "location" not in answer.headers


@pytest.mark.parametrize("path", ["//evil.example", "https://evil.example", "packs", ""])
def test_nobody_is_sent_to_another_server(path: str) -> None:
    with pytest.raises(ValueError, match="path of this server"):
        redirect(request(), path)


def test_going_back_is_not_an_htmx_request() -> None:
    assert is_htmx(request(hx_request="true"))
    assert not is_htmx(request(hx_request="true", hx_history_restore_request="true"))
    assert not is_htmx(request())


def test_the_settings_keep_to_the_policy_and_keep_no_pages() -> None:
    config = json.loads(HTMX_CONFIG)
    for off in ("includeIndicatorStyles", "allowEval", "allowScriptTags"):
        assert config[off] is False
    assert config["historyCacheSize"] == 0
    swapped = {rule["code"]: rule["swap"] for rule in config["responseHandling"]}
    assert swapped == {"204": False, "[23]..": True, "409|412|422": True, "[45]..": False}
