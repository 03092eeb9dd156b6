"""Failed checks in the words of a board."""

import pytest

from app.comparison.failed_checks import FailedCheck
from app.comparison.verdict import Verdict
from app.presentation.board_failed import FAILED_WORDS, chip_of, counted, listed, stands_first


@pytest.mark.parametrize("verdict", ["holds", "tight", "unknown"])
def test_a_failed_check_is_told_first_where_the_torque_does_not_say_no(verdict: Verdict) -> None:
    for name, words in FAILED_WORDS.items():
        chip = chip_of(verdict, (name, "launch_heat"))
        assert chip.key == "stopped"
        assert chip.word.lower() == words
    assert chip_of(verdict, ()).key == verdict
    assert not stands_first(verdict, ())


def test_a_pack_that_slips_is_said_to_slip() -> None:
    assert chip_of("slips", ("bolts_up",)).word == "Slips"


def test_packs_that_fail_are_told_apart_in_the_count() -> None:
    bolts: tuple[FailedCheck, ...] = ("bolts_up",)
    free: tuple[FailedCheck, ...] = ("can_release", "bolts_up")
    cells: list[tuple[Verdict, tuple[FailedCheck, ...]]] = [
        ("holds", ()), ("holds", bolts), ("holds", free), ("slips", bolts), ("unknown", ()),
    ]
    assert counted(cells) == (
        "holds for 3, of which 1 won’t bolt up and 1 won’t release, slips for 1, "
        "and not known for 1"
    )
    assert counted([("holds", ()), ("tight", ())]) == "holds for 1 and tight for 1"
    assert counted([("holds", bolts)]) == "holds for 1, of which 1 won’t bolt up"


def test_parts_are_joined_as_a_sentence_does() -> None:
    assert [listed(p) for p in ([], ["a"], ["a", "b"])] == ["", "a", "a and b"]
