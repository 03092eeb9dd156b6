"""From logged runs to the pack's own friction, to the board, and back."""

import re

import pytest

from app.records import database
from app.records.slip_test_queries import change_rows
from tests.web.routes.boxes import boxes
from tests.web.routes.conftest import ENGINE, PACK, Shop
from tests.web.routes.test_slip_test_forms import RUN

FIT = "?lubrication=oiled&friction=sliding"
# 6 springs of 100 lbf/in pressed by 38.1 − 30.5 = 7.6 mm: 6 × 17.5127 × 7.6 = 798.6 N; faces 12
# (of 6 plates); radius (115 + 95.25)/4 = 52.5625 mm, so T/μ = 12 × 798.6 × 0.0525625 = 503.7 N·m.
PER_FRICTION = 6 * 17.512683524647636 * 7.6 * 12 * 52.5625 / 1000.0


@pytest.fixture
def pack(shop: Shop) -> str:
    return shop.save("/packs/new", PACK).removeprefix("/packs/")


def log(shop: Shop, pack: str, springs: int, mus: tuple[float, ...], **more: str) -> None:
    typed = {name: text for name, text in RUN.items() if not name.startswith("readings.")}
    for n, mu in enumerate(mus):
        typed[f"readings.{n}.low"] = f"{mu * PER_FRICTION * springs / 6:.6f}"
    shop.save("/tests/new", {**typed, "pack": pack, "springs_fitted": str(springs), **more})


def logged(shop: Shop, pack: str) -> None:
    for springs, mus in ((6, (0.118, 0.121)), (4, (0.119, 0.122)), (3, (0.117, 0.12))):
        log(shop, pack, springs, mus)


def test_the_clamp_of_each_run_goes_with_its_springs(shop: Shop, pack: str) -> None:
    logged(shop, pack)
    text = shop.get(f"/tests/fit/{pack}{FIT}")
    for clamp in ("799", "532", "399"):
        assert f'<td class="num">{clamp}</td>' in text
    assert "Nothing speaks against torque proportional to clamp load" in text
    assert "passes through 6 values at 3 clamp loads" in text
    assert text.count("data-chart") == 3
    assert text.count("The same numbers as a table") == 3
    assert "already holds this pack" in text


def test_one_press_takes_the_fit_into_the_pack_and_undo_puts_the_old_back(
    shop: Shop, pack: str
) -> None:
    engine = shop.save("/engines/new", ENGINE).removeprefix("/engines/")
    logged(shop, pack)
    before = shop.stored("packs")[0]
    assert "own tests</a>" not in shop.get("/").replace("<span", "</a><span")
    page = shop.get(f"/tests/fit/{pack}{FIT}")
    found = re.search(r">Use μ ([\d.]+) ± ([\d.]+) for oiled, sliding<", page)
    assert found is not None
    assert float(found[1]) == pytest.approx(0.1195, abs=1e-4)
    use = f"/tests/fit/{pack}/use"
    answer = shop.send(use, boxes(page, use))
    assert answer.status_code == 303
    undo = re.search(r'action="(/fitted-friction/[^"]+/bring-back)"', shop.get(f"/packs/{pack}"))
    assert undo is not None
    after = shop.stored("packs")[0]
    q = after.document.friction.oiled.sliding
    assert after.version == before.version + 1
    assert (q.how, q.plus_minus, q.default_doubt) == ("measured", None, False)
    assert q.value == pytest.approx(float(found[1]), abs=5e-5)
    assert q.std == pytest.approx(float(found[2]), abs=5e-5)
    assert re.fullmatch(r"fitted to 3 slip tests on \d{4}-\d\d-\d\d", q.with_what)
    assert "own tests<span" in shop.get("/")
    run = shop.stored("slip_tests")[0]
    assert "so the two are not independent" in shop.get(f"/tests/{run.id}")
    cell = shop.get(f"/cell/{pack}/{engine}")
    assert "Rests on the team’s own slip tests:" in cell
    assert "fitted to 3 slip tests on" in cell
    with database.read_session(shop.client.app.state.engine) as session:
        (change,) = change_rows(session, "pack", pack, after.version)
    assert change["reason"] == f"μ {q.with_what}"
    assert f'action="{undo[1]}"' in shop.get(f"/tests/fit/{pack}{FIT}"), "Undo stays at hand"
    shop.send(undo[1], {})
    back = shop.stored("packs")[0]
    assert back.document.friction == before.document.friction
    assert back.version == after.version + 1
    assert "own tests<span" not in shop.get("/")


def test_undo_does_not_go_over_somebody_s_newer_save(shop: Shop, pack: str) -> None:
    logged(shop, pack)
    use = f"/tests/fit/{pack}/use"
    shop.send(use, boxes(shop.get(f"/tests/fit/{pack}{FIT}"), use))
    version = shop.stored("packs")[0].version
    shop.save(f"/packs/{pack}/edit", {"notes": "newer"})
    answer = shop.send(f"/fitted-friction/{pack}-oiled-sliding-v{version}/bring-back", {})
    assert answer.status_code == 409
    assert shop.stored("packs")[0].document.notes == "newer"
    for other in (f"{pack}-oiled-sliding-v1", f"{pack}-wet-sliding-v2", "x"):
        assert shop.send(f"/fitted-friction/{other}/bring-back", {}).status_code == 404


