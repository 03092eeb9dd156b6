from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from app.comparison.board_view import BoardView
from app.comparison.model import MODEL_VERSION
from app.presentation.verdict_page import MOST_TOLD, verdict_line, verdict_page
from tests.factories import make_pack

AT = datetime(2026, 11, 25, 8, 5, tzinfo=UTC)
HOLDS = ["holds", 1.5, 1.2, 1.8, 0.0004]
SLIPS = ["slips", 0.8, 0.7, 0.9, 0.999]
UNKNOWN = ["unknown", None, None, None, None]


@dataclass(frozen=True)
class Now:
    document: Any
    version: int = 2


@dataclass(frozen=True)
class Then:
    name: str
    kind: str = "pack"
    id: str = "k"
    version: int = 1
    checked: str = ""
    was: Any = None
    now: Any = None
    changed: bool = False


def row(cells: Any, **more: Any) -> dict[str, Any]:
    content = {
        "model": MODEL_VERSION, "app": "0.1.0", "heavy_above": 3.0, "cells": cells,
        "friction": [{"value": 0.11, "u": 0.005, "how": "measured", "source": "own"}],
    }  # fmt: skip
    return {
        "public_id": "v", "title": "T", "way": "csv", "by": "Ann", "at": AT, "kind": "board",
        "revision": 7, "content": content | more,
    }  # fmt: skip


ENGINE = Then("E", "engine", "e")


def test_the_sheet_shows_figures_as_they_were() -> None:
    view = verdict_page(
        row([[HOLDS, UNKNOWN]]), BoardView(), [Then("P")], [ENGINE, ENGINE],
        [[HOLDS, UNKNOWN]], 3.0, "0.1.0",
    )  # fmt: skip
    (line,) = view.rows
    assert (line.cells[0].verdict, line.cells[0].ratio) == ("holds", "1.50")
    assert line.cells[0].span.startswith("1.20–1.80, <")
    assert (line.cells[1].ratio, line.cells[1].span) == ("not known", "")
    assert dict(view.facts)["By"] == "Ann, exported as CSV"
    assert dict(view.facts)["Worked out"] == "2026-11-25 08:05 UTC"
    assert "0.1100 ± 0.0050" in view.records[0].friction
    assert view.same


def test_a_failed_check_stands_before_the_torque_as_on_the_board() -> None:
    failed = [["bolts_up", "can_release"]], [[]]
    view = verdict_page(
        row([[HOLDS], [HOLDS]], friction=None, failed=failed), BoardView(),
        [Then("A"), Then("B")], [ENGINE], None, 3.0, "0.1.0",
    )  # fmt: skip
    (stops,), (holds,) = (line.cells for line in view.rows)
    assert (stops.chip.word, stops.failed) == ("Won’t bolt up", "won’t release")
    assert stops.span == "torque holds 1.50 (1.20–1.80)"
    assert (holds.chip.word, holds.failed) == ("Holds", "")


def test_another_verdict_is_told_before_another_figure() -> None:
    closer = ["slips", 0.85, 0.75, 0.95, 0.99]
    view = verdict_page(
        row([[SLIPS], [HOLDS]], friction=None), BoardView(), [Then("A"), Then("B")], [ENGINE],
        [[closer], [SLIPS]], 3.0, "0.1.0",
    )  # fmt: skip
    assert [line.label for line in view.flips] == ["B on E", "A on E"]
    assert view.flips[0].before.startswith("Holds 1.50")
    assert view.flips[0].after.startswith("Slips 0.80")
    assert not view.same


def test_many_changes_are_counted_and_not_all_told() -> None:
    count = MOST_TOLD + 4
    packs = [Then(str(i)) for i in range(count)]
    view = verdict_page(
        row([[HOLDS]] * count, friction=None), BoardView(), packs, [ENGINE], [[SLIPS]] * count,
        3.0, "0.1.0",
    )  # fmt: skip
    assert (len(view.flips), view.flips_more) == (MOST_TOLD, 4)


def test_records_limits_and_versions_that_differ_are_told() -> None:
    was = make_pack().written()
    changed = Then("P", was=was, now=Now(make_pack(friction_plates=7)), changed=True)
    gone = Then("G", was=was, changed=True)
    newer = Then("N", now=Now(make_pack()), changed=True)
    view = verdict_page(
        row([[HOLDS]] * 3, friction=None, model="0"), BoardView(), [changed, gone, newer],
        [ENGINE], None, 4.0, "0.2.0",
    )  # fmt: skip
    assert [(d.label, d.before, d.after) for d in view.differs] == [
        ("Model", "0", MODEL_VERSION), ("Program", "0.1.0", "0.2.0"),
        ("Called heavy above", "3", "4"),
    ]  # fmt: skip
    assert [c.what for c in view.changes] == [
        "was changed since", "is not in use any more", "is at version 2; version 1 was shown",
    ]  # fmt: skip
    assert view.changes[0].fields[0].label == "Friction plates"
    assert "not worked out again" in view.flips_unknown


def test_a_limit_of_the_view_itself_does_not_move() -> None:
    view = verdict_page(
        row([[HOLDS]]), BoardView(heavy_above=3.0), [Then("P")], [ENGINE], [[HOLDS]], 9.0, "0.1.0"
    )
    assert view.differs == ()


def test_a_line_of_the_list_says_what_who_and_how() -> None:
    line = verdict_line(row(None))
    assert (line.title, line.href, line.how) == ("T", "/verdicts/v", "exported as CSV")
