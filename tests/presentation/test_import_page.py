import pytest

from app.presentation.import_page import (
    ImportPage,
    buttons,
    first_shown,
    found_words,
    row_line,
    row_pager,
    tabs_of,
)
from tests.factories import make_pack


@pytest.mark.parametrize(
    ("counts", "whole", "good"),
    [
        ({"new": 1}, "Import 1 new pack", ""),
        ({"new": 2}, "Import 2 new packs", ""),
        ({"changed": 2}, "Import 2 changed packs", ""),
        ({"new": 2, "changed": 3, "unchanged": 9}, "Import 2 new and 3 changed packs", ""),
        ({"new": 2, "bad": 1}, "", "Import only the 2 good rows"),
        ({"changed": 1, "bad": 4}, "", "Import only the 1 good row"),
        ({"bad": 4}, "", ""),
        ({"unchanged": 4}, "", ""),
    ],
)
def test_the_button_says_what_it_does(counts: dict[str, int], whole: str, good: str) -> None:
    assert buttons(counts, "pack") == (whole, good)


def test_what_is_wrong_is_shown_first() -> None:
    assert first_shown({"bad": 1, "new": 3}) == "bad"
    assert first_shown({"changed": 1, "unchanged": 3}) == "changed"
    assert first_shown({}) == "unchanged"
    tabs = tabs_of("/import/a", {"new": 3}, "new")
    assert [(t.status, t.count, t.current) for t in tabs][:2] == [
        ("bad", 0, False), ("new", 3, True),
    ]  # fmt: skip
    assert found_words({"new": 3}) == "0 cannot be read, 3 new, 0 changed, 0 unchanged"


def test_a_changed_row_tells_from_what_to_what() -> None:
    document = make_pack(friction_plates=7).written()
    row = {
        "number": 3, "cells": {"name": "Tern 4"}, "document": document, "record": "abc",
        "problems": None,
    }  # fmt: skip
    line = row_line(row, "pack", "/packs", make_pack().written())
    assert (line.number, line.name, line.href) == (3, "Tern 4", "/packs/abc")
    assert [(f.label, f.before, f.after) for f in line.fields] == [("Friction plates", "4", "7")]


def test_a_bad_row_is_named_by_its_own_cell() -> None:
    row = {
        "number": 3, "cells": {"name": "Mine"}, "document": None, "record": None,
        "problems": [["lift_mm", "x", "Write a number."]],
    }  # fmt: skip
    line = row_line(row, "pack", "/packs", None)
    assert (line.name, line.href, line.problems) == (
        "Mine", "", (("lift_mm", "x", "Write a number."),),
    )  # fmt: skip


def test_pages_keep_the_status_that_is_shown() -> None:
    pager = row_pager("/import/a", "bad", 2, 9, (51, 100, 412))
    assert pager.summary == "Rows 51–100 of 412"
    assert (pager.previous, pager.next) == ("/import/a?show=bad", "/import/a?show=bad&page=3")
    assert [p[0] for p in pager.pages] == ["1", "2", "3", "…", "9"]


def test_work_under_way_runs_until_it_falls_silent() -> None:
    shared = {
        "id": "a", "plural": "packs", "variant": "", "done": 0, "total": 1, "share": 0,
        "found": "", "message": "",
    }  # fmt: skip
    assert ImportPage(stage="checking", stuck=False, **shared).running
    assert not ImportPage(stage="checking", stuck=True, **shared).running
    assert not ImportPage(stage="checked", stuck=False, **shared).running
    assert ImportPage(stage="saved", stuck=False, **shared).path == "/import/a"
