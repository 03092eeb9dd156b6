import pytest

from app.comparison.slip_plan import Link, SlipPlan, plan_slip_test
from app.presentation.plan_page import CARD_ROWS, plan_result, rig_cautions, steel_rows
from tests.mechanics.samples import OILED_SLIDING, coil_pack, load_pack

GAUGE = Link("gauge", "Gauge", max_nm=400.0)
STUB = Link("round", "Stub", size_mm=20.0, yield_mpa=300.0)


def result(plan: SlipPlan, heat: bool = False):
    return plan_result(plan, "abc", "Tern", OILED_SLIDING, heat)


def test_each_number_of_springs_has_its_bar_and_remark() -> None:
    plan = plan_slip_test(coil_pack(), OILED_SLIDING, [Link("gauge", "Gauge", max_nm=50.0), STUB])
    found = result(plan)
    assert len(found.cases) == 6
    assert {row.over for row in found.cases} == {True, False}
    assert [row.balanced for row in found.cases[:2]] == ["can't sit evenly"] * 2
    for row, case in zip(found.cases, plan.cases, strict=True):
        used = case.utilisation or 0.0
        assert row.bar == pytest.approx(100 * min(used / 1.25, 1.0), abs=0.06)
        assert row.over == (used > 0.8)
        assert row.utilisation.startswith(str(round(100 * used)))
    assert found.limit_bar == 64.0
    assert sum(row.chosen for row in found.cases) == 1


def test_links_are_held_against_the_chosen_number_and_the_log_is_prefilled() -> None:
    plan = plan_slip_test(coil_pack(), OILED_SLIDING, [GAUGE, STUB], 3)
    found = result(plan)
    assert found.chosen == "with 3 springs"
    assert found.log == "/tests/new?pack=abc&springs=3"
    stub = found.links[1]
    assert stub.limit.endswith("(yields)")
    assert float(stub.gives_way) == pytest.approx(plan.links[1].plastic_nm or 0.0, abs=0.51)
    assert found.links[0].gives_way == ""
    assert len(found.card_rows) == CARD_ROWS


@pytest.mark.parametrize(
    ("chain", "pack", "headline"),
    [
        ([GAUGE], coil_pack(), "Fit 6 springs, evenly spaced."),
        ([Link("gauge", "G", max_nm=1.0)], coil_pack(), "a stronger chain is needed"),
        ([], coil_pack(), "Say what stands between drive and gauge"),
        ([GAUGE], load_pack(), "The chain holds the whole pack."),
        ([Link("gauge", "G", max_nm=1.0)], load_pack(), "a stronger chain is needed"),
    ],
)
def test_the_headline_says_what_to_do(chain, pack, headline: str) -> None:
    assert headline in result(plan_slip_test(pack, OILED_SLIDING, chain)).headline


def test_heat_and_arm_are_readouts_and_what_they_lack_is_said() -> None:
    plan = plan_slip_test(coil_pack(), OILED_SLIDING, [GAUGE], speed_rpm=60.0, arm_m=0.5)
    labels = {r.label: r for r in result(plan, heat=True).readouts}
    assert labels["Longest run"].text == "not known"
    assert "Force at the end of the arm" in labels
    assert "The plates get warmer by" not in labels
    assert "Longest run" not in {r.label for r in result(plan).readouts}


def test_cautions_and_steels_are_those_of_the_rig_from_memory() -> None:
    assert {c.key for c in rig_cautions()} >= {"wrench", "slip-test", "turning-parts", "chuck-key"}
    assert all(row.source.endswith("from memory") for row in steel_rows())
    assert any("–" in row.strength for row in steel_rows())
