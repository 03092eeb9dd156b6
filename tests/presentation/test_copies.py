from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from app.presentation.copies import (
    DAILY,
    NOT_DAILY,
    CopiesFacts,
    CopyFacts,
    age_words,
    copies_view,
    newest_words,
)

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
GOOD = CopyFacts(
    NOW - timedelta(hours=3, minutes=1),
    NOW - timedelta(hours=3),
    True,
    "the server",
    "good",
    "copies/20261125-daily.db",
    4_120_000,
    12_345,
    None,
)
FACTS = CopiesFacts(
    moment=NOW,
    good_at=GOOD.ended_at,
    lost=False,
    old=False,
    trouble=None,
    days=31,
    daily=True,
    tried=(GOOD,),
)


@pytest.mark.parametrize(
    ("age", "words"),
    [
        (timedelta(seconds=-5), "less than a minute"),
        (timedelta(seconds=59), "less than a minute"),
        (timedelta(minutes=1), "1 minute"),
        (timedelta(minutes=119), "119 minutes"),
        (timedelta(hours=2), "2 hours"),
        (timedelta(hours=71), "71 hours"),
        (timedelta(hours=72), "3 days"),
    ],
)
def test_an_age_is_said_as_one_says_it(age: timedelta, words: str) -> None:
    assert age_words(age) == words


def test_a_quiet_month_is_one_line() -> None:
    view = copies_view(FACTS)
    assert view.words == "Last good backup 3 hours ago, on 2026-11-25 06:00 UTC."
    assert view.quiet == (
        "A good backup of each of the last 31 days; the last one was verified on "
        "2026-11-25 06:00 UTC."
    )
    assert not view.grave
    assert view.daily == DAILY
    assert view.trouble == view.running == view.failure == ""
    (line,) = view.lines
    assert line.what == "daily"
    assert line.became == "good: opened and checked, 12\u202f345 rows, 4.1\u00a0MB"


@pytest.mark.parametrize("changed", [{"old": True}, {"trouble": "The disk is full."}, {"days": 1}])
def test_it_is_not_said_that_all_is_well_when_it_is_not(changed: dict[str, object]) -> None:
    assert copies_view(replace(FACTS, **changed)).quiet == ""


def test_what_went_wrong_is_said() -> None:
    failed = replace(GOOD, stage="failed", message="No copy was made: the disk is full.")
    facts = replace(FACTS, old=True, trouble=failed.message, tried=(failed, GOOD))
    view = copies_view(facts, failure="No copy was made just now.")
    assert view.grave
    assert view.trouble == "No copy was made: the disk is full."
    assert view.failure == "No copy was made just now."
    assert [line.grave for line in view.lines] == [True, False]
    assert view.lines[0].became == "No copy was made: the disk is full."


def test_a_copy_under_way_and_one_that_was_stopped_are_told_apart() -> None:
    by_hand = replace(GOOD, daily=False, by="Ada", ended_at=None, size=None, rows=None)
    facts = replace(
        FACTS, tried=(replace(by_hand, stage="running"), replace(by_hand, stage="stopped"))
    )
    view = copies_view(facts)
    assert view.running == "2026-11-25 05:59 UTC"
    assert [line.became for line in view.lines] == ["being made", "stopped before it was done"]
    assert view.lines[0].what == "by hand, Ada"


def test_no_copy_and_a_lost_one_are_said() -> None:
    none = replace(FACTS, good_at=None, tried=())
    assert copies_view(none).words == "No good backup yet."
    assert copies_view(replace(FACTS, lost=True)).words == (
        "The last good backup is gone from its folder."
    )
    assert copies_view(replace(FACTS, daily=False)).daily == NOT_DAILY


def test_the_foot_of_a_page_says_it_to_the_minute() -> None:
    assert newest_words(FACTS) == "Last good backup 3 hours ago"
    fresh = replace(FACTS, good_at=NOW - timedelta(minutes=7))
    assert newest_words(fresh) == "Last good backup 7 minutes ago"
