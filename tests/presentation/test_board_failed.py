"""Failed checks in the words of a board."""

from dataclasses import replace

import pytest

from app.comparison.failed_checks import FailedCheck
from app.comparison.verdict import Verdict
from app.mechanics.inputs import EngineInputs, PackInputs, Quantity
from app.presentation.board_failed import (
    FAILED_WORDS,
    chip_of,
    counted,
    listed,
    misfit_words,
    stands_first,
)


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


def test_what_does_not_fit_is_told_in_a_few_words() -> None:
    pack, engine = PackInputs(mounting="geared"), EngineInputs()
    assert misfit_words(pack, engine) == ""
    engine = replace(
        engine, primary_teeth=(20, 64), spline_count=20, spline_major_mm=Quantity(20.0),
        envelope_diameter_mm=Quantity(150.0), gear_module_mm=Quantity(2.0),
    )
    assert misfit_words(replace(pack, gear_teeth=70), engine) == "teeth 70 for 64"
    module = replace(pack, gear_teeth=64, gear_module_mm=Quantity(2.25))
    assert misfit_words(module, engine) == "module 2.25 for 2"
    assert misfit_words(replace(pack, spline_count=14), engine) == "splines 14 on 20"
    wider = replace(pack, spline_count=20, spline_major_mm=Quantity(21.7))
    assert misfit_words(wider, engine) == "splines 1.7\xa0mm off"
    large = replace(pack, envelope_diameter_mm=Quantity(160.0), gear_teeth=70)
    assert misfit_words(large, engine) == "10\xa0mm too wide"
    high = replace(pack, envelope_height_mm=Quantity(92.25))
    room = replace(engine, envelope_height_mm=Quantity(80.0))
    assert misfit_words(high, room) == "12.2\xa0mm too high"
