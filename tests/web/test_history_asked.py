from datetime import UTC, datetime

from starlette.requests import Request

from app.web.history_asked import Fixed, read_history_asked


def asked(query: str) -> Request:
    return Request({"type": "http", "query_string": query.encode(), "headers": []})


def test_an_address_becomes_a_search() -> None:
    found = read_history_asked(asked("noun=pack&by=Ann&since=2026-11-01&until=2026-11-02&page=3"))
    assert found.form.problems == []
    assert (found.search.noun, found.search.by, found.page) == ("pack", "Ann", 3)
    assert found.search.since == datetime(2026, 11, 1, tzinfo=UTC)
    assert found.search.before == datetime(2026, 11, 3, tzinfo=UTC)
    assert found.filtered


def test_what_cannot_be_read_is_said() -> None:
    found = read_history_asked(asked("since=2026-12-31&until=soon&x=1"))
    assert {p.field for p in found.form.problems} == {"", "until"}
    assert found.status == 422


def test_a_record_s_history_settles_kind_and_record() -> None:
    found = read_history_asked(asked("noun=engine"), Fixed("pack", "abc", ("by", "page")))
    assert (found.search.noun, found.search.record, found.status) == ("pack", "abc", 422)


def test_a_day_that_has_none_after_it_is_refused() -> None:
    assert read_history_asked(asked("until=9999-12-31")).status == 422
