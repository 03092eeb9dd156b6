"""What stands at the head of a cell's page, for figures at the edges."""

from dataclasses import replace

import pytest

from app.comparison.all_states import StateAnswer
from app.comparison.board_view import BoardView
from app.comparison.cell import CellResult, Drawn, Reading
from app.comparison.inputs_list import InputLine
from app.comparison.verdict import Verdict
from app.mechanics.inputs import Quantity, State
from app.mechanics.monte_carlo import Draws
from app.presentation import cell_head as head
from app.presentation.beyond_torque import CheckRow

RATIO = Reading(1.25, 0.1, 1.06, 1.46)
HOLDS = CellResult(
    verdict="holds",
    capacity=Reading(50.0, 4.0, 42.0, 58.0),
    required=Reading(40.0, 0.0, 40.0, 40.0),
    ratio=RATIO,
    ratio_without_factor=Reading(3.2, 0.2, 2.8, 3.6),
    p_slip=0.0,
)


@pytest.mark.parametrize(
    ("verdict", "words"),
    [
        ("holds", "the margin covers the doubt"),
        ("tight", "the doubt reaches below 1"),
        ("slips", "less than it asks"),
    ],
)
def test_the_sentence_says_what_the_verdict_says(verdict: Verdict, words: str) -> None:
    assert words in head.says(replace(HOLDS, verdict=verdict), "Six", "Tern")
    assert head.says(replace(HOLDS, verdict="unknown", ratio=None), "Six", "Tern").startswith(
        "There is no verdict"
    )


def test_a_ratio_beyond_the_range_of_numbers_has_no_bar() -> None:
    assert head.bar(Reading(1e300, 1e300, 0.0, float("inf"))) is None
    assert head.bar(None) is None
    exact = head.bar(Reading(0.5, 0.0, 0.5, 0.5))
    assert exact is not None
    assert exact.low == exact.mid == exact.high < exact.limit < 100


def test_the_margin_without_the_factor_is_told_beside_the_one_with_it() -> None:
    with_it, without = head.margins(HOLDS)
    assert (with_it.margin, with_it.margin_span) == ("+25\u00a0%", "+6\u00a0% to +46\u00a0%")
    assert without.margin == "+220\u00a0%"
    assert head.margins(CellResult()) == ()


def test_heavy_names_the_limit_that_was_passed() -> None:
    assert "3.20, above the limit of 3." in head.heavy(replace(HOLDS, heavy=True), 3.0)
    assert head.heavy(HOLDS, 4.0) == ""


def test_the_drawn_interval_stands_under_the_one_worked_out() -> None:
    drawn = Drawn(200_000, 7, None, None, Draws(1.24, 0.1, 1.05, 1.45), 0.003, True)
    worked, drew = head.intervals(replace(HOLDS, drawn=drawn))
    assert (worked.low, worked.value, worked.high) == ("1.06", "1.25", "1.46")
    assert (drew.low, drew.value, drew.high) == ("1.05", "1.24 on average", "1.45")
    known = replace(HOLDS, drawn=drawn)
    assert head.interval_says(known)[0].startswith("Both ends agree")
    assert head.differs(known) == ""
    assert head.interval_says(HOLDS) == ()


@pytest.mark.parametrize(
    ("low", "words"),
    [(1.01, "the verdict would be the same"), (0.97, "By the trial it would be Tight")],
)
def test_where_the_two_ways_differ_it_says_which_one_the_verdict_is_from(
    low: float, words: str
) -> None:
    drawn = Drawn(200_000, 7, None, None, Draws(1.24, 0.1, low, 1.45), 0.003, False)
    told = head.differs(replace(HOLDS, drawn=drawn))
    assert told.startswith("The verdict is from the interval worked out")
    assert words in told
    assert head.interval_says(replace(HOLDS, drawn=drawn))[0] == told


