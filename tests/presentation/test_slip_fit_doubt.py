import math
from dataclasses import replace

import pytest

from app.mechanics.slip_test import FrictionFit, fit_friction
from app.presentation.slip_fit_doubt import against_words, doubt_words, radius_words
from tests.factories import make_pack
from tests.mechanics.slip_samples import at_least, run


def fit(*gauges: tuple[str, float | None], steep: bool = False) -> FrictionFit:
    runs = [run(300.0, 19.0, 20.0), run(400.0, 26.0, 25.0), run(600.0, 39.0, 37.0)]
    if steep:
        runs = [run(300.0, 9.0, 9.2), run(400.0, 25.0, 26.0), run(600.0, 60.0, 61.0)]
    named = gauges or (("", None),)
    return fit_friction([
        replace(one, instrument=named[i % len(named)][0],
                relative_accuracy=named[i % len(named)][1])
        for i, one in enumerate(runs)], "proportional")


def test_the_parts_of_the_doubt_are_told_and_make_up_the_whole() -> None:
    answer = fit(("beam wrench", 0.04))
    words = doubt_words(answer)
    assert answer.mu_for_comparison is not None
    scatter, gauge, together = (float(part.split()[0].rstrip(","))
                                for part in words[0].split("± ")[1:])
    assert math.hypot(scatter, gauge) == pytest.approx(together, abs=2e-4)
    assert together == pytest.approx(answer.mu_for_comparison.std, abs=5e-5)
    assert gauge == pytest.approx(answer.mu_for_comparison.value * 0.04 / math.sqrt(3), abs=5e-5)
    assert words[1].startswith("beam wrench may be off by 4\u00a0% of its reading. An error")
    assert len(words) == 2


def test_several_gauges_are_told_with_their_weights() -> None:
    told = doubt_words(fit(("a", 0.04), ("b", 0.02), ("a", 0.04)))[1]
    assert "a may be off by 4\u00a0% of its reading, with 67\u00a0% of the weight; b" in told


def test_a_gauge_that_weighs_nothing_is_not_told() -> None:
    held = replace(run(600.0, at_least(10.0)), instrument="wrench", relative_accuracy=0.05)
    runs = [replace(one, instrument="arm", relative_accuracy=0.02)
            for one in (run(300.0, 19.0, 20.0), run(400.0, 26.0, 25.0))]
    told = " ".join(doubt_words(fit_friction([*runs, held], "proportional")))
    assert "arm may be off by 2\u00a0% of its reading. An error" in told
    assert "wrench" not in told


def test_a_gauge_whose_accuracy_is_not_known_is_told_with_what_to_do() -> None:
    assert "How far old gauge may be off is not on record" in doubt_words(
        fit(("old gauge", None)))[1]
    assert "Name the instrument" in doubt_words(fit())[1]
    assert doubt_words(None) == ()


def test_the_radius_is_told_with_what_the_other_would_make_of_it() -> None:
    pack = make_pack()
    words = radius_words(pack)
    od, inner = pack.facing_od_mm, pack.facing_id_mm
    assert od is not None
    assert inner is not None
    ro, ri = od.value / 2.0, inner.value / 2.0
    ratio = (2.0 / 3.0) * (ro**3 - ri**3) / (ro**2 - ri**2) / ((ro + ri) / 2.0)
    share = float(words.split("\u00a0% more torque")[0].rpartition(" ")[2])
    assert share == pytest.approx(100.0 * (ratio - 1.0), rel=0.05)
    assert radius_words(pack.model_copy(update={"facing_id_mm": None})) == ""


def test_a_law_that_the_runs_speak_against_is_not_taken_unwarned() -> None:
    assert "speak against torque proportional" in against_words(fit(steep=True))
    assert against_words(fit()) == ""
    assert against_words(None) == ""
