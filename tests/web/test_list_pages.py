from datetime import UTC, datetime
from types import SimpleNamespace

import pytest
from starlette.requests import Request

from app.records.base import NOT_SAID
from app.web.list_pages import Filter, FilterByKey, changed_words, read_asked

FILTERS = (
    Filter("clamp", "clamp_kind", "Clamp", (("", "Any"), ("coil", "Coil springs"))),
    FilterByKey("strokes", "strokes", "Strokes", (("", "Any"), ("4", "Four")), {"4": 4}),
)


def request_of(query: str) -> Request:
    scope = {"type": "http", "method": "GET", "path": "/packs", "headers": []}
    return Request({**scope, "query_string": query.encode()})


def test_everything_that_is_asked_is_read() -> None:
    asked = read_asked(request_of("q=+six+&clamp=coil&strokes=4&order=-changed&page=3"), FILTERS)
    assert asked.status == 200
    assert asked.page == 3
    assert (asked.search.text, asked.search.order) == ("six", "-changed")
    assert asked.search.filters == {"clamp_kind": "coil", "strokes": 4}


def test_blank_boxes_ask_for_nothing() -> None:
    asked = read_asked(request_of("q=&clamp=&order=&page="), FILTERS)
    assert (asked.status, asked.page, dict(asked.search.filters)) == (200, 1, {})
    assert asked.search.order == "name"


@pytest.mark.parametrize(
    ("query", "name"),
    [
        ("clamp=glue", "clamp"),
        ("strokes=3", "strokes"),
        ("order=best", "order"),
        ("page=0", "page"),
        ("page=-1", "page"),
        ("page=%D9%A1", "page"),
        ("page=99999999999", "page"),
        ("q=" + "x" * 300, "q"),
        ("colour=red", ""),
    ],
)
def test_what_it_does_not_know_is_refused(query: str, name: str) -> None:
    asked = read_asked(request_of(query), FILTERS)
    assert asked.status == 422
    assert [problem.field for problem in asked.form.problems] == [name]


def test_who_saved_a_record_is_said_or_that_no_name_was_given() -> None:
    when = datetime(2026, 3, 1, 12, 5, tzinfo=UTC)

    def words(by: str) -> str:
        return changed_words(SimpleNamespace(changed_by=by, changed_at=when, version=2))

    assert words("Ann") == "Saved by Ann, 2026-03-01 12:05 UTC, version 2"
    assert words(NOT_SAID).startswith("Saved, name not given, 2026")
