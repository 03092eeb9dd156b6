"""What a torque figure leaves open, in words, charts and tables."""

import json
from dataclasses import replace

import numpy as np
import pytest

from app.comparison.beyond import Beyond, beyond
from app.comparison.board_view import BoardView
from app.comparison.changes import Option
from app.comparison.check import Check
from app.comparison.disc_curve import DiscCurve, WorkingPoint, disc_curve
from app.comparison.wear import WearReserve, wear_curve
from app.mechanics.inputs import State
from app.presentation.beyond_torque import (
    beyond_view,
    check_rows,
    disc_chart,
    option_rows,
    speed_chart,
    wear_chart,
)
from tests.shop import shop

STATE = State()


def pack(name: str):
    return next(p.inputs for p in shop()[0] if p.name == name)


def engine(name: str):
    return next(e.inputs for e in shop()[1] if e.name == name)


def worked(pack_name: str, engine_name: str = "Fen 110") -> Beyond:
    return beyond(pack(pack_name), engine(engine_name), STATE)


def option(change: str, by: float | None, unit: str, **more: object) -> Option:
    fixed = {"result_ratio": 1.2, "consequences": (), "possible": True, "why_not": None}
    return Option(change, by, unit, **(fixed | more))


def test_the_failed_checks_stand_first_and_their_mark_is_a_verdict_s() -> None:
    rows = check_rows([
        Check("lift per face", "pass", "a", "s"), Check("can release", "fail", "b", "s"),
        Check("hand force", "not known", "c", "s"), Check("spring stress", "caution", "d", "s"),
    ])
    assert [(r.name, r.outcome, r.tone) for r in rows] == [
        ("Can release", "Fails", "slips"), ("Spring stress", "Mind", "tight"),
        ("Hand force", "Not known", "unknown"), ("Lift per face", "Passes", "holds"),
    ]


def test_a_change_says_its_sign_its_unit_and_why_it_cannot_be() -> None:
    rows = option_rows([
        option("primary_ratio", -0.25, "1", possible=False, why_not="no room"),
        option("shim_mm", 0.8004, "mm"), option("friction_plates", 1.0, "plates"),
        option("friction_plates", -2.0, "plates"), option("force_n", None, "N"),
    ])
    assert [(r.name, r.by) for r in rows] == [
        ("Shim under the springs", "+0.8\u00a0mm"), ("Plates", "+1\u00a0pair"),
        ("Plates", "−2\u00a0pairs"), ("Clamp load", ""), ("Primary ratio", "−0.25"),
    ]
    assert rows[-1].why_not == "no room"
    assert rows[0].ratio == "1.20"


def traces(curve) -> dict[str, dict]:
    return {t["name"]: t for t in curve.spec["traces"]}


def test_the_wear_chart_draws_capacity_demand_and_limit_where_they_are() -> None:
    found = worked("Bulrush 6")
    curve = wear_chart(found.curve, found.required_nm, found.reserve, found.limit_mm, "nm")
    drawn = traces(curve)
    assert drawn["Available"]["y"][0] == pytest.approx(found.curve.capacity[0])
    assert drawn["Required"]["y"] == [pytest.approx(found.required_nm)] * 2
    assert drawn["Facings' limit"]["x"] == [found.limit_mm] * 2
    assert curve.says.startswith(found.reserve.words[:1].upper())
    # The table tells the same numbers, first and last included.
    assert curve.rows[0][2] == f"{found.curve.capacity[0]:.1f}"
    assert curve.rows[-1][0] == f"{found.curve.wear[-1]:.2f}"
    json.dumps(curve.spec, allow_nan=False)


def test_the_wear_chart_follows_the_unit() -> None:
    found = worked("Bulrush 6")
    metric, other = (
        traces(wear_chart(found.curve, None, None, None, unit))["Available"]["y"][0]
        for unit in ("nm", "lbf_ft")
    )
    # 1 lbf·ft = 1.3558179483314004 N·m (NIST SP 811, B.8).
    assert metric / other == pytest.approx(1.3558179483314004, rel=1e-12)


def test_the_wear_chart_says_when_the_clamp_rises_first() -> None:
    rising = wear_curve(pack("Reed 9 disc"), STATE, 1.0)
    says = wear_chart(rising, None, None, None, "nm").says
    assert ("rises at first" in says) == bool(rising.capacity.max() > rising.capacity[0] * 1.001)
    falling = wear_chart(worked("Bulrush 6").curve, None, None, None, "nm")
    assert "rises" not in falling.says
    assert falling.says.startswith("From ")


