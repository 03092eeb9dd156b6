import pytest

from tests.web.routes.boxes import boxes, title
from tests.web.routes.conftest import CURVE, ENGINE, Shop


@pytest.mark.parametrize(
    ("typed", "newton_metres"),
    [("10 Nm", 10.0), ("10 N·m", 10.0), ("10 lb-ft", 13.558179483314004), ("0,12 kgf·m", 1.176798)],
)
def test_torques_are_converted_by_the_published_factors(
    shop: Shop, typed: str, newton_metres: float
) -> None:
    shop.save("/engines/new", ENGINE | {"torque.measured.torque_nm": typed})
    (stored,) = shop.stored("engines")
    assert stored.document.torque.torque_nm.value == pytest.approx(newton_metres, rel=1e-12)


def test_a_curve_that_cannot_be_read_comes_back_as_typed(shop: Shop) -> None:
    wrong = {"torque.curve.points": "6000 12\n7000 twelve"}
    answer = shop.send("/engines/new", shop.form("/engines/new") | CURVE | wrong)
    assert answer.status_code == 422
    assert "Line 2: Write a number" in answer.text
    assert boxes(answer.text, "/engines/new")["torque.curve.points"] == "6000 12\n7000 twelve"
    assert shop.stored("engines") == []


def test_teeth_and_ratio_that_disagree_are_refused(shop: Shop) -> None:
    wrong = {"primary_ratio": "2.5"}
    answer = shop.send("/engines/new", shop.form("/engines/new") | ENGINE | wrong)
    assert answer.status_code == 422
    assert "The teeth give 3 and the ratio says 2.5" in answer.text


@pytest.mark.parametrize(
    "text", ["1,234", "nan", "inf", "1e400", "1_000", "0x10", "١٢", "9" * 9999]
)
def test_what_is_no_number_is_refused_with_everything_kept(shop: Shop, text: str) -> None:
    answer = shop.send("/engines/new", shop.form("/engines/new") | ENGINE | {"bore_mm": text})
    assert answer.status_code == 422
    assert title(answer.text).startswith("Error: ")
    kept = boxes(answer.text, "/engines/new")
    assert (kept["bore_mm"], kept["displacement_cc"]) == (text, "0.25 L")
    assert shop.stored("engines") == []


def test_the_suggested_factor_is_told_and_never_filled_in(shop: Shop) -> None:
    address = shop.save("/engines/new", {"name": "Bare", "strokes": "4", "cylinders": "1"})
    assert "Usual for a four-stroke, one cylinder: 1.5" in shop.get(f"{address}/edit")
    assert shop.stored("engines")[0].document.service_factor is None
    assert "No service factor is set" in shop.get(address)


def test_a_form_sent_twice_makes_one_record(shop: Shop) -> None:
    typed = shop.form("/engines/new") | ENGINE
    first, second = shop.send("/engines/new", typed), shop.send("/engines/new", typed)
    assert first.headers["location"] == second.headers["location"]
    assert len(shop.stored("engines")) == 1


def test_a_stale_save_shows_both_versions_and_can_go_on(shop: Shop) -> None:
    address = shop.save("/engines/new", ENGINE)
    mine = shop.form(f"{address}/edit") | {"torque.measured.torque_nm": "15"}
    shop.save(f"{address}/edit", {"torque.measured.torque_nm": "14"})
    answer = shop.send(f"{address}/edit", mine)
    assert answer.status_code == 409
    assert "<td>14 lbf·ft ± 4 %, measured</td><td>15 lbf·ft ± 4 %, measured</td>" in answer.text
    assert shop.send(f"{address}/edit", boxes(answer.text, f"{address}/edit")).status_code == 303
    assert shop.stored("engines")[0].document.torque.torque_nm.typed == "15 lbf·ft"
