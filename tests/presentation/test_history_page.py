from datetime import UTC, datetime

import pytest

from app.presentation.history_page import (
    batch_page,
    change_line,
    ids_named,
    names_shown,
    record_history,
    when_words,
)

AT = datetime(2026, 11, 25, 8, 5, tzinfo=UTC)
ROW = {
    "id": 7, "at": AT, "by": "Ann", "action": "change", "noun": "pack", "record": "abc",
    "name": "Six", "before": {"name": "Six", "lift_mm": 1, "surfaces": 8},
    "after": {"name": "Six", "lift_mm": 2, "surfaces": 9}, "reason": None, "undoes": None,
    "batch": None,
}  # fmt: skip


def test_a_moment_is_told_with_its_zone() -> None:
    assert when_words(AT) == "2026-11-25 08:05 UTC"


def test_a_line_tells_who_what_and_some_of_the_fields() -> None:
    line = change_line(ROW, None, 1)
    assert (line.what, line.name, line.href) == ("changed the pack", "Six", "/history/7")
    assert [f.label for f in line.fields] == ["Release travel of the pressure plate"]
    assert line.more == 1
    assert (line.undone, line.batch, line.undoes_href) == ("", "", "")


def test_an_undone_line_tells_by_whom() -> None:
    line = change_line({**ROW, "batch": "b", "undoes": 3}, {"id": 9, "by": "Bo", "at": AT})
    assert (line.undone, line.undone_href) == ("Bo, 2026-11-25 08:05 UTC", "/history/9")
    assert (line.batch, line.undoes_href) == ("/history/imports/b", "/history/3")


def test_a_record_that_was_added_has_values_and_no_before() -> None:
    assert change_line({**ROW, "action": "add", "before": None}, None, 9).is_new
    assert not change_line(ROW, None).is_new


def test_putting_aside_changes_no_field() -> None:
    assert change_line({**ROW, "action": "put aside", "after": None}, None).fields == ()


@pytest.mark.parametrize(
    ("noun", "address"),
    [
        ("pack", "/packs/abc/history"),
        ("setting", "/settings/history"),
        ("slip test", "/history?noun=slip+test&record=abc"),
    ],
)
def test_each_kind_has_its_history(noun: str, address: str) -> None:
    assert record_history(noun, "abc") == address


def test_an_import_is_counted_in_words() -> None:
    shared = {"by": "Ann", "at": AT, "reason": "import"}
    totals = [
        {"noun": "pack", "action": "add", "number": 2, **shared},
        {"noun": "engine", "action": "change", "number": 1, **shared},
    ]
    view = batch_page("b", totals, undone=False)
    assert view.counts == ("2 packs added", "1 engine changed")
    assert view.undo == "/history/imports/b/undo"


def test_names_lead_to_the_record_or_to_the_history_of_one_put_aside() -> None:
    row = {**ROW, "noun": "offer", "before": {"pack": "a"}, "after": {"pack": "b"}}
    assert ids_named([row, {**row, "before": None, "after": {"value": 3}}]) == {"pack": {"a", "b"}}
    names = names_shown({("pack", "a"): ("Six", True), ("pack", "b"): ("Seven", False)})
    (field,) = change_line(row, None, names=names).fields
    assert (field.before, field.before_href) == ("Six (put aside)", "/packs/a/history")
    assert (field.after, field.after_href) == ("Seven", "/packs/b")
