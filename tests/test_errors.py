"""Facts that stop an action keep what they were told and say what would be right."""

import pytest

from app.errors import (
    AppError,
    BadInput,
    DuplicateName,
    HaveToWait,
    InUse,
    NewerSchema,
    NotFound,
    OutsideValidity,
    Problem,
    StaleRecord,
    StorageUnavailable,
)


@pytest.mark.parametrize(
    ("fact", "words"),
    [
        (NotFound("pack", 7), "no pack 7"),
        (StaleRecord("pack", 7, 2, {"version": 3}), "Nothing was saved"),
        (DuplicateName("engine", "Heron 125"), "“Heron 125”"),
        (InUse("spring", 4, ["pack Wren", "pack Tern"]), "by pack Wren, pack Tern"),
        (NewerSchema("b2", "a1"), "b2"),
        (StorageUnavailable("the disk is full"), "the disk is full"),
        (OutsideValidity("C must be above 1"), "C must be above 1"),
        (BadInput([Problem("wire_mm", "Write a number.")]), "Write a number."),
    ],
)
def test_each_fact_is_an_app_error_with_a_sentence(fact: AppError, words: str) -> None:
    assert isinstance(fact, AppError)
    assert words in fact.message
    assert str(fact) == fact.message


def test_a_stale_record_brings_both_versions() -> None:
    fact = StaleRecord("pack", 7, 2, {"version": 3, "name": "Wren"})
    assert (fact.kind, fact.key, fact.sent_version) == ("pack", 7, 2)
    assert fact.current["name"] == "Wren"


def test_bad_input_keeps_every_problem_in_order() -> None:
    problems = [Problem("a", "First."), Problem("b", "Second.")]
    fact = BadInput(iter(problems))
    assert fact.problems == problems
    assert fact.message == "First. Second."


def test_a_record_used_by_nobody_named_says_so_plainly() -> None:
    assert InUse("spring", 4).message.startswith("This spring is still used. ")


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(59, "Wait 59 s,"), (60, "Wait 1 minute,"), (61, "Wait 2 minutes,"),
     (900, "Wait 15 minutes,")],
)
def test_a_wait_is_told_in_seconds_and_then_in_whole_minutes(seconds: int, told: str) -> None:
    assert told in HaveToWait(seconds).message
