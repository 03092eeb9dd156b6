import pytest

from app.comparison.cell import Reading
from app.comparison.slip_load import SlipLoad
from app.comparison.slip_runs import BenchRun, Measured, RunLoad, against_prediction
from app.documents import SlipTest, TorqueReading
from app.presentation.slip_log import (
    compared_words,
    reading_text,
    repeats_words,
    run_line,
    run_page,
    signed,
)
from tests.factories import make_slip_test
from tests.mechanics.slip_samples import at_least, value

PREDICTED = Reading(50.0, 4.0, 42.0, 58.0)


def load(*torques: float, why: str = "", **more: object) -> RunLoad:
    run = BenchRun("k", tuple(value(t) for t in torques), 6, **more)  # type: ignore[arg-type]  # a test's words
    return RunLoad(run, 6, SlipLoad(800.0, 12, 50.0, PREDICTED), (), why, True)


def run(**changed: object) -> SlipTest:
    return make_slip_test("abc", name="2026-11-20 Tern 4, run 01", **changed)


@pytest.mark.parametrize(
    ("raw", "text"),
    [({"torque_nm": 57.5}, "57.5"), ({"low_nm": 41, "high_nm": 44}, "41–44"),
     ({"at_least_nm": 60}, "at least 60"), ({"at_most_nm": 5}, "at most 5")],
)
def test_each_kind_of_reading_has_its_words(raw: dict[str, float], text: str) -> None:
    assert reading_text(TorqueReading.model_validate(raw)) == text


def test_a_line_says_measured_predicted_and_the_difference() -> None:
    line = run_line("k", run(), load(54.0, 56.0))
    assert (line.measured, line.predicted, line.difference) == ("55.0", "50.0", "+5.0")
    # 5/√(4² + (√2/√2)²) = 1.21
    assert line.in_uncertainties == "+1.2"
    assert line.readings == "31.5; 32"
    out = run_line("k", run(), load(54.0, why="2 springs: fewer than three tilt."))
    assert out.note == "Left out: 2 springs: fewer than three tilt."


def test_a_run_of_bounds_or_without_a_pack_says_so() -> None:
    bounds = run(readings=[{"at_least_nm": 50}, {"at_least_nm": 60}, {"at_most_nm": 90}])
    line = run_line("k", bounds, None)
    assert (line.measured, line.predicted) == ("at least 60, at most 90", "not known")
    assert (line.difference, line.in_uncertainties) == ("", "")


@pytest.mark.parametrize(
    ("value_", "text"), [(2.0, "+2.0"), (-2.0, "\u22122.0"), (0.04, "0.0"), (-0.04, "0.0")]
)
def test_a_difference_has_its_sign_but_nothing_has_none(value_: float, text: str) -> None:
    assert signed(value_, 1) == text


@pytest.mark.parametrize(
    ("measured", "words"),
    [(Measured(54.0, 3.0, None, 1, 0), "agree within their doubts (0.8"),
     (Measured(70.0, 3.0, None, 1, 0), "Measured is more than predicted by 4.0"),
     (Measured(30.0, 3.0, None, 1, 0), "Measured is less than predicted by 4.0")],
)
def test_the_difference_is_judged_in_combined_uncertainties(
    measured: Measured, words: str
) -> None:
    assert words in compared_words(measured, PREDICTED, against_prediction(measured, PREDICTED))


def test_what_can_not_be_judged_is_said() -> None:
    assert "no prediction" in compared_words(None, None, None)
    assert "Every reading is a bound" in compared_words(None, PREDICTED, None)
    exact, point = Measured(54.0, 0.0, None, 1, 0), Reading(50.0, 0.0, 50.0, 50.0)
    assert "can't be judged" in compared_words(exact, point, against_prediction(exact, point))


def test_repeats_have_mean_and_spread() -> None:
    words = repeats_words([load(40.0), load(44.0)]).replace("\u00a0", " ")
    assert words == "2 runs alike: mean 42.0 N·m, spread 2.8 N·m (6.7 %)."
    bound = RunLoad(BenchRun("b", (at_least(60.0),)), 6, SlipLoad(1, 1, 1, None), (), "", True)
    assert repeats_words([load(40.0), bound]) == "No other run repeats this one yet."


def test_the_page_says_what_was_logged_and_what_nobody_said() -> None:
    page = run_page("k", 1, run(oil_on_plates=False), "Saved", "Tern 4", True, "Gauge",
                    load(54.0, 56.0), [load(54.0)])
    facts = dict(page.facts)
    assert (facts["Oil on the plates"], facts["Cold or hot"]) == ("no", "not known")
    assert facts["Stack wear"] == "taken as 0"
    assert page.fit == "/tests/fit/abc?lubrication=oiled&friction=sliding"
    assert [r.label for r in page.readouts] == [
        "Measured", "Predicted", "Measured less predicted", "Clamp load in this run",
    ]
    fitted = run_page("k", 1, run(), "Saved", "Tern 4", True, "", load(54.0), [], True)
    assert "so the two are not independent" in fitted.says
    assert "not independent" not in page.says
    gone = run_page("k", 1, run(), "Saved", "Tern 4", False, "", None, [])
    assert gone.pack_href == ""
    assert "put aside" in gone.pack_note