def test_nothing_is_drawn_of_a_capacity_that_is_not_known() -> None:
    unknown = wear_curve(pack("Sallow box of parts"), STATE, 1.0)
    assert wear_chart(unknown, None, None, None, "nm") is None


def test_the_speed_chart_says_where_the_pack_bites() -> None:
    found = worked("Alder 3 automatic")
    curve = speed_chart(found.speed, found.bite, "nm")
    assert curve.says == found.bite.words
    drawn = traces(curve)
    assert drawn["Available"]["x"][-1] == found.speed.speed[-1]
    assert drawn["Required"]["y"][0] == pytest.approx(found.speed.required[0])
    json.dumps(curve.spec, allow_nan=False)


def test_the_disc_chart_marks_new_worn_and_lifted_and_says_whether_it_rises() -> None:
    line = np.linspace(0.0, 3.0, 7)
    points = (WorkingPoint("new", 2.0, 900.0), WorkingPoint("worn", 1.2, 1100.0))
    curve = disc_chart(DiscCurve(line, 400.0 * line, points))
    assert "rises as the facings wear" in curve.says
    # On a slope a word stands below the line, or the line would run through it.
    assert traces(curve)["Working points"]["textposition"] == ["bottom right"] * 2
    fall = disc_chart(DiscCurve(line, 1200.0 - 300.0 * line, points[:1]))
    assert traces(fall)["Working points"]["textposition"] == ["bottom left"]
    assert "new 900\u00a0N, worn 1100\u00a0N" in curve.says
    assert traces(curve)["Working points"]["text"] == ["new", "worn"]
    flat = disc_chart(DiscCurve(line, 400.0 * line, points[:1]))
    assert "rises" not in flat.says
    real = disc_chart(disc_curve(pack("Reed 9 disc")))
    json.dumps(real.spec, allow_nan=False)


def test_the_view_gathers_failed_checks_and_keeps_the_state() -> None:
    view = BoardView(wear_mm=None, unit="lbf_ft")
    found = beyond(pack("Bulrush 6"), engine("Fen 110"), view.state)
    shown = beyond_view(found, view, ("p1", "e1"))
    assert shown.failed == tuple(r for r in shown.checks if r.outcome == "Fails")
    assert shown.keep == (("wear", "worn"), ("unit", "lbf_ft"))
    assert shown.launch_address == "/cell/p1/e1/launch?wear=worn&unit=lbf_ft"
    # The lower end would reach 1 there: rounded up to hundredths.
    assert float(shown.target) == found.target >= 1.2
    assert shown.speed is None
    assert shown.wear_says.endswith(".")


def test_a_ratio_that_could_not_be_read_stands_as_typed() -> None:
    shown = beyond_view(worked("Bulrush 6"), BoardView(), ("p", "e"), "lots", "Write a number.")
    assert (shown.target, shown.target_error) == ("lots", "Write a number.")


def test_without_a_curve_the_words_still_say_why() -> None:
    shown = beyond_view(worked("Sallow box of parts"), BoardView(), ("p", "e"))
    assert shown.wear is None
    assert len(shown.wear_says) > 10
    assert shown.options == ()
    assert isinstance(worked("Sallow box of parts").reserve, WearReserve)


def test_changes_that_cannot_be_stand_apart_and_a_point_alone_is_no_curve() -> None:
    shown = beyond_view(worked("Bulrush 6"), BoardView(), ("p", "e"))
    assert set(shown.can) | set(shown.cannot) == set(shown.options)
    assert all(row.why_not for row in shown.cannot)
    if shown.cannot:
        assert shown.cannot_say.startswith(f"{len(shown.cannot)} change")
    assert set(shown.passed) | set(shown.open_checks) == set(shown.checks)
    assert shown.asked is False
    curve = wear_curve(shop()[0][0].inputs, State("oiled", "sliding"), 1.0)
    alone = replace(curve, capacity=np.where(np.arange(len(curve.wear)) == 0, 50.0, np.nan))
    assert wear_chart(alone, None, None, None, "nm") is None


def test_facings_are_named_as_a_page_names_them() -> None:
    (row,) = option_rows([
        Option("friction", 0.01, "1", 1.2, ("the published table has moulded_grooved",), True)])
    assert row.consequences == ("the published table has moulded grooved",)
