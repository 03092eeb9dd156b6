"""From the form of an engine to its document and back, with nothing lost on the way."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.documents import Bmep, Curve, Engine, Measured, Power, Q
from app.errors import BadInput
from app.web.forms.engine_form import POINTS, curve_text, engine_texts, read_curve, read_engine
from app.web.forms.reader import FormReader

TYPED = {
    "name": "Single",
    "strokes": "4",
    "cylinders": "1",
    "displacement_cc": "0.25 L",
    "displacement_cc__how": "listed",
    "torque.kind": "measured",
    "torque.measured.torque_nm": "10 lb-ft",
    "torque.measured.torque_nm__doubt": "4 %",
    "torque.measured.speed_rpm": "7500",
    "driving_teeth": "20",
    "driven_teeth": "60",
    "stamp_by": "Ada",
}


def engine_of(typed: dict[str, str], stored: Engine | None = None) -> Engine:
    return read_engine(FormReader(typed), stored).document


def refusals_of(typed: dict[str, str]) -> dict[str, str]:
    form = FormReader(typed)
    with pytest.raises(BadInput):
        read_engine(form)
    return {problem.field: problem.message for problem in form.problems}


def test_figures_are_kept_as_typed_and_converted() -> None:
    engine = engine_of(TYPED)
    assert engine.displacement_cc == Q(value=250.0, how="listed", typed="0.25 L", by="Ada")
    assert isinstance(engine.torque, Measured)
    assert engine.torque.torque_nm is not None
    assert engine.torque.torque_nm.value == pytest.approx(13.558179483314004, rel=1e-15)
    assert engine.torque.torque_nm.plus_minus == pytest.approx(0.04 * 13.558179483314004)
    assert engine.primary_teeth == (20, 60)
    assert engine.strokes == 4


@pytest.mark.parametrize("typed", ["10 Nm", "10 N·m", "10 N*m", "10N.m", "10"])
def test_newton_metres_may_be_written_in_several_ways(typed: str) -> None:
    engine = engine_of(TYPED | {"torque.measured.torque_nm": typed})
    assert isinstance(engine.torque, Measured)
    assert engine.torque.torque_nm is not None
    assert engine.torque.torque_nm.value == 10.0


def test_a_record_reopens_as_it_was_typed_and_saves_as_it_was() -> None:
    stored = engine_of(TYPED)
    texts = engine_texts(stored)
    assert texts["torque.measured.torque_nm"] == "10 lb-ft"
    assert texts["torque.measured.torque_nm__doubt"] == "4 %"
    assert "primary_efficiency" not in texts
    assert engine_of(texts | {"stamp_by": "Ben"}, stored) == stored


def test_each_kind_of_torque_is_read_from_its_own_boxes() -> None:
    power = engine_of(TYPED | {"torque.kind": "power", "torque.power.power_kw": "10 PS"})
    assert isinstance(power.torque, Power)
    assert power.torque.power_kw is not None
    assert power.torque.power_kw.value == pytest.approx(7.3549875)
    bmep = engine_of(TYPED | {"torque.kind": "bmep", "torque.bmep.bmep_kpa": "9 bar"})
    assert isinstance(bmep.torque, Bmep)
    assert bmep.torque.bmep_kpa is not None
    assert bmep.torque.bmep_kpa.value == 900.0
    curve = engine_of(
        TYPED
        | {
            "torque.kind": "curve",
            POINTS: "6000, 12,5\n3000 8.5\n\n",
            "torque.curve.at": "wheel",
            "torque.curve.overall_ratio": "9.5",
            "torque.curve.driveline_efficiency": "92 %",
            "torque.curve.relative_doubt": "3 %",
        }
    )
    assert isinstance(curve.torque, Curve)
    assert curve.torque.points == [(3000.0, 8.5), (6000.0, 12.5)]
    assert (curve.torque.at, curve.torque.relative_doubt) == ("wheel", 0.03)
    assert engine_of(engine_texts(curve), curve) == curve


def test_a_torque_that_belongs_to_no_kind_is_asked_about() -> None:
    found = refusals_of({"name": "?", "torque.power.power_kw": "7"})
    assert found == {"torque.kind": "Choose which torque figure is best known."}


@pytest.mark.parametrize(
    ("line", "point"),
    [
        ("6000 12.5", (6000.0, 12.5)),
        ("6000, 12,5", (6000.0, 12.5)),
        ("6000,12.5", (6000.0, 12.5)),
        ("6000;12,5", (6000.0, 12.5)),
        ("6000\t12,5", (6000.0, 12.5)),
    ],
)
def test_a_line_of_a_curve_may_be_written_in_several_ways(
    line: str, point: tuple[float, float]
) -> None:
    assert read_curve(FormReader({POINTS: line})) == [point]


def test_a_curve_is_read_in_the_unit_chosen_for_it() -> None:
    form = FormReader({POINTS: "6000 10", f"{POINTS}__unit": "lbf·ft"})
    assert read_curve(form)[0][1] == pytest.approx(13.558179483314004, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("6000 12\n6500", "Line 2: Write a speed and a torque"),
        ("6000 12 13", "Line 1: Write a speed and a torque"),
        ("6000,12,5", "Line 1: Write a speed and a torque"),
        ("6000 nan", "Line 1: Write a number"),
        ("0 12", "Line 1: Crank speed must be more than 0"),
        ("6000 12\n\n7000 11\n6000 13", "Line 4: 6000 r/min stands in line 1 too. Write each"),
        ("6000 ١٢", "Line 1: Write a number"),
    ],
)
def test_a_curve_that_cannot_be_read_names_its_line(text: str, part: str) -> None:
    found = refusals_of(TYPED | {"torque.kind": "curve", POINTS: text})
    assert part in found[POINTS]


@pytest.mark.parametrize(
    ("changed", "name", "part"),
    [
        ({"driven_teeth": ""}, "driven_teeth", "teeth of both gears"),
        ({"primary_ratio": "3.5"}, "driving_teeth", "The teeth give 3"),
        ({"primary_ratio": "3.5"}, "primary_ratio", "Write 3, which 60 to 20 teeth give"),
        ({"strokes": "3"}, "strokes", "Choose one of"),
        ({"displacement_cc": "250 mm"}, "displacement_cc", "displacement in cc"),
        ({"torque.measured.torque_nm": "10 mN"}, "torque.measured.torque_nm", "Write N·m"),
        ({"torque.measured.torque_nm": "-4"}, "torque.measured.torque_nm", "more than 0"),
        ({"primary_efficiency": "120 %"}, "primary_efficiency", "at most 1"),
        ({"name": ""}, "name", "Write a name"),
    ],
)
def test_what_cannot_be_is_refused_at_its_box(
    changed: dict[str, str], name: str, part: str
) -> None:
    found = refusals_of(TYPED | changed)
    assert part in found[name]


points = st.lists(
    st.tuples(st.floats(1, 20_000), st.floats(0, 500)), max_size=20, unique_by=lambda p: p[0]
)


@given(points)
def test_any_curve_comes_back_to_the_last_bit(curve: list[tuple[float, float]]) -> None:
    assert read_curve(FormReader({POINTS: curve_text(curve)})) == curve


def test_what_an_engine_sets_moving_is_kept() -> None:
    typed = TYPED | {"vehicle_mass_kg": "180", "wheel_radius_m": "30 cm",
                     "clutch_to_wheel_ratio": "9,5"}
    engine = engine_of(typed)
    assert engine.wheel_radius_m is not None
    assert engine.wheel_radius_m.value == pytest.approx(0.3)
    assert engine.clutch_to_wheel_ratio == Q(value=9.5, typed="9,5", by="Ada")
    assert engine_of(engine_texts(engine) | {"stamp_by": "Ben"}, engine) == engine
