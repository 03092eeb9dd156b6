from urllib.parse import parse_qsl

import pytest

from app.comparison.slip_runs import BenchRun, fit_pack, run_load
from app.documents import Pack
from app.mechanics.inputs import State
from app.mechanics.slip_laws import Estimate
from app.presentation.slip_fit_page import (
    FitPage,
    estimate_text,
    fit_page,
    interval_text,
)
from tests.factories import make_pack, make_slip_test
from tests.mechanics.slip_samples import at_least, value

STATE = ("oiled", "sliding")


def page(torques: dict[int, list[float]], pack: Pack | None = None, **more: object) -> FitPage:
    pack = pack or make_pack()
    inputs = pack.to_inputs()
    loads, runs = [], []
    for n, (springs, values) in enumerate(torques.items()):
        run = BenchRun(f"k{n}", tuple(value(t) if t > 0 else at_least(-t) for t in values), springs)
        loads.append(run_load(inputs, State(*STATE), run))
        runs.append((f"k{n}", make_slip_test("abc", name=f"run {n}", springs_fitted=springs)))
    take = list(more.pop("take", ()))  # type: ignore[call-overload]  # a test's words
    fit = fit_pack(loads, take, "auto")
    mu = None if fit.fit is None else fit.fit.mu_for_comparison
    return fit_page("abc", 3, pack, STATE, "auto", take, runs, fit,
                    mu if mu is not None and mu.std is not None else None, [(STATE, len(runs))],
                    "", **more)  # type: ignore[arg-type]  # a test's words


THREE = {6: [31.0, 32.0], 4: [21.0, 21.2], 3: [15.4, 15.9]}


def test_the_button_says_what_is_taken_and_carries_the_very_figure() -> None:
    found = page(THREE)
    assert found.use is not None
    assert found.use.words.startswith("Use μ 0.")
    assert found.use.words.endswith("for oiled, sliding")
    shown = found.use.words.split()[2]
    assert float(shown) == pytest.approx(float(found.use.shown_mu), abs=1e-3)
    assert (found.use.runs, found.use.version) == (3, 3)


def test_every_run_says_whether_it_is_in_and_why_not() -> None:
    found = page({**THREE, 2: [8.0, 8.1], 7: [40.0]})
    two, seven = found.runs[3], found.runs[4]
    assert (two.taken, two.can_take) == (False, True)
    assert "fewer than three" in two.why
    assert (seven.taken, seven.can_take, seven.clamp) == (False, False, "not known")
    taken = page({**THREE, 2: [8.0, 8.1]}, take=["k3"])
    assert (taken.runs[3].taken, taken.runs[3].asked) == (True, True)
    assert taken.use is not None
    assert taken.use.runs == 4


def test_what_the_springs_alone_leave_out_is_taken_in_by_one_link() -> None:
    assert page(THREE).take_in == ""
    found = page({6: [31.0], 5: [26.0], 2: [8.0]}, take=["k2"])
    assert found.left_out.startswith("1 of 3 runs is left out: 5 springs of 6 can't sit evenly")
    path, _, query = found.take_in.partition("?")
    assert path == "/tests/fit/abc"
    assert parse_qsl(query)[3:] == [("take", "k2"), ("take", "k1")]
    both = page({6: [31.0], 5: [26.0], 2: [8.0]}, take=["k2", "k1"])
    assert (both.left_out, both.take_in) == ("", "")


def test_what_a_tester_left_out_is_not_taken_in_along_with_others() -> None:
    inputs = make_pack().to_inputs()
    runs = [BenchRun("k0", (value(31.0),), 6),
            BenchRun("k1", (value(26.0),), 6, excluded_reason="wrench slipped")]
    fit = fit_pack([run_load(inputs, State(*STATE), run) for run in runs], [], "auto")
    tests = [(run.key, make_slip_test("abc", name=run.key)) for run in runs]
    found = fit_page("abc", 3, make_pack(), STATE, "auto", [], tests, fit, None, [], "")
    assert found.left_out == "1 of 2 runs is left out: wrench slipped."
    assert found.take_in == ""
    assert found.runs[1].can_take


def test_laws_stand_side_by_side_and_the_words_are_marked() -> None:
    found = page({**THREE, 2: [6.0, 6.1]}, take=["k3"])
    assert [law.name for law in found.laws] == ["Proportional", "Power", "Lost load"]
    assert sum(law.here for law in found.laws) == 1
    assert found.laws[1].second.startswith("power ")
    assert found.laws[2].second.startswith("lost load ")
    assert any(practice for _, practice in found.words)
    assert "had a chance of" in found.probability
    assert [row.label for row in found.fits] == ["As taken", "With every run"]


def test_too_little_is_said_at_each_law_and_fit() -> None:
    one = page({6: [31.0, 32.0]})
    assert [law.why for law in one.laws[1:]] == [
        "All readings are at one clamp load; only a second one tells whether torque goes "
        "with it."] * 2
    bounds = page({6: [-60.0]})
    assert bounds.use is None
    assert bounds.charts == ()
    assert "No reading is a value" in bounds.refusal
    assert bounds.fits[0].mu == "not known"
    single = page({6: [31.0]})
    assert single.use is None, "without scatter there is no doubt to take along"


@pytest.mark.parametrize(
    ("estimate", "text", "interval"),
    [
        (Estimate(0.1183, 0.0061, 0.106, 0.131), "0.1183 ± 0.0061", "0.106 to 0.131"),
        (Estimate(0.1183, None, None, None), "0.118", "not known"),
        (Estimate(0.1183, 0.01, 0.1, None), "0.118 ± 0.010", "0.1 to open"),
    ],
)
def test_a_figure_and_its_interval(estimate: Estimate, text: str, interval: str) -> None:
    assert estimate_text(estimate) == text
    assert interval_text(estimate) == interval
