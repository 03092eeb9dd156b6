"""Whether a pack bolts up: yes, no, and not known, with the reason."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.mechanics.fit import FitAnswer, bolts_up, misfits, overall
from app.mechanics.inputs import EngineInputs, PackInputs, Quantity


def mm(value: float, plus_minus: float | None = None) -> Quantity:
    return Quantity(value, plus_minus=plus_minus)


PACK: dict[str, Any] = {
    "mounting": "geared", "envelope_diameter_mm": mm(118.0, 0.2),
    "envelope_height_mm": mm(44.0, 0.2), "spline_count": 8, "spline_major_mm": mm(20.0, 0.05),
    "gear_teeth": 69, "gear_module_mm": mm(2.0),
}
ENGINE: dict[str, Any] = {
    "primary_teeth": (22, 69), "envelope_diameter_mm": mm(122.0, 0.5),
    "envelope_height_mm": mm(46.0, 0.5), "spline_count": 8, "spline_major_mm": mm(20.05, 0.05),
    "gear_module_mm": mm(2.0),
}


def asked(pack: dict[str, Any] | None = None, engine: dict[str, Any] | None = None
          ) -> dict[str, FitAnswer]:
    answers = bolts_up(PackInputs(**{**PACK, **(pack or {})}),
                       EngineInputs(**{**ENGINE, **(engine or {})}))
    return {a.question: a for a in answers}


ROOM, ALONG, SPLINES, GEAR, MOUNTING = (
    "room for its diameter", "room for its height", "the splines fit", "the primary gear fits",
    "the mounting suits",
)


def test_a_pack_that_fits() -> None:
    answers = asked()
    assert list(answers) == [ROOM, ALONG, SPLINES, GEAR, MOUNTING]
    assert {a.answer for a in answers.values()} == {"yes"}
    assert answers[ROOM].reason == "118.00 mm in 122.00 mm"


@pytest.mark.parametrize(
    ("pack", "engine", "question", "answer", "told"),
    [
        ({"envelope_diameter_mm": mm(124.0)}, {}, ROOM, "no", "2.00 mm too large"),
        ({"envelope_height_mm": mm(45.8, 0.2)}, {}, ALONG, "not known", "too close for ±0.70 mm"),
        ({"envelope_height_mm": mm(46.0)}, {"envelope_height_mm": mm(46.0)}, ALONG, "yes", ""),
        ({"envelope_height_mm": None}, {}, ALONG, "not known", "for the pack"),
        ({}, {"envelope_height_mm": None}, ALONG, "not known", "for the engine"),
        ({"spline_count": 6}, {}, SPLINES, "no", "6 splines on 8"),
        ({"spline_major_mm": mm(20.6)}, {}, SPLINES, "no", "20.60 mm on 20.05 mm"),
        ({"spline_major_mm": None}, {}, SPLINES, "not known", "the diameter is not recorded"),
        ({}, {"spline_count": None}, SPLINES, "not known", "for the engine"),
        ({"gear_teeth": 68}, {}, GEAR, "no", "68 teeth where 69 are driven"),
        ({"gear_teeth": None}, {}, GEAR, "not known", "not recorded"),
        ({"gear_module_mm": mm(2.25)}, {}, GEAR, "no", "module 2.25 on 2 mm"),
        ({"gear_module_mm": None}, {}, GEAR, "not known", "the module is not recorded"),
        ({"mounting": "crankshaft"}, {}, GEAR, "yes", "no gear"),
        ({"mounting": None}, {}, MOUNTING, "not known", "not recorded"),
        ({}, {"primary_teeth": None}, MOUNTING, "not known", "primary gear is not recorded"),
        ({"mounting": "crankshaft"}, {}, MOUNTING, "yes", "on the crankshaft"),
    ],
)
def test_each_question(
    pack: dict[str, Any], engine: dict[str, Any], question: str, answer: str, told: str
) -> None:
    found = asked(pack, engine)[question]
    assert found.answer == answer
    assert told in found.reason


def test_a_standard_uncertainty_counts_twice() -> None:
    # 0.5 mm to spare: ±0.6 mm (2 × 0.3) is too close, ±0.4 mm is not.
    for std, answer in ((0.3, "not known"), (0.2, "yes")):
        pack = {"envelope_height_mm": Quantity(45.5, std=std)}
        assert asked(pack, {"envelope_height_mm": mm(46.0)})[ALONG].answer == answer


@pytest.mark.parametrize(
    ("given", "whole"),
    [(("yes", "yes"), "yes"), (("yes", "not known"), "not known"),
     (("not known", "no", "yes"), "no")],
)
def test_one_no_is_a_no(given: tuple[Any, ...], whole: str) -> None:
    assert overall(tuple(FitAnswer("", answer, "") for answer in given)) == whole


SIZES = st.none() | st.builds(
    Quantity, st.sampled_from([20.0, 20.15, 20.4, 44.0, 45.0]),
    plus_minus=st.none() | st.sampled_from([0.0, 0.1, 0.5]),
)
PACKS = st.builds(
    PackInputs, mounting=st.sampled_from([None, "crankshaft", "geared"]),
    envelope_diameter_mm=SIZES, envelope_height_mm=SIZES,
    spline_count=st.sampled_from([None, 8, 9]), spline_major_mm=SIZES,
    gear_teeth=st.sampled_from([None, 60, 69]), gear_module_mm=SIZES,
)
ENGINES = st.builds(
    EngineInputs, primary_teeth=st.sampled_from([None, (22, 69), (20, 60)]),
    envelope_diameter_mm=SIZES, envelope_height_mm=SIZES,
    spline_count=st.sampled_from([None, 8, 9]), spline_major_mm=SIZES, gear_module_mm=SIZES,
)


@given(st.lists(PACKS, max_size=5), st.lists(ENGINES, max_size=5))
def test_many_at_once_misfit_where_one_by_one_does(
    packs: list[PackInputs], engines: list[EngineInputs]
) -> None:
    found = misfits(packs, engines)
    assert found.shape == (len(packs), len(engines))
    assert found.tolist() == [
        [overall(bolts_up(pack, engine)) == "no" for engine in engines] for pack in packs
    ]