def test_a_pack_without_friction_of_its_own_has_none_again_after_undo(shop: Shop) -> None:
    bare = {k: v for k, v in PACK.items() if not k.startswith("friction.")}
    pack = shop.save("/packs/new", bare).removeprefix("/packs/")
    logged(shop, pack)
    use = f"/tests/fit/{pack}/use"
    shop.send(use, boxes(shop.get(f"/tests/fit/{pack}{FIT}"), use))
    version = shop.stored("packs")[0].version
    assert shop.stored("packs")[0].document.friction is not None
    shop.send(f"/fitted-friction/{pack}-oiled-sliding-v{version}/bring-back", {})
    assert shop.stored("packs")[0].document.friction is None


def test_a_press_after_the_log_or_the_pack_changed_is_refused(shop: Shop, pack: str) -> None:
    logged(shop, pack)
    use = f"/tests/fit/{pack}/use"
    sent = boxes(shop.get(f"/tests/fit/{pack}{FIT}"), use)
    log(shop, pack, 6, (0.13,))
    answer = shop.send(use, sent)
    assert answer.status_code == 409
    assert "The runs were changed since this page was shown" in answer.text
    sent = boxes(shop.get(f"/tests/fit/{pack}{FIT}"), use)
    shop.save(f"/packs/{pack}/edit", {"notes": "newer"})
    assert shop.send(use, sent).status_code == 409
    assert shop.send(use, sent | {"mu": "x"}).status_code == 409
    assert shop.stored("packs")[0].document.friction.oiled.sliding.value == 0.12


def test_two_springs_are_left_out_unless_taken_in_and_both_fits_are_shown(
    shop: Shop, pack: str
) -> None:
    logged(shop, pack)
    log(shop, pack, 2, (0.09, 0.091))
    log(shop, pack, 6, (0.2,), excluded="yes", excluded_reason="the arm slid")
    text = shop.get(f"/tests/fit/{pack}{FIT}")
    assert "2 springs: fewer than three let the pressure plate tilt." in text
    assert "the arm slid" in text
    assert "As taken" in text
    assert "With every run" in text
    two, out = re.findall(r'name="take" value="(\w+)"', text)
    taken = shop.get(f"/tests/fit/{pack}{FIT}&take={two}")
    assert f'value="{two}" checked' in taken
    assert f'value="{out}" checked' not in taken
    assert "Torque is not proportional to clamp load" in taken
    assert "common practice, no source" in taken
    # The press takes what is shown: with the two-spring run, four runs.
    use = f"/tests/fit/{pack}/use"
    shop.send(use, boxes(taken, use))
    q = shop.stored("packs")[0].document.friction.oiled.sliding
    assert q.with_what.startswith("fitted to 4 slip tests")


def test_too_little_is_said_and_not_papered_over(shop: Shop, pack: str) -> None:
    assert "No run of this pack is logged" in shop.get(f"/tests/fit/{pack}")
    typed = {"readings.0.kind": "at_least", "readings.0.low": "60"}
    shop.save("/tests/new", {**{k: v for k, v in RUN.items() if "readings." not in k}, **typed,
                             "pack": pack})
    text = shop.get(f"/tests/fit/{pack}{FIT}")
    assert "No reading is a value" in text
    assert ">Use μ" not in text
    log(shop, pack, 6, (0.118, 0.12))
    text = shop.get(f"/tests/fit/{pack}{FIT}")
    assert "All readings are at one clamp load; only a second one tells" in text
    assert "Test with 3 or 4 of its 6 springs next" in text
    assert "Fewer than 10 readings" in text


def test_the_law_is_chosen_in_the_address(shop: Shop, pack: str) -> None:
    logged(shop, pack)
    text = shop.get(f"/tests/fit/{pack}{FIT}&law=power")
    assert "The power law passes through" in text
    assert '<option value="power" selected>' in text
    for wrong in ("&law=guess", "&colour=red", "&take=nothing"):
        assert "There is a problem" in shop.get(f"/tests/fit/{pack}{FIT}{wrong}", 422)
    assert "static or sliding" in shop.get(f"/tests/fit/{pack}?lubrication=wet&friction=x", 422)
    shop.get("/tests/fit/nothing", 404)


def test_without_a_state_the_one_that_was_tested_most_is_shown(shop: Shop, pack: str) -> None:
    log(shop, pack, 6, (0.3,), lubrication="dry")
    log(shop, pack, 6, (0.31,), lubrication="dry")
    log(shop, pack, 6, (0.12,))
    text = shop.get(f"/tests/fit/{pack}")
    assert "Dry, sliding: what the runs say" in text
    assert "Oiled, sliding: 1 run" in text