def test_a_figure_that_nobody_doubted_has_no_interval_of_no_width() -> None:
    exact = replace(HOLDS, ratio=Reading(1.25, 0.0, 1.25, 1.25))
    assert head.readouts(exact, BoardView())[0].range == "no doubt given"
    assert head.readouts(exact, BoardView())[2].range == "no doubt given"
    assert (head.margins(exact)[0].span, head.margins(exact)[0].margin_span) == (
        "no doubt given", "")


def test_what_outranks_the_torque_is_told_once_with_what_happens() -> None:
    row = CheckRow("Can release", "Fails", "slips", "the springs go solid", "", "Won’t release")
    told = {"coil_bind": "The springs go solid.", "no_clamp": "The springs are slack."}
    assert [(s.word, s.why) for s in head.stopped([row], told)] == [
        ("Won’t release", "the springs go solid"),
        ("Nothing presses the plates together", "The springs are slack"),
    ]
    assert head.stopped([], told)[0].word == "Won’t release"
    assert head.stopped([], {}) == ()


def test_key_figures_say_what_is_not_known() -> None:
    assert [r.text for r in head.readouts(CellResult(), BoardView())] == ["not known"] * 4
    assert head.readouts(HOLDS, BoardView())[3].text == "<\u00a00.1\u00a0%"


NEW, WORN = State(), State(wear_mm=None)
DRY = tuple(StateAnswer(replace(s, lubrication="dry"), "holds", RATIO) for s in (NEW, WORN))
BELOW = Reading(0.91, 0.1, 0.8, 1.1)


def test_what_wear_makes_of_the_verdict_is_told_with_its_page() -> None:
    rows = (DRY, (StateAnswer(NEW, "holds", RATIO), StateAnswer(WORN, "slips", BELOW)))
    told = head.other_wear(rows, BoardView(came_from="q=six"), ("p", "e"))
    assert told == head.OtherWear("Worn: slips 0.91", "/cell/p/e?wear=worn&from=q%3Dsix")
    told = head.other_wear(rows, BoardView(wear_mm=None), ("p", "e"))
    assert told == head.OtherWear("New: holds 1.25", "/cell/p/e")
    part = head.other_wear(rows, BoardView(wear_mm=0.3), ("p", "e"))
    assert part is not None
    assert part.words == "Worn: slips 0.91"


def test_wear_that_nobody_limited_is_said_to_be_missing() -> None:
    lacking = StateAnswer(WORN, "unknown", None, ("pack.stack_wear_limit_mm",))
    rows = (DRY, (StateAnswer(NEW, "holds", RATIO), lacking))
    told = head.other_wear(rows, BoardView(), ("p", "e"))
    assert told is not None
    assert told.words == "Worn: not known, missing wear limit of the whole stack"
    neither = (DRY, (StateAnswer(NEW, "unknown", None), lacking))
    assert head.other_wear(neither, BoardView(), ("p", "e")) is None


def test_an_input_that_nobody_said_how_it_is_known_is_said_so() -> None:
    line = InputLine("pack.facing_od_mm", Quantity(110.0, plus_minus=0.1))
    assert head.next_words(line, {"pack.facing_od_mm": 0.4}) == (
        "Facing outside diameter: not said how known, and 40\u00a0% of the doubt"
    )


def test_larger_shares_that_are_measured_already_are_told() -> None:
    known = InputLine("pack.friction.oiled.sliding", Quantity(0.1, std=0.01, how="measured"))
    next_one = InputLine("engine.torque_nm", Quantity(9.0, std=0.5, how="estimated"))
    result = CellResult(
        verdict="tight",
        shares=((known.path, 0.44), (next_one.path, 0.15)),
        inputs=(known, next_one),
    )
    assert result.measure_next == next_one
    told = head.measured_already(result)
    assert told.startswith("A larger share is measured already, and more runs would narrow it: ")
    assert told.endswith("(44\xa0%).")
    assert head.measured_already(replace(result, shares=((next_one.path, 0.5),))) == ""
    assert head.measured_already(replace(result, inputs=(known,))) == ""
