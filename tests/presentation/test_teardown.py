from typing import get_args

import pytest

from app.documents import Finding
from app.documents.finding import OUTCOMES, Check
from app.errors import BadInput
from app.presentation.teardown import (
    CHECKS,
    finding_line,
    free_lengths,
    lengths_words,
    outcome_of_lengths,
)


def test_every_check_has_a_question_and_a_meaning_for_each_answer() -> None:
    assert {check.key for check in CHECKS} == set(get_args(Check))
    for check in CHECKS:
        assert check.question.endswith("?")
        for outcome in OUTCOMES:
            assert check.meaning(outcome).endswith(".")


@pytest.mark.parametrize(
    ("text", "lengths"),
    [("31.2 31.0 30.9", [31.2, 31.0, 30.9]), ("31,2; 31,0 mm", [31.2, 31.0]),
     ("31.2, 31.0,30.9", None), ("1 in 25.4 mm", [25.4, 25.4])],
)
def test_lengths_are_read_one_after_another(text: str, lengths: list[float] | None) -> None:
    if lengths is None:
        with pytest.raises(BadInput, match="one after another"):
            free_lengths(text)
    else:
        assert free_lengths(text) == pytest.approx(lengths)


@pytest.mark.parametrize("text", ["31.2", "some", "31 -2", "", "0 31"])
def test_what_are_no_lengths_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        free_lengths(text)


def test_the_spread_decides_where_nobody_chose() -> None:
    # (max − min)/mean: 0.58/30 = 1.9 %, 0.62/30 = 2.07 %.
    assert outcome_of_lengths([30.29, 29.71]) == "good"
    assert outcome_of_lengths([30.31, 29.69]) == "watch"
    words = lengths_words("30.31 29.69").replace("\u00a0", " ")
    assert words == "30.31 29.69: spread 2.1 % of the mean, above 2 %"
    assert lengths_words("about 30") == "about 30"


def test_a_finding_says_what_it_means() -> None:
    finding = Finding.model_validate({
        "name": "x", "pack": "abc", "check": "damper", "outcome": "bad", "date": "2026-11-20",
        "by": "Ann", "notes": "locked",
    })
    line = finding_line("k", 2, finding)
    assert line.when == "2026-11-20 · Ann"
    assert "reach the plates whole" in line.meaning
    assert (line.outcome, line.measured) == ("Bad", "")
