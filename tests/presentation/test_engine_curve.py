import pytest

from app.comparison.cell import evaluate
from app.documents import Engine
from app.mechanics.inputs import PackInputs
from app.presentation.engine_curve import CurveView, curve_view
from tests.factories import make_engine_document

POINTS = [[3000, 8.5], [6000, 12.5], [8000, 10]]


def view_of(engine: Engine) -> CurveView | None:
    return curve_view(
        engine, evaluate(PackInputs(mounting="geared"), engine.to_inputs(), None).working)


def test_a_curve_without_a_gear_is_drawn_as_it_was_entered() -> None:
    engine = make_engine_document(
        torque={"kind": "curve", "points": POINTS, "at": "crank"}, primary_teeth=None)
    view = view_of(engine)
    assert view is not None
    assert "largest torque at the crank is 12.5\u00a0N·m at 6000\u00a0r/min" in view.says
    assert [list(trace["y"]) for trace in view.spec["traces"]] == [[8.5, 12.5, 10.0]]
    assert view.rows[1] == ("6000", "12.50")


def test_the_wheel_s_curve_is_brought_to_the_crank_and_behind_the_gear() -> None:
    # 12.5 N·m at the wheel through 5 in all are 2.5 at the crank, and 64/19 times that behind.
    engine = make_engine_document(torque={
        "kind": "curve", "points": POINTS, "at": "wheel", "overall_ratio": 5.0,
        "driveline_efficiency": 1.0})
    view = view_of(engine)
    assert view is not None
    crank, clutch = view.spec["traces"]
    assert crank["y"] == pytest.approx([1.7, 2.5, 2.0])
    assert clutch["y"][1] == pytest.approx(2.5 * 64 / 19)
    assert "at the wheel is 12.5" in view.says
    assert "Through the drive that is 2.5\u00a0N·m at the crank." in view.says
    assert [name for name, _ in view.headings] == [
        "Crank speed", "Torque at the wheel", "Torque at the crank", "Clutch speed",
        "Torque behind the primary gear"]


def test_behind_the_gear_every_point_is_slower_and_stronger_by_the_ratio() -> None:
    # 64 teeth on 19: 3.368. Power stays, as no efficiency is given: n · T is the same.
    engine = make_engine_document(torque={"kind": "curve", "points": POINTS, "at": "crank"})
    view = view_of(engine)
    assert view is not None
    crank, clutch = view.spec["traces"]
    for x, y, slow, strong in zip(crank["x"], crank["y"], clutch["x"], clutch["y"], strict=True):
        assert (x / slow, strong / y) == pytest.approx((64 / 19, 64 / 19), rel=1e-12)
    assert "gets more: 42.1\u00a0N·m at 1781\u00a0r/min" in view.says
    assert view.rows[1] == ("6000", "12.50", "1781", "42.11")
    assert [name for name, _ in view.headings] == [
        "Crank speed", "Torque at the crank", "Clutch speed", "Torque behind the primary gear"]


def test_a_lossy_gear_gives_less_than_its_ratio() -> None:
    engine = make_engine_document(
        torque={"kind": "curve", "points": POINTS, "at": "crank"}, primary_efficiency=0.95)
    view = view_of(engine)
    assert view is not None
    crank, clutch = view.spec["traces"]
    assert clutch["y"][0] / crank["y"][0] == pytest.approx(0.95 * 64 / 19)
    assert crank["x"][0] / clutch["x"][0] == pytest.approx(64 / 19)


def test_one_torque_at_a_known_speed_is_two_points_and_without_a_speed_nothing() -> None:
    engine = make_engine_document(
        torque={"kind": "measured", "torque_nm": 12.0, "speed_rpm": 6400.0})
    view = view_of(engine)
    assert view is not None
    assert [trace["mode"] for trace in view.spec["traces"]] == ["markers", "markers"]
    assert view.spec["traces"][1]["x"] == pytest.approx([1900.0])
    assert "The torque at the crank is 12" in view.says
    assert view_of(make_engine_document(torque={"kind": "measured", "torque_nm": 12.0})) is None
