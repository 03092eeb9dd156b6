import pytest

from app.comparison.slip_runs import BenchRun, PackFit, fit_pack, run_load
from app.documents import Pack
from app.mechanics.inputs import State
from app.presentation.slip_fit_words import (
    LITTLE,
    left_out_words,
    no_use_words,
    second_load_words,
    standing_words,
    undecided_words,
)
from tests.factories import make_pack, spring_group
from tests.mechanics.slip_samples import at_least, value

STATE = ("oiled", "sliding")
SIX = make_pack()
FIVE = make_pack(clamp={"kind": "coil", "springs": [spring_group(count=5)]})


def fit_of(pack: Pack, *runs: tuple[int, float], why: str | None = None) -> PackFit:
    """Of runs by springs and torque; `why` leaves the last of them out; below 0: at least."""
    loads = []
    for n, (springs, torque) in enumerate(runs):
        read = value(torque) if torque > 0 else at_least(-torque)
        reason = why if n == len(runs) - 1 else None
        run = BenchRun(f"k{n}", (read,), springs, excluded_reason=reason)
        loads.append(run_load(pack.to_inputs(), State(*STATE), run))
    return fit_pack(loads, [], "auto")


@pytest.mark.parametrize(
    ("why", "words"),
    [
        ("wrench slipped", "1 of 2 runs is left out: wrench slipped."),
        ("The arm slid.", "1 of 2 runs is left out: The arm slid."),
    ],
)
def test_a_tester_s_own_reason_ends_as_a_sentence(why: str, words: str) -> None:
    assert left_out_words(fit_of(SIX, (6, 31.0), (4, 20.0), why=why)) == words


def test_each_reason_is_said_once() -> None:
    assert left_out_words(fit_of(SIX, (6, 31.0))) == ""
    words = left_out_words(fit_of(SIX, (6, 31.0), (5, 26.0), (5, 25.0)))
    assert words.startswith("2 of 3 runs are left out: ")
    assert words.count("5 springs of 6 can't sit evenly") == 1


def test_where_no_friction_can_be_taken_it_is_said_why() -> None:
    assert "no doubt to go with it" in no_use_words(fit_of(SIX, (6, 31.0)))
    assert "from these runs yet" in no_use_words(fit_of(SIX, (6, -31.0)))


def test_a_second_clamp_load_is_one_at_which_the_springs_sit_evenly() -> None:
    assert second_load_words(SIX, fit_of(SIX, (6, 31.0))) == (
        "Test with 3 or 4 of its 6 springs next: so many sit evenly.")
    assert second_load_words(SIX, fit_of(SIX, (6, 31.0), (4, 21.0))) == ""
    # Of five positions only all five sit evenly, so no number of springs is advised.
    words = second_load_words(FIVE, fit_of(FIVE, (5, 78.0), (3, 48.0)))
    assert words.startswith("5 springs sit evenly only all together")
    weighed = make_pack(clamp={"kind": "load", "force_n": 900})
    assert second_load_words(weighed, fit_of(weighed)) == ""


# Twelve runs whose scatter is about as large as their departure from the proportional law.
TORN = ((6, 31.0), (6, 29.6), (6, 30.2), (6, 30.8), (4, 20.3), (4, 19.4), (4, 19.9), (4, 20.2),
        (4, 19.6), (6, 30.0), (4, 20.6), (6, 31.3))


def test_laws_that_the_runs_cannot_tell_apart_are_named_with_the_run_that_would() -> None:
    fit = fit_of(SIX, *TORN)
    assert fit.fit is not None
    scores = {law.law: law.aicc for law in fit.fit.compared}
    assert abs(scores["proportional"] - scores["lost_load"]) < LITTLE
    mu = {law.law: f"{law.mu.value:.3g}" for law in fit.fit.compared}
    said = undecided_words(SIX, fit)
    assert said.startswith("These runs cannot yet tell the laws apart: "
                           f"μ is {mu['proportional']} by the proportional law and ")
    assert f"and {mu['lost_load']} by the lost-load law" in said
    assert "The pack takes the first. A run with 3 of its 6 springs would tell most." in said
    assert fit.fit.mu_for_comparison is not None
    assert fit.fit.mu_for_comparison.value == fit.fit.compared[0].mu.value
    fewest = fit_of(SIX, *TORN, (3, 15.0))
    assert "more runs with 3 of its 6 springs would tell." in undecided_words(SIX, fewest)


def test_where_the_runs_do_tell_or_can_not_nothing_is_said_of_it() -> None:
    assert undecided_words(SIX, fit_of(SIX, (6, -31.0))) == "", "no fit"
    assert undecided_words(SIX, fit_of(SIX, (6, 31.0), (6, 30.0))) == "", "one clamp load"
    apart = fit_of(SIX, (6, 31.0), (6, 30.0), (4, 20.0), (4, 19.0), (3, 14.5), (3, 15.2))
    assert undecided_words(SIX, apart) == "", "one law has the least score by far"
    against = fit_of(SIX, (6, 31.0), (6, 31.2), (6, 31.1), (4, 18.0), (4, 18.1), (4, 18.2))
    assert against.fit is not None
    assert (against.fit.p_proportional or 0.0) < 0.05
    assert undecided_words(SIX, against) == "", "the readings speak against one of them"


def test_which_friction_stands_is_said_to_its_source() -> None:
    tested = {"value": 0.12, "std": 0.006, "how": "measured",
              "with_what": "fitted to 3 slip tests on 2026-11-25"}
    words = standing_words(make_pack(friction={"oiled": {"sliding": tested}}), STATE)
    assert "The pack uses μ 0.1200 ± 0.0060 (standard uncertainty)" in words
    assert "fitted to 3 slip tests" in words
    assert "(limit)" in standing_words(SIX, STATE)
    published = standing_words(make_pack(friction=None, facing="paper"), STATE)
    assert "the board takes the published μ 0.1" in published


@pytest.mark.parametrize("facing", [None, "cermet"])
def test_where_no_figure_is_in_use_it_is_said(facing: str | None) -> None:
    # The published table knows the material dry only.
    words = standing_words(make_pack(friction=None, facing=facing), STATE)
    assert words.endswith("no figure is in use.")
